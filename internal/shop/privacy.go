package shop

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"midcase/evidence"
	"midcase/internal/shop/ledger"
)

// Accesses lists who saw or changed the data of a client, or of any where it is empty.
func (s *Shop) Accesses(ctx context.Context, client string) ([]Access, error) {
	return s.stores.Privacy.Accesses(ctx, client)
}

// ClientFile is everything that the shop keeps about a client, for handing over.
type ClientFile struct {
	Client    Client         `json:"client"`
	Showings  []Showing      `json:"showings"`
	Movements []Movement     `json:"movements"` // steps of watches in which the client had a part
	Entries   []ledger.Entry `json:"entries"`
	Accesses  []Access       `json:"accesses"`
	Made      time.Time      `json:"made"`
}

// ExportClient gathers everything that the shop keeps about a client.
func (s *Shop) ExportClient(ctx context.Context, id string) (ClientFile, error) {
	return s.clientFile(ctx, id, "exported")
}

func (s *Shop) clientFile(ctx context.Context, id, noted string) (ClientFile, error) {
	const what = "export client"
	if err := s.logAccess(ctx, id, noted); err != nil {
		return ClientFile{}, err
	}
	c, err := s.stores.Clients.Client(ctx, id)
	if err != nil {
		return ClientFile{}, fmt.Errorf("%s: %w", what, err)
	}
	out := ClientFile{Client: c, Made: s.opt.Now(), Showings: []Showing{}, Movements: []Movement{}, Entries: []ledger.Entry{}, Accesses: []Access{}}
	shown, err := s.Showings(ctx, "", id)
	if err != nil {
		return ClientFile{}, fmt.Errorf("%s: %w", what, err)
	}
	moves, err := s.stores.Steps.MovementsWith(ctx, id)
	if err != nil {
		return ClientFile{}, fmt.Errorf("%s: %w", what, err)
	}
	out.Movements = append(out.Movements, moves...)
	entries, err := s.Entries(ctx, EntryFilter{Party: id})
	if err != nil {
		return ClientFile{}, fmt.Errorf("%s: %w", what, err)
	}
	accesses, err := s.Accesses(ctx, id)
	if err != nil {
		return ClientFile{}, fmt.Errorf("%s: %w", what, err)
	}
	out.Showings, out.Entries, out.Accesses = append(out.Showings, shown...), append(out.Entries, entries...), append(out.Accesses, accesses...)
	return out, nil
}

// Erasure says what an erasure left, and why.
type Erasure struct {
	Client   string   `json:"client"`
	Entries  int      `json:"entries_kept"` // of the ledger, with the client's id only
	Steps    int      `json:"steps_kept"`
	Cautions []string `json:"cautions"`
}

// EraseClient takes a client's personal data away for good: the record is blanked and
// everything kept of it before becomes unreadable. Ledger entries and steps of watches
// remain with the id alone. It is refused while money is open between the two, a watch
// of the client's is in the shop, or the record of a seller must still be kept by the
// local rules, unless override gives the reason, such as an order of court.
func (s *Shop) EraseClient(ctx context.Context, id, override string) (Erasure, error) {
	const what = "erase client"
	c, err := s.stores.Clients.Client(ctx, id)
	if err != nil {
		return Erasure{}, fmt.Errorf("%s: %w", what, err)
	}
	if !c.Erased.IsZero() {
		return Erasure{}, invalid(what, "client", "one that was erased "+c.Erased.Format(time.DateOnly), "a client on record")
	}
	file, err := s.clientFile(ctx, id, "gathered before erasing")
	if err != nil {
		return Erasure{}, err
	}
	against, err := s.againstErasing(ctx, file)
	if err != nil {
		return Erasure{}, err
	}
	if len(against) > 0 && strings.TrimSpace(override) == "" {
		return Erasure{}, &Invalid{What: what, Problems: against}
	}
	note := "erased"
	if len(against) > 0 {
		note = "erased against " + against[0].Field + " and others: " + strings.TrimSpace(override)
	}
	if err := s.logAccess(ctx, id, note); err != nil {
		return Erasure{}, err
	}
	now := s.opt.Now()
	if _, err := s.stores.Privacy.EraseClient(ctx, Client{ID: id, Created: c.Created, Changed: now, Erased: now, Version: c.Version}); err != nil {
		return Erasure{}, fmt.Errorf("%s: %w", what, err)
	}
	return Erasure{Client: id, Entries: len(file.Entries), Steps: len(file.Movements), Cautions: ErasureCautions()}, nil
}

