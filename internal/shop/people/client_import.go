package people

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"midcase/internal/shop"
	"slices"
	"strings"
	"unicode"
)

// ImportProblem is a row or card that was kept out, with the reason.
type ImportProblem struct {
	Line int    `json:"line"`
	Why  string `json:"reason"`
}

// Duplicate is a row or card that looks like a client who is there already.
type Duplicate struct {
	Name string `json:"name"`
	Of   string `json:"of"` // the id of the client who is there
	Why  string `json:"reason"`
}

// ClientImport says what an import did.
type Imported struct {
	Read       int             `json:"read"`
	Added      int             `json:"added"`
	Merged     int             `json:"merged"`
	Duplicates []Duplicate     `json:"duplicates"`
	Rejected   []ImportProblem `json:"rejected"`
}

// ImportClients adds clients that are not there yet. One who looks like a client on
// record, or like another of the file, is told as a duplicate and left out, or with
// merge gives what the record lacks.
func (r *Room) Import(ctx context.Context, clients []shop.Client, merge bool) (Imported, error) {
	out := Imported{Read: len(clients), Duplicates: []Duplicate{}, Rejected: []ImportProblem{}}
	all, err := r.All(ctx)
	if err != nil {
		return out, fmt.Errorf("import clients: %w", err)
	}
	known := newDuplicates(all)
	for i, c := range clients {
		of, why := known.find(c)
		if of == nil {
			kept, err := r.Add(ctx, c)
			var refused *shop.Invalid
			if errors.As(err, &refused) {
				out.Rejected = append(out.Rejected, ImportProblem{i + 1, err.Error()})
				continue
			}
			if err != nil {
				return out, fmt.Errorf("import clients: %w", err)
			}
			known.add(&kept)
			out.Added++
			continue
		}
		out.Duplicates = append(out.Duplicates, Duplicate{c.Name, of.ID, why})
		if !merge {
			continue
		}
		kept, err := r.Change(ctx, merged(*of, c))
		if err != nil {
			return out, fmt.Errorf("import clients: %w", err)
		}
		*of = kept
		out.Merged++
	}
	return out, nil
}

// ImportLine is one client of a file with what an import would do.
type ImportLine struct {
	Client shop.Client
	Of     *shop.Client // whom it looks like; nil for a new one
	InFile bool         // that one stands further up in the same file
	Why    string       // in what the two are alike
}

// PreviewImport tells what an import of clients would do, and writes nothing.
func (r *Room) PreviewImport(ctx context.Context, clients []shop.Client) ([]ImportLine, error) {
	all, err := r.All(ctx)
	if err != nil {
		return nil, fmt.Errorf("import clients: %w", err)
	}
	known := newDuplicates(all)
	out := make([]ImportLine, len(clients))
	for i, c := range clients {
		of, why := known.find(c)
		out[i] = ImportLine{Client: c, Of: of, Why: why, InFile: of != nil && of.ID == ""}
		if of == nil {
			known.add(&clients[i])
		}
	}
	return out, nil
}

// duplicates finds clients by what tells them apart.
type duplicates struct{ email, phone, name map[string]*shop.Client }

func newDuplicates(all []shop.Client) *duplicates {
	d := &duplicates{map[string]*shop.Client{}, map[string]*shop.Client{}, map[string]*shop.Client{}}
	for i := range all {
		if all[i].Erased.IsZero() {
			d.add(&all[i])
		}
	}
	return d
}

func (d *duplicates) add(c *shop.Client) {
	for _, e := range emails(*c) {
		d.email[e] = c
	}
	for _, p := range phones(*c) {
		d.phone[p] = c
	}
	d.name[nameKey(c.Name)] = c
}

