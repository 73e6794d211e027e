package papers

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"slices"
	"time"

	"golang.org/x/sync/semaphore"

	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/rights"
	"midcase/internal/shop/rooms"
	"midcase/money"
	"midcase/say"
)

// series is the numbering that a paper of a day belongs to. Credit notes are numbered
// with the invoices. Each year begins anew.
func series(k shop.PaperKind, year int) (name, form string) {
	letter := map[shop.PaperKind]string{shop.PaperReport: "R", shop.PaperValuation: "V", shop.PaperListing: "L",
		shop.PaperIdentification: "S", shop.PaperTrace: "T", shop.PaperMemo: "M", shop.PaperPurchase: "P",
		shop.PaperConsignment: "C", shop.PaperWork: "W", shop.PaperPacking: "K", shop.PaperSettlement: "O"}[k]
	if k == shop.PaperInvoice || k == shop.PaperCredit {
		return fmt.Sprintf("invoice-%d", year), fmt.Sprintf("%d-%%04d", year)
	}
	return fmt.Sprintf("%s-%d", letter, year), fmt.Sprintf("%s-%d-%%04d", letter, year)
}

// List lists the papers that were made, latest first.
func List(ctx context.Context, s *rooms.Shop, f shop.PaperFilter) ([]shop.Paper, error) {
	all, err := s.Stores().Papers.Papers(ctx, f)
	return slices.DeleteFunc(all, func(p shop.Paper) bool { return mayRead(ctx, p.Kind) != nil }), err
}

// mayRead errs where a kind of paper says what was paid, what work may cost or what an owner gets, and whoever asks
// may not see that.
func mayRead(ctx context.Context, k shop.PaperKind) error {
	if k == shop.PaperPurchase || k == shop.PaperConsignment || k == shop.PaperSettlement || k == shop.PaperWork {
		return rights.Check(ctx, rights.Cost)
	}
	return nil
}

// Get returns a paper with what it says. That a client's paper was seen is logged.
func Get(ctx context.Context, s *rooms.Shop, id string) (shop.Paper, string, error) {
	p, content, err := s.Stores().Papers.Paper(ctx, id)
	if err == nil {
		err = mayRead(ctx, p.Kind)
	}
	if err != nil {
		return shop.Paper{}, "", err
	}
	if p.Client == "" {
		return p, content, err
	}
	return p, content, s.LogAccess(ctx, p.Client, string(p.Kind)+" "+p.Number+" seen")
}

// printed is a paper ready to be kept: its files by ending, and what it says where it
// names a client.
type printed struct {
	files   map[string][]byte
	content string
	total   money.Money
}

// turn is had by one paper at a time, so that of many made at once none loses its number to another and none is
// printed twice. Another program may still take a number meanwhile.
var turn = semaphore.NewWeighted(1)

// mostNumbers is how many numbers in a row other programs may take before a paper gives up.
const mostNumbers = 100

// inTurn waits for the turn to be numbered; done ends it.
func inTurn(ctx context.Context, k shop.PaperKind) (done func(), err error) {
	if err := turn.Acquire(ctx, 1); err != nil {
		return nil, fmt.Errorf("make %s: %w", k, err)
	}
	return func() { turn.Release(1) }, nil
}

// issue numbers a paper, has it printed with that number, and keeps it. print is
// called with the paper's number and may be called again where another paper took the number
// meanwhile. The files of papers without a client are kept among the blobs.
func issue(ctx context.Context, s *rooms.Shop, p shop.Paper, print func(number string) (printed, error)) (shop.Paper,
	error) {
	what := "make " + string(p.Kind)
	now := s.Now()
	p.ID, p.At = s.NewID("pa"), now
	typed := p.Day != ""
	if !typed {
		p.Day = now.Format(time.DateOnly)
	}
	day, err := time.Parse(time.DateOnly, p.Day)
	if err != nil {
		return shop.Paper{}, wrong(what, "day", fmt.Sprintf("%q", p.Day), "a day such as 2026-03-01")
	}
	if day.After(now.AddDate(0, 0, 1)) {
		return shop.Paper{}, wrong(what, "day", p.Day, "today or a day before: a paper is dated when it is issued")
	}
	w, err := s.Stores().Watches.Watch(ctx, p.Watch)
	if err != nil {
		return shop.Paper{}, fmt.Errorf("%s: %w", what, err)
	}
	p.Title = w.Title
	name, form := series(p.Kind, day.Year())
	p.Series = name
	if err := afterLast(ctx, s, p, typed); err != nil {
		return shop.Paper{}, fmt.Errorf("%s: %w", what, err)
	}
	for try := 0; ; try++ {
		last, err := s.Stores().Papers.LastPaper(ctx, name)
		if err != nil {
			return shop.Paper{}, fmt.Errorf("%s: %w", what, err)
		}
		p.InSeries, p.Number = last+1, fmt.Sprintf(form, last+1)
		kept, err := printAndKeep(ctx, s, p, print)
		if errors.Is(err, shop.ErrConflict) && try < mostNumbers && ctx.Err() == nil {
			continue // another program took the number
		}
		if err != nil {
			return shop.Paper{}, fmt.Errorf("%s: %w", what, err)
		}
		if kept.Client == "" {
			return kept, nil
		}
		return kept, s.LogAccess(ctx, kept.Client, string(kept.Kind)+" "+kept.Number+" made")
	}
}

