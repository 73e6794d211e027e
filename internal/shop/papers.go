package shop

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"slices"
	"time"

	"midcase/internal/shop/ledger"
	"midcase/money"
)

// series is the numbering that a paper of a day belongs to. Credit notes are numbered
// with the invoices. Each year begins anew.
func (k PaperKind) series(year int) (name, form string) {
	letter := map[PaperKind]string{PaperReport: "R", PaperValuation: "V", PaperListing: "L", PaperIdentification: "S", PaperTrace: "T", PaperMemo: "M", PaperPurchase: "P", PaperConsignment: "C"}[k]
	if k == PaperInvoice || k == PaperCredit {
		return fmt.Sprintf("invoice-%d", year), fmt.Sprintf("%d-%%04d", year)
	}
	return fmt.Sprintf("%s-%d", letter, year), fmt.Sprintf("%s-%d-%%04d", letter, year)
}

// Papers lists the papers that were made, latest first.
func (s *Shop) Papers(ctx context.Context, f PaperFilter) ([]Paper, error) {
	return s.stores.Papers.Papers(ctx, f)
}

// PaperWith returns a paper with what it says. That a client's paper was seen is logged.
func (s *Shop) PaperWith(ctx context.Context, id string) (Paper, string, error) {
	p, content, err := s.stores.Papers.Paper(ctx, id)
	if err != nil || p.Client == "" {
		return p, content, err
	}
	return p, content, s.logAccess(ctx, p.Client, string(p.Kind)+" "+p.Number+" seen")
}

// Printed is a paper ready to be kept: its files by ending, and what it says where it
// names a client.
type Printed struct {
	Files   map[string][]byte
	Content string
	Total   money.Money
}

// IssuePaper numbers a paper, has it printed with that number, and keeps it. print is
// called with the paper's number and may be called again where another paper took the number
// meanwhile. The files of papers without a client are kept among the blobs.
func (s *Shop) IssuePaper(ctx context.Context, p Paper, print func(number string) (Printed, error)) (Paper, error) {
	what := "make " + string(p.Kind)
	now := s.opt.Now()
	p.ID, p.At = s.opt.NewID("pa"), now
	if p.Day == "" {
		p.Day = now.Format(time.DateOnly)
	}
	day, err := time.Parse(time.DateOnly, p.Day)
	if err != nil {
		return Paper{}, invalid(what, "day", fmt.Sprintf("%q", p.Day), "a day such as 2026-03-01")
	}
	w, err := s.stores.Watches.Watch(ctx, p.Watch)
	if err != nil {
		return Paper{}, fmt.Errorf("%s: %w", what, err)
	}
	p.Title = w.Title
	series, form := p.Kind.series(day.Year())
	p.Series = series
	for try := 0; ; try++ {
		last, err := s.stores.Papers.LastPaper(ctx, series)
		if err != nil {
			return Paper{}, fmt.Errorf("%s: %w", what, err)
		}
		p.InSeries, p.Number = last+1, fmt.Sprintf(form, last+1)
		kept, err := s.printAndKeep(ctx, p, print)
		if errors.Is(err, ErrConflict) && try < 5 {
			continue
		}
		if err != nil {
			return Paper{}, fmt.Errorf("%s: %w", what, err)
		}
		if kept.Client == "" {
			return kept, nil
		}
		return kept, s.logAccess(ctx, kept.Client, string(kept.Kind)+" "+kept.Number+" made")
	}
}

// LogHead is the size and root of the evidence log; ok is false where it cannot be read.
func (s *Shop) LogHead(ctx context.Context) (size int64, root string, ok bool) {
	size, root, err := s.stores.Watches.Head(ctx)
	return size, root, err == nil
}

func (s *Shop) printAndKeep(ctx context.Context, p Paper, print func(string) (Printed, error)) (Paper, error) {
	printed, err := print(p.Number)
	if err != nil {
		return Paper{}, err
	}
	p.Total, p.Files = printed.Total, nil
	for _, ending := range []string{"pdf", "md", "json", "jsonld", "html"} {
		b, ok := printed.Files[ending]
		if !ok {
			continue
		}
		sum := sha256.Sum256(b)
		f := PaperFile{Ending: ending, SHA256: hex.EncodeToString(sum[:]), Size: len(b)}
		if p.Client == "" { // what names a person is kept sealed, not as a file
			if _, _, err := s.stores.Blobs.Put(ctx, bytes.NewReader(b), paperBytes); err != nil {
				return Paper{}, err
			}
			f.Kept = true
		}
		p.Files = append(p.Files, f)
	}
	return s.stores.Papers.KeepPaper(ctx, p, printed.Content)
}

