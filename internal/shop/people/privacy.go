package people

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/rights"
	"midcase/internal/shop/trade"
)

// Accesses lists who saw or changed the data of a client, or of any where it is empty.
func (r *Room) Accesses(ctx context.Context, client string) ([]shop.Access, error) {
	return r.stores.Privacy.Accesses(ctx, client)
}

// ClientFile is everything that the shop keeps about a client, for handing over.
type File struct {
	Client    shop.Client     `json:"client"`
	Showings  []shop.Showing  `json:"showings"`
	Movements []shop.Movement `json:"movements"` // steps of watches in which the client had a part
	Entries   []ledger.Entry  `json:"entries"`
	Accesses  []shop.Access   `json:"accesses"`
	Links     []shop.Link     `json:"private_links,omitempty"`
	Mentions  []Mention       `json:"mentions,omitempty"` // before an erasure: what it will not reach
	Made      time.Time       `json:"made"`
	LeftOut   string          `json:"left_out,omitempty"` // what whoever exported it may not see
}

// notWhole says of an export that it is not all that is kept.
const notWhole = "entries of the ledger and what was paid are left out, as they are not shown to your role: " +
	"an owner exports the whole file"

// ExportClient gathers everything that the shop keeps about a client.
func (r *Room) Export(ctx context.Context, id string) (File, error) {
	f, err := r.clientFile(ctx, id, "exported")
	if err != nil || rights.May(ctx, rights.Cost) {
		return f, err
	}
	for i := range f.Movements {
		f.Movements[i] = shop.SeenMovement(ctx, f.Movements[i])
	}
	f.Entries, f.LeftOut = []ledger.Entry{}, notWhole
	return f, nil
}

func (r *Room) clientFile(ctx context.Context, id, noted string) (File, error) {
	const what = "export client"
	if err := r.access(ctx, id, noted); err != nil {
		return File{}, err
	}
	c, err := r.stores.Clients.Client(ctx, id)
	if err != nil {
		return File{}, fmt.Errorf("%s: %w", what, err)
	}
	out := File{Client: c, Made: r.shop.Now(), Showings: []shop.Showing{}, Movements: []shop.Movement{},
		Entries: []ledger.Entry{}, Accesses: []shop.Access{}}
	shown, err := r.Showings(ctx, "", id)
	if err != nil {
		return File{}, fmt.Errorf("%s: %w", what, err)
	}
	moves, err := r.stores.Steps.MovementsWith(ctx, id)
	if err != nil {
		return File{}, fmt.Errorf("%s: %w", what, err)
	}
	out.Movements = append(out.Movements, moves...)
	entries, err := r.shop.Entries(ctx, shop.EntryFilter{Party: id})
	if err != nil {
		return File{}, fmt.Errorf("%s: %w", what, err)
	}
	if out.Links, err = r.stores.Links.Links(ctx, shop.LinkFilter{Client: id}); err != nil {
		return File{}, fmt.Errorf("%s: %w", what, err)
	}
	accesses, err := r.Accesses(ctx, id)
	if err != nil {
		return File{}, fmt.Errorf("%s: %w", what, err)
	}
	out.Showings, out.Entries, out.Accesses = append(out.Showings, shown...), append(out.Entries,
		entries...), append(out.Accesses, accesses...)
	return out, nil
}

// Erasure says what an erasure left, and why.
type Erasure struct {
	Client   string   `json:"client"`
	Entries  int      `json:"entries_kept"` // of the ledger, with the client's id only
	Steps    int      `json:"steps_kept"`
	Cautions []string `json:"cautions"`

	Mentions []Mention `json:"mentions,omitempty"` // where the client was named in other records, and still is
}

// EraseClient takes a client's personal data away for good: the record is blanked and
// everything kept of it before becomes unreadable. Ledger entries and steps of watches
// remain with the id alone. It is refused while money is open between the two, a watch
// of the client's is in the shop, or the record of a seller must still be kept by the
// local rules, unless override gives the reason, such as an order of court.
func (r *Room) Erase(ctx context.Context, id, override string) (Erasure, error) {
	const what = "erase client"
	c, err := r.stores.Clients.Client(ctx, id)
	if err != nil {
		return Erasure{}, fmt.Errorf("%s: %w", what, err)
	}
	if !c.Erased.IsZero() {
		return Erasure{}, shop.Refuse(what, "client", "one that was erased "+c.Erased.Format(time.DateOnly),
			"a client on record")
	}
	file, err := r.clientFile(ctx, id, "gathered before erasing")
	if err != nil {
		return Erasure{}, err
	}
	against, err := r.againstErasing(ctx, file)
	if err != nil {
		return Erasure{}, err
	}
	if len(against) > 0 && strings.TrimSpace(override) == "" {
		return Erasure{}, &shop.Invalid{What: what, Problems: against}
	}
	if file.Mentions, err = r.Mentions(ctx, c); err != nil {
		return Erasure{}, err
	}
	note := "erased"
	if len(against) > 0 {
		note = "erased against " + against[0].Field + " and others: " + strings.TrimSpace(override)
	}
	if err := r.access(ctx, id, note); err != nil {
		return Erasure{}, err
	}
	if err := r.stores.Links.DropLinks(ctx, id); err != nil {
		return Erasure{}, fmt.Errorf("%s: %w", what, err)
	}
	now := r.shop.Now()
	if _, err := r.stores.Privacy.EraseClient(ctx, shop.Client{ID: id, Created: c.Created, Changed: now, Erased: now,
		Version: c.Version}); err != nil {
		return Erasure{}, fmt.Errorf("%s: %w", what, err)
	}
	return Erasure{Client: id, Entries: len(file.Entries), Steps: len(file.Movements), Cautions: ErasureCautions(),
		Mentions: file.Mentions}, nil
}