// afterLast refuses to date a paper before the last paper of its series: the days of a series never run
// backwards.
func afterLast(ctx context.Context, s *rooms.Shop, p shop.Paper, typed bool) error {
	all, err := List(ctx, s, shop.PaperFilter{})
	if err != nil {
		return err
	}
	for _, last := range all {
		if last.Series != p.Series {
			continue
		}
		if last.Day > p.Day && typed {
			return wrong("issue a paper", "day", p.Day+", but "+last.Number+" is of "+last.Day,
				"that day or a later one: the days of a series never run backwards")
		}
		if last.Day > p.Day {
			return wrong("issue a paper", "day", "the clock says "+p.Day+", but "+last.Number+" is of "+last.Day,
				"the right clock, or the day typed in")
		}
		return nil
	}
	return nil
}

func printAndKeep(ctx context.Context, s *rooms.Shop, p shop.Paper, print func(string) (printed, error)) (shop.Paper,
	error) {
	made, err := print(p.Number)
	if err != nil {
		return shop.Paper{}, err
	}
	p.Total, p.Files = made.total, nil
	for _, ending := range []string{"pdf", "md", "json", "jsonld", "html", "xml"} {
		b, ok := made.files[ending]
		if !ok {
			continue
		}
		sum := sha256.Sum256(b)
		f := shop.PaperFile{Ending: ending, SHA256: hex.EncodeToString(sum[:]), Size: len(b)}
		if p.Client == "" { // what names a person is kept sealed, not as a file
			if _, _, err := s.Stores().Blobs.Put(ctx, bytes.NewReader(b), paperBytes); err != nil {
				return shop.Paper{}, err
			}
			f.Kept = true
		}
		p.Files = append(p.Files, f)
	}
	return s.Stores().Papers.KeepPaper(ctx, p, made.content)
}

const paperBytes = 64 << 20

// Occasion is a step of a watch that a paper can be made of.
type Occasion struct {
	Kind    shop.PaperKind
	Step    shop.Movement
	Entry   ledger.Entry  // the zero Entry for a memo
	Made    []shop.Paper  // of this kind and step, latest first
	Invoice *shop.Paper   // for a credit note: the invoice that it takes back; likewise of a settlement
	Reason  say.Statement // likewise

	Part     ledger.Entry // likewise: the allowance, where the note takes back a part
	Credited []shop.Paper // likewise: credit notes of the same invoice made before
}

