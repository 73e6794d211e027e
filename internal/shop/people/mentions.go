package people

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"midcase/evidence"
	"midcase/internal/shop"
)

// Mention is a place outside a client's own record where the client is named. Erasing the record does not reach it.
type Mention struct {
	Where   string       `json:"where"` // watch, evidence, listing text, step, ledger, example, paper, client
	Watch   shop.WatchID `json:"watch,omitempty"`
	ID      string       `json:"id,omitempty"` // of the item, the step, the entry or the other client; a paper's number
	Field   string       `json:"field"`
	Excerpt string       `json:"excerpt"`
	// Removable says that Redact can take the words away for good.
	Removable bool `json:"removable,omitempty"`
}

// Key names the record of a mention that Redact can take away.
func (m Mention) Key() string { return m.Where + " " + string(m.Watch) + " " + m.ID }

// Mentions lists where name, mail, phone or street of a client stand in what people typed elsewhere: watches, evidence,
// listings in the dealer's own words, steps, the ledger, other clients, and what issued papers say. Pictures, sounds
// and earlier versions of a watch's note are not read.
func (r *Room) Mentions(ctx context.Context, c shop.Client) ([]Mention, error) {
	m := mentions{traces: tracesOf(c)}
	if len(m.traces) == 0 {
		return nil, nil
	}
	const what = "where is the client named"
	watches, err := r.shop.StockList(ctx)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", what, err)
	}
	for _, w := range watches {
		m.look(Mention{Where: "watch", Watch: w.ID}, w)
		if w.Damaged != "" {
			continue
		}
		items, err := r.stores.Watches.Evidence(ctx, w.ID)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", what, err)
		}
		for _, it := range items {
			m.look(Mention{Where: "evidence", Watch: w.ID, ID: string(it.ID), Removable: evidence.Redactable(it) == ""},
				said{it.By, it.Note, it.Data})
		}
	}
	moves, err := r.stores.Steps.Movements(ctx, "")
	if err != nil {
		return nil, fmt.Errorf("%s: %w", what, err)
	}
	for _, x := range moves {
		m.look(Mention{Where: "step", Watch: x.Watch, ID: x.ID}, x)
	}
	for e, err := range r.stores.Steps.Entries(ctx, shop.EntryFilter{}) {
		if err != nil {
			return nil, fmt.Errorf("%s: %w", what, err)
		}
		m.look(Mention{Where: "ledger", Watch: shop.WatchID(e.Watch), ID: e.ID}, e)
	}
	seen, err := r.stores.Examples.Examples(ctx)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", what, err)
	}
	for _, x := range seen {
		m.look(Mention{Where: "example", ID: x.ID}, x)
	}
	if err := errors.Join(r.inTexts(ctx, &m, watches), r.inPapers(ctx, &m)); err != nil {
		return nil, fmt.Errorf("%s: %w", what, err)
	}
	others, err := r.shop.ClientList(ctx)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", what, err)
	}
	for _, x := range others {
		if x.ID != c.ID {
			m.look(Mention{Where: "client", ID: x.ID}, x)
		}
	}
	return m.found, nil
}

// inTexts looks through the listings in the dealer's own words, every version of them.
func (r *Room) inTexts(ctx context.Context, m *mentions, watches []shop.Watch) error {
	for _, w := range watches {
		texts, err := r.stores.Texts.Texts(ctx, w.ID, shop.TextOf{})
		if err != nil {
			return err
		}
		for _, t := range texts {
			m.look(Mention{Where: "listing text", Watch: w.ID, ID: t.Of.Key() + " version " + strconv.Itoa(t.N)}, t)
		}
	}
	return nil
}

// said is what somebody typed into an item of evidence.
type said struct {
	By   string        `json:"by"`
	Note string        `json:"note"`
	Data evidence.Data `json:"data"`
}

// traces are what a person is known by: words, and the digits of telephone numbers.
type traces []trace

type trace struct {
	text   string // folded
	digits bool
}

func tracesOf(c shop.Client) traces {
	var all traces
	word := func(s string) {
		const telling = 4 // shorter ones are in every other text
		if s = folded(s); len([]rune(s)) >= telling {
			all = append(all, trace{text: s})
		}
	}
	phone := func(s string) {
		const telling, national = 6, 8 // with and without the country, the last digits are the same
		if d := onlyDigits(s); len(d) >= telling {
			all = append(all, trace{d[max(0, len(d)-national):], true})
		}
	}
	word(c.Name)
	word(c.Email)
	word(c.Address.Street)
	phone(c.Phone)
	for _, x := range c.Channels {
		if x.Kind == "phone" || x.Kind == "message" {
			phone(x.Value)
		}
		if x.Kind != "phone" {
			word(x.Value)
		}
	}
	return all
}

func folded(s string) string { return strings.Join(strings.Fields(strings.ToLower(s)), " ") }

func onlyDigits(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsDigit(r) {
			return r
		}
		return -1
	}, s)
}

func (all traces) in(s string) bool {
	words, digits := folded(s), onlyDigits(s)
	return slices.ContainsFunc(all, func(t trace) bool {
		return !t.digits && strings.Contains(words, t.text) || t.digits && strings.Contains(digits, t.text)
	})
}

type mentions struct {
	traces traces
	found  []Mention
}

// look searches every text of a record, by the names that it has in JSON.
func (m *mentions) look(at Mention, record any) {
	b, err := json.Marshal(record)
	if err != nil {
		return // what was read from the store can be written
	}
	var v any
	if json.Unmarshal(b, &v) == nil {
		m.walk(at, "", v)
	}
}

func (m *mentions) walk(at Mention, field string, v any) {
	switch x := v.(type) {
	case map[string]any:
		for _, name := range slices.Sorted(maps.Keys(x)) {
			m.walk(at, strings.TrimPrefix(field+"."+name, "."), x[name])
		}
	case []any:
		for _, one := range x {
			m.walk(at, field, one)
		}
	case string:
		if m.traces.in(x) {
			at.Field, at.Excerpt = strings.TrimPrefix(field, "data."), excerpt(x)
			at.Removable = at.Removable && at.Field != "by" || at.Where == "watch" && at.Field == "note"
			m.found = append(m.found, at)
		}
	}
}

func excerpt(s string) string {
	const enough = 80
	if r := []rune(s); len(r) > enough {
		return string(r[:enough]) + "…"
	}
	return s
}