const paperBytes = 64 << 20

// PaperFile opens a file of a paper that is kept among the blobs.
func (s *Shop) PaperFile(ctx context.Context, f PaperFile) (io.ReadSeekCloser, error) {
	return s.stores.Blobs.Open(ctx, f.SHA256)
}

// Dealt is a step of a watch that a paper can be made of.
type Dealt struct {
	Kind    PaperKind
	Step    Movement
	Entry   ledger.Entry // the zero Entry for a memo
	Made    []Paper      // of this kind and step, latest first
	Invoice *Paper       // for a credit note: the invoice that it takes back
	Reason  string       // likewise
}

// Dealings lists the steps of a watch of which papers can be made, the latest first, with
// those made already. An invoice whose sale was undone or refunded calls for a credit note.
func (s *Shop) Dealings(ctx context.Context, id WatchID) ([]Dealt, error) {
	moves, err := s.History(ctx, id)
	if err != nil {
		return nil, err
	}
	entries, err := s.Entries(ctx, EntryFilter{Watch: id})
	if err != nil {
		return nil, fmt.Errorf("papers: %w", err)
	}
	byID := map[string]ledger.Entry{}
	for _, e := range entries {
		byID[e.ID] = e
	}
	made, err := s.Papers(ctx, PaperFilter{Watch: id})
	if err != nil {
		return nil, err
	}
	var out []Dealt
	for _, m := range Effective(moves) {
		out = append(out, dealtIn(m, byID)...)
	}
	out = append(out, toCredit(moves, byID, made)...)
	for i := range out {
		for _, p := range made {
			if p.Kind == out[i].Kind && p.Step == out[i].Step.ID {
				out[i].Made = append(out[i].Made, p)
			}
		}
	}
	slices.Reverse(out)
	return out, nil
}

// dealtIn are the papers that one movement calls for.
func dealtIn(m Movement, entries map[string]ledger.Entry) []Dealt {
	var out []Dealt
	if m.To == OnMemo && m.From != OnMemo {
		out = append(out, Dealt{Kind: PaperMemo, Step: m})
	}
	kinds := map[ledger.Kind]PaperKind{ledger.KindSale: PaperInvoice, ledger.KindPurchase: PaperPurchase, ledger.KindPartExchange: PaperPurchase, ledger.KindShareBuy: PaperPurchase, ledger.KindConsignIn: PaperConsignment}
	for _, id := range m.Entries {
		if k, ok := kinds[entries[id].Kind]; ok {
			out = append(out, Dealt{Kind: k, Step: m, Entry: entries[id]})
		}
	}
	return out
}

// toCredit are the credit notes called for: by sales undone, and by whole refunds.
func toCredit(moves []Movement, entries map[string]ledger.Entry, made []Paper) []Dealt {
	gone := map[string]Movement{} // by the id of the sale's entry
	for _, m := range moves {
		if m.Undoes != "" {
			for _, sold := range moves {
				if sold.ID == m.Undoes {
					for _, e := range sold.Entries {
						gone[e] = m
					}
				}
			}
		}
		for _, e := range m.Entries {
			if r := entries[e]; r.Kind == ledger.KindRefund && r.Refunds != "" && (r.Goods == nil || !r.Goods.Part) {
				gone[r.Refunds] = m
			}
		}
	}
	var out []Dealt
	for i := range made {
		if m, ok := gone[made[i].Entry]; ok && made[i].Kind == PaperInvoice {
			d := Dealt{Kind: PaperCredit, Step: m, Entry: entries[made[i].Entry], Invoice: &made[i], Reason: "the sale was refunded"}
			if m.Undoes != "" {
				d.Reason = "the sale was taken back"
			}
			out = append(out, d)
		}
	}
	return out
}