// ErasureCautions are what an erasure does not reach.
func ErasureCautions() []string {
	return []string{
		"Back-ups made earlier still hold the data: destroy them when their time is over.",
		"Papers that were printed or sent are not reached; nor is free text that names the person and was not taken away " +
			"before, such as in notes of watches.",
		trade.CheckLocalRules,
	}
}

// BeforeErasing tells what is kept of a client and what stands against erasing it now, so
// that it can be looked at first.
func (r *Room) BeforeErasing(ctx context.Context, id string) (File, evidence.Problems, error) {
	file, err := r.clientFile(ctx, id, "erasure looked at")
	if err != nil {
		return File{}, nil, err
	}
	if file.Mentions, err = r.Mentions(ctx, file.Client); err != nil {
		return File{}, nil, err
	}
	against, err := r.againstErasing(ctx, file)
	return file, against, err
}

// againstErasing are the reasons for which the data must be kept for now.
func (r *Room) againstErasing(ctx context.Context, file File) (evidence.Problems, error) {
	var p evidence.Problems
	id := file.Client.ID
	for account := range trade.Settlements {
		open, err := ledger.Open(account, id, file.Entries)
		if err != nil {
			return nil, err
		}
		for _, l := range open {
			p = append(p, evidence.Problem{Field: string(account), Found: l.Amount.String() + " open",
				Want: "nothing open"})
		}
	}
	watches, err := r.shop.StockList(ctx)
	if err != nil {
		return nil, err
	}
	for _, w := range watches {
		if w.State == shop.Sold || w.State == shop.Returned {
			continue
		}
		if w.Holder == id || w.Client == id && (w.State == shop.Reserved || w.State == shop.OnMemo ||
			w.Ownership() == shop.OfOthers) {
			p = append(p, evidence.Problem{Field: "watch", Found: fmt.Sprintf("no. %d, %s", w.Number, w.State),
				Want: "no watch of the client's, or for the client, in the shop"})
		}
	}
	rules, err := r.trade.Rules(ctx)
	if err != nil {
		return nil, err
	}
	until := r.shop.Now().AddDate(-rules.KeepYears, 0, 0).Format(time.DateOnly)
	for _, e := range file.Entries {
		if e.Goods != nil && e.Party == id && e.Day > until {
			p = append(p, evidence.Problem{Field: "record", Found: "a " + strings.ReplaceAll(string(e.Kind), "_", " ") +
				" of " + e.Day,
				Want: fmt.Sprintf("records older than %d years, by the local rules", rules.KeepYears)})
			break
		}
	}
	return p, nil
}

// Client returns one client; that it was looked at is logged.
func (r *Room) Client(ctx context.Context, id string) (shop.Client, error) {
	c, err := r.stores.Clients.Client(ctx, id)
	if err != nil {
		return shop.Client{}, err
	}
	return c, r.access(ctx, id, "seen")
}

// ChangeClient writes a changed client over the version that was read.
func (r *Room) Change(ctx context.Context, c shop.Client) (shop.Client, error) {
	const what = "change client"
	if err := checkClient(what, c); err != nil {
		return shop.Client{}, err
	}
	old, err := r.stores.Clients.Client(ctx, c.ID)
	if err != nil {
		return shop.Client{}, fmt.Errorf("%s: %w", what, err)
	}
	if !old.Erased.IsZero() {
		return shop.Client{}, shop.Refuse(what, "client", "one whose data were erased", "a client on record")
	}
	if err := r.access(ctx, c.ID, "changed"); err != nil {
		return shop.Client{}, err
	}
	c.Changed = r.shop.Now()
	kept, err := r.stores.Clients.UpdateClient(ctx, c)
	if err != nil {
		return shop.Client{}, fmt.Errorf("%s: %w", what, err)
	}
	return kept, nil
}

// FindClient resolves an id, a whole name, an e-mail address, or a part of a name that only
// one client has.
func (r *Room) Find(ctx context.Context, key string) (shop.Client, error) {
	c, err := r.stores.Clients.Client(ctx, key)
	if err == nil || !errors.Is(err, shop.ErrNotFound) {
		if err == nil {
			err = r.access(ctx, c.ID, "seen")
		}
		return c, err
	}
	all, err := r.shop.ClientList(ctx)
	if err != nil {
		return shop.Client{}, err
	}
	want := strings.ToLower(strings.TrimSpace(key))
	var whole, part []shop.Client
	for _, c := range all {
		name := strings.ToLower(c.Name)
		switch {
		case want != "" && (name == want || strings.ToLower(c.Email) == want):
			whole = append(whole, c)
		case want != "" && strings.Contains(name, want):
			part = append(part, c)
		}
	}
	if len(whole) == 0 {
		whole = part
	}
	switch len(whole) {
	case 0:
		return shop.Client{}, shop.NotFound(fmt.Sprintf("there is no client “%s”; give an id, a name or an e-mail address", key))
	case 1:
		return whole[0], r.access(ctx, whole[0].ID, "seen")
	}
	ids := make([]string, 0, 5)
	for _, c := range whole[:min(5, len(whole))] {
		ids = append(ids, c.ID)
	}
	return shop.Client{}, fmt.Errorf("client %q: %w: name one by its id: %s", key, shop.ErrAmbiguous,
		strings.Join(ids, ", "))
}