// ErasureCautions are what an erasure does not reach.
func ErasureCautions() []string {
	return []string{
		"Back-ups made earlier still hold the data: destroy them when their time is over.",
		"Papers that were printed or sent, and free text typed into notes of watches, are not reached.",
		CheckLocalRules,
	}
}

// BeforeErasing tells what is kept of a client and what stands against erasing it now, so
// that it can be looked at first.
func (s *Shop) BeforeErasing(ctx context.Context, id string) (ClientFile, evidence.Problems, error) {
	file, err := s.clientFile(ctx, id, "erasure looked at")
	if err != nil {
		return ClientFile{}, nil, err
	}
	against, err := s.againstErasing(ctx, file)
	return file, against, err
}

// againstErasing are the reasons for which the data must be kept for now.
func (s *Shop) againstErasing(ctx context.Context, file ClientFile) (evidence.Problems, error) {
	var p evidence.Problems
	id := file.Client.ID
	for account := range settlements {
		open, err := ledger.Open(account, id, file.Entries)
		if err != nil {
			return nil, err
		}
		for _, l := range open {
			p = append(p, evidence.Problem{Field: string(account), Found: l.Amount.String() + " open", Want: "nothing open"})
		}
	}
	watches, err := s.stockList(ctx)
	if err != nil {
		return nil, err
	}
	for _, w := range watches {
		if w.State == Sold || w.State == Returned {
			continue
		}
		if w.Holder == id || w.Client == id && (w.State == Reserved || w.State == OnMemo || w.Ownership() == OfOthers) {
			p = append(p, evidence.Problem{Field: "watch", Found: fmt.Sprintf("no. %d, %s", w.Number, w.State), Want: "no watch of the client's, or for the client, in the shop"})
		}
	}
	rules, err := s.Rules(ctx)
	if err != nil {
		return nil, err
	}
	until := s.opt.Now().AddDate(-rules.KeepYears, 0, 0).Format(time.DateOnly)
	for _, e := range file.Entries {
		if e.Goods != nil && e.Party == id && e.Day > until {
			p = append(p, evidence.Problem{Field: "record", Found: "a " + strings.ReplaceAll(string(e.Kind), "_", " ") + " of " + e.Day,
				Want: fmt.Sprintf("records older than %d years, by the local rules", rules.KeepYears)})
			break
		}
	}
	return p, nil
}

// Client returns one client; that it was looked at is logged.
func (s *Shop) Client(ctx context.Context, id string) (Client, error) {
	c, err := s.stores.Clients.Client(ctx, id)
	if err != nil {
		return Client{}, err
	}
	return c, s.logAccess(ctx, id, "seen")
}

// ChangeClient writes a changed client over the version that was read.
func (s *Shop) ChangeClient(ctx context.Context, c Client) (Client, error) {
	const what = "change client"
	if err := checkClient(what, c); err != nil {
		return Client{}, err
	}
	old, err := s.stores.Clients.Client(ctx, c.ID)
	if err != nil {
		return Client{}, fmt.Errorf("%s: %w", what, err)
	}
	if !old.Erased.IsZero() {
		return Client{}, invalid(what, "client", "one whose data were erased", "a client on record")
	}
	if err := s.logAccess(ctx, c.ID, "changed"); err != nil {
		return Client{}, err
	}
	c.Changed = s.opt.Now()
	kept, err := s.stores.Clients.UpdateClient(ctx, c)
	if err != nil {
		return Client{}, fmt.Errorf("%s: %w", what, err)
	}
	return kept, nil
}

// FindClient resolves an id, a whole name, an e-mail address, or a part of a name that only
// one client has.
func (s *Shop) FindClient(ctx context.Context, key string) (Client, error) {
	c, err := s.stores.Clients.Client(ctx, key)
	if err == nil || !errors.Is(err, ErrNotFound) {
		if err == nil {
			err = s.logAccess(ctx, c.ID, "seen")
		}
		return c, err
	}
	all, err := s.clientList(ctx)
	if err != nil {
		return Client{}, err
	}
	want := strings.ToLower(strings.TrimSpace(key))
	var whole, part []Client
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
		return Client{}, notFoundSays(fmt.Sprintf("no client %q; want an id, a name or an e-mail address", key))
	case 1:
		return whole[0], s.logAccess(ctx, whole[0].ID, "seen")
	}
	ids := make([]string, 0, 5)
	for _, c := range whole[:min(5, len(whole))] {
		ids = append(ids, c.ID)
	}
	return Client{}, fmt.Errorf("client %q: %w: name one by its id: %s", key, ErrAmbiguous, strings.Join(ids, ", "))
}