// find is the client whom another looks like: the same e-mail address or telephone
// number, or the same name with nothing that speaks against it.
func (d *duplicates) find(c shop.Client) (*shop.Client, string) {
	for _, e := range emails(c) {
		if of := d.email[e]; of != nil {
			return of, "the same e-mail address"
		}
	}
	for _, p := range phones(c) {
		if of := d.phone[p]; of != nil {
			return of, "the same telephone number"
		}
	}
	if of := d.name[nameKey(c.Name)]; of != nil && (of.Country == "" || c.Country == "" ||
		strings.EqualFold(of.Country, c.Country)) {
		return of, "the same name"
	}
	return nil, ""
}

// EarlierCards is for each card the place of the earlier one of the same file that an import would take it for; 0 for
// none.
func EarlierCards(cards []Card) []int {
	known, place := newDuplicates(nil), map[*shop.Client]int{}
	out := make([]int, len(cards))
	for i := range cards {
		c := &cards[i].Client
		if of, _ := known.find(*c); of != nil {
			out[i] = place[of]
			continue
		}
		known.add(c)
		place[c] = cards[i].N
	}
	return out
}

func emails(c shop.Client) []string {
	return reach(c, "email", c.Email, func(s string) string { return strings.ToLower(strings.TrimSpace(s)) })
}

// phones are the last nine digits of each number: what goes before is written in many
// ways (+44, 0044, 0).
func phones(c shop.Client) []string {
	return reach(c, "phone", c.Phone, func(s string) string {
		digits := strings.Map(func(r rune) rune {
			if r >= '0' && r <= '9' {
				return r
			}
			return -1
		}, s)
		if len(digits) < 7 {
			return ""
		}
		return digits[max(0, len(digits)-9):]
	})
}

func reach(c shop.Client, kind, first string, key func(string) string) []string {
	var out []string
	if k := key(first); k != "" {
		out = append(out, k)
	}
	for _, x := range c.Channels {
		if k := key(x.Value); x.Kind == kind && k != "" {
			out = append(out, k)
		}
	}
	return out
}

// nameKey is a name by its letters, whatever their case and the order of the words.
func nameKey(name string) string {
	words := strings.FieldsFunc(strings.ToLower(name), func(r rune) bool {
		return !unicode.IsLetter(r) &&
			!unicode.IsNumber(r)
	})
	slices.Sort(words)
	return strings.Join(words, " ")
}

// merged is the record with what it lacks from another.
func merged(c, more shop.Client) shop.Client {
	for _, x := range []struct {
		to   *string
		from string
	}{{&c.Email, more.Email}, {&c.Phone, more.Phone}, {&c.Country, more.Country}, {&c.Note, more.Note}, {&c.Language,
		more.Language}, {&c.Kind, more.Kind}} {
		if *x.to == "" {
			*x.to = x.from
		}
	}
	if c.Address == (shop.Address{}) {
		c.Address = more.Address
	}
	c.Channels, c.Wants = slices.Clone(c.Channels), slices.Clone(c.Wants)
	extra := more.Channels
	if more.Email != "" && !strings.EqualFold(more.Email, c.Email) {
		extra = append(slices.Clone(extra), shop.Channel{Kind: "email", Value: more.Email})
	}
	if more.Phone != "" && !slices.Equal(phones(shop.Client{Phone: more.Phone}), phones(shop.Client{Phone: c.Phone})) {
		extra = append(slices.Clone(extra), shop.Channel{Kind: "phone", Value: more.Phone})
	}
	for _, x := range extra {
		if !slices.ContainsFunc(c.Channels, func(y shop.Channel) bool {
			return y.Kind == x.Kind &&
				y.Value == x.Value
		}) {
			c.Channels = append(c.Channels, x)
		}
	}
	for _, w := range more.Wants {
		if !slices.Contains(c.Wants, w) {
			c.Wants = append(c.Wants, w)
		}
	}
	return c
}

func sortChannels(all []shop.Channel) {
	slices.SortFunc(all, func(a, b shop.Channel) int {
		return cmp.Or(cmp.Compare(a.Kind, b.Kind),
			cmp.Compare(a.Value, b.Value))
	})
}