// Occasions lists the steps of a watch of which papers can be made, the latest first, with
// those made already. An invoice whose sale was undone or refunded calls for a credit note.
func Occasions(ctx context.Context, s *rooms.Shop, id shop.WatchID) ([]Occasion, error) {
	moves, err := s.Trade.History(ctx, id)
	if err != nil {
		return nil, err
	}
	entries, err := s.Entries(ctx, shop.EntryFilter{Watch: id})
	if err != nil {
		return nil, fmt.Errorf("papers: %w", err)
	}
	byID := map[string]ledger.Entry{}
	for _, e := range entries {
		byID[e.ID] = e
	}
	made, err := List(ctx, s, shop.PaperFilter{Watch: id})
	if err != nil {
		return nil, err
	}
	var out []Occasion
	for _, m := range shop.Effective(moves) {
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
	return slices.DeleteFunc(out, func(o Occasion) bool { return mayRead(ctx, o.Kind) != nil }), nil
}

// dealtIn are the papers that one movement calls for.
func dealtIn(m shop.Movement, entries map[string]ledger.Entry) []Occasion {
	var out []Occasion
	switch {
	case m.From == m.To:
	case m.To == shop.OnMemo:
		out = append(out, Occasion{Kind: shop.PaperMemo, Step: m}, Occasion{Kind: shop.PaperPacking, Step: m})
	case m.To == shop.AtWorkshop:
		out = append(out, Occasion{Kind: shop.PaperWork, Step: m})
	}
	kinds := map[ledger.Kind]shop.PaperKind{ledger.KindSale: shop.PaperInvoice,
		ledger.KindPurchase: shop.PaperPurchase, ledger.KindPartExchange: shop.PaperPurchase,
		ledger.KindShareBuy: shop.PaperPurchase, ledger.KindConsignIn: shop.PaperConsignment}
	for _, id := range m.Entries {
		if k, ok := kinds[entries[id].Kind]; ok {
			out = append(out, Occasion{Kind: k, Step: m, Entry: entries[id]})
			if k == shop.PaperInvoice {
				out = append(out, Occasion{Kind: shop.PaperPacking, Step: m, Entry: entries[id]})
			}
			if k == shop.PaperInvoice && entries[id].Consign != nil {
				out = append(out, Occasion{Kind: shop.PaperSettlement, Step: m, Entry: entries[id]})
			}
		}
	}
	return out
}

// toCredit are the credit notes called for: by sales undone, and by whole refunds.
func toCredit(moves []shop.Movement, entries map[string]ledger.Entry, made []shop.Paper) []Occasion {
	gone := map[string]shop.Movement{} // by the id of the sale's entry
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
	var out []Occasion
	settled := map[string]bool{}
	for i := range made {
		invoice := &made[i]
		if m, ok := gone[invoice.Entry]; ok && invoice.Kind == shop.PaperSettlement && !settled[invoice.Entry] &&
			invoice.Step != m.ID {
			settled[invoice.Entry] = true // the last one that was made stands for all that it replaced
			out = append(out, Occasion{Kind: shop.PaperSettlement, Step: m, Entry: entries[invoice.Entry],
				Invoice: invoice, Reason: goneBecause(m)})
		}
		if invoice.Kind != shop.PaperInvoice {
			continue
		}
		out = append(out, partsToCredit(moves, entries, invoice)...)
		if m, ok := gone[invoice.Entry]; ok {
			d := Occasion{Kind: shop.PaperCredit, Step: m, Entry: entries[invoice.Entry], Invoice: invoice,
				Reason: goneBecause(m)}
			for _, p := range made {
				if p.Kind == shop.PaperCredit && p.Cancels == invoice.Number && p.Step != m.ID {
					d.Credited = append(d.Credited, p)
				}
			}
			out = append(out, d)
		}
	}
	return out
}

func goneBecause(m shop.Movement) say.Statement {
	if m.Undoes != "" {
		return say.That("invoice.because-back")
	}
	return say.That("invoice.because-refunded")
}

// partsToCredit are the credit notes that allowances call for which the invoice does not have: those that
// came after its total was what it says.
func partsToCredit(moves []shop.Movement, entries map[string]ledger.Entry, invoice *shop.Paper) []Occasion {
	var out []Occasion
	sale := entries[invoice.Entry]
	if sale.Goods == nil {
		return nil
	}
	at := priceOf(sale)
	counted := at.String() == invoice.Total.String()
	for _, m := range shop.Effective(moves) {
		for _, id := range m.Entries {
			e := entries[id]
			if e.Kind != ledger.KindRefund || e.Refunds != invoice.Entry || e.Goods == nil || !e.Goods.Part {
				continue
			}
			if counted {
				out = append(out, Occasion{Kind: shop.PaperCredit, Step: m, Entry: sale, Invoice: invoice, Part: e,
					Reason: say.That("invoice.because-allowance")})
				continue
			}
			next, err := at.Add(priceOf(e))
			if err != nil {
				return out
			}
			at, counted = next, next.String() == invoice.Total.String()
		}
	}
	return out
}

// priceOf is the price of an entry in the currency of the dealing.
func priceOf(e ledger.Entry) money.Money {
	if e.Goods.Original.IsZero() {
		return e.Goods.Price
	}
	return e.Goods.Original
}
