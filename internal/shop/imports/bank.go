package imports

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/govalues/decimal"

	"midcase/internal/bank"
	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/rights"
	"midcase/internal/shop/trade"
	"midcase/money"
)

// OfBank is the kind of a batch that came of a bank statement.
const OfBank = "bank"

// BankFile is a bank statement to look at.
type BankFile struct {
	Name     string
	Data     []byte
	DayOrder string // day-first or month-first, where the file does not tell
}

// BankPreview is what a statement says and what its lines may pay. Nothing is booked by it.
type BankPreview struct {
	Statements []bank.Statement `json:"statements"`
	Proposals  []bank.Proposal  `json:"proposals"` // one for each line, numbered from 1 through all statements
	Booked     map[int]string   `json:"booked"`    // batch by number of the line, where it was booked before
}

// ReadBank reads a statement and holds it against what stands open.
func (r *Room) ReadBank(ctx context.Context, f BankFile) (BankPreview, error) {
	if err := rights.Check(ctx, rights.Ledger); err != nil {
		return BankPreview{}, err
	}
	all, err := bank.Read(f.Data, bank.Options{Currency: r.shop.Currency(), Now: r.shop.Now(), DayOrder: f.DayOrder})
	if err != nil {
		return BankPreview{}, shop.Refuse("read a bank statement", "file", err.Error(),
			"CAMT.053 or a table in CSV, TSV or XLSX with a row of headers")
	}
	p := BankPreview{Statements: all, Booked: map[int]string{}}
	batches, err := r.Batches(ctx)
	if err != nil {
		return p, err
	}
	before := map[string]string{}
	for _, b := range batches {
		if b.As == OfBank && (b.Undone == nil || len(b.Undone.Kept) > 0) {
			for _, key := range b.Lines {
				before[key] = b.ID
			}
		}
	}
	var lines []bank.Line
	n := 0
	for _, s := range all {
		for _, l := range s.Lines {
			n++
			l.Number = n
			if id := before[l.Key]; id != "" {
				p.Booked[n] = id
			} else {
				lines = append(lines, l)
			}
		}
	}
	open, err := r.openItems(ctx)
	if err != nil {
		return p, err
	}
	p.Proposals = bank.Match(lines, open)
	return p, nil
}

// openItems are the sums that stand open, each with the numbers of papers about it.
func (r *Room) openItems(ctx context.Context) ([]bank.Open, error) {
	books, err := r.accounts.BooksAsOf(ctx, "9999-12-31")
	if err != nil {
		return nil, err
	}
	sums, err := books.OpenSums(r.shop.Now())
	if err != nil {
		return nil, fmt.Errorf("open sums: %w", err)
	}
	names, _, err := r.shop.Names(ctx, "bank statement")
	if err != nil {
		return nil, err
	}
	papers, err := r.stores.Papers.Papers(ctx, shop.PaperFilter{})
	if err != nil {
		return nil, fmt.Errorf("papers: %w", err)
	}
	dealt, err := r.dealt(ctx)
	if err != nil {
		return nil, err
	}
	var out []bank.Open
	for i, s := range sums {
		if s.Account == ledger.Deposits {
			continue
		}
		told := dealt[key{s.Account, s.Party, s.Watch}]
		o := bank.Open{ID: strconv.Itoa(i + 1), Account: string(s.Account), Party: s.Party, Name: names[s.Party],
			Watch: s.Watch, Since: cmp.Or(told.since, s.Since), Amount: s.Amount, Numbers: told.numbers}
		for _, p := range papers {
			if s.Account == ledger.Receivable && p.Kind == shop.PaperInvoice && p.Client == s.Party &&
				string(p.Watch) == s.Watch {
				o.Numbers, o.Title = append(o.Numbers, p.Number), p.Title
			}
		}
		out = append(out, o)
	}
	return out, nil
}

type key struct {
	account ledger.Account
	party   string
	watch   string // of what a buyer owes
}

// dealings are what entries say of one account, client and, of buyers, watch.
type dealings struct {
	numbers []string
	since   string // the first day; a payment that was taken back does not make it later
}

func (r *Room) dealt(ctx context.Context) (map[key]dealings, error) {
	out := map[key]dealings{}
	for e, err := range r.stores.Steps.Entries(ctx, shop.EntryFilter{}) {
		if err != nil {
			return nil, fmt.Errorf("documents: %w", err)
		}
		for _, l := range e.Lines {
			if l.Party == "" {
				continue
			}
			k := key{l.Account, l.Party, ""}
			if l.Account == ledger.Receivable {
				k.watch = l.Watch
			}
			d := out[k]
			if d.since == "" || e.Day < d.since {
				d.since = e.Day
			}
			if e.Document != "" && !slices.Contains(d.numbers, e.Document) {
				d.numbers = append(d.numbers, e.Document)
			}
			out[k] = d
		}
	}
	return out, nil
}

// BookBank books the chosen lines of a statement as they are proposed, as one batch. A line that was booked before,
// or for which nothing is proposed, is refused before anything is booked.
func (r *Room) BookBank(ctx context.Context, f BankFile, chosen []int, by string) (shop.Batch, error) {
	const what = "book a bank statement"
	p, err := r.ReadBank(ctx, f)
	if err != nil {
		return shop.Batch{}, err
	}
	sum := sha256.Sum256(f.Data)
	b := shop.Batch{ID: r.shop.NewID("b"), As: OfBank, File: filepath.Base(f.Name), SHA256: hex.EncodeToString(sum[:]),
		By: by, At: r.shop.Now(), Repeated: len(p.Booked)}
	var take []bank.Proposal
	for _, n := range chosen {
		i := slices.IndexFunc(p.Proposals, func(x bank.Proposal) bool { return x.Line.Number == n })
		switch {
		case p.Booked[n] != "":
			return b, shop.Refuse(what, "line", fmt.Sprintf("%d, booked before with %s", n, p.Booked[n]),
				"lines not booked yet")
		case i < 0:
			return b, shop.Refuse(what, "line", strconv.Itoa(n), "a line of the statement")
		case len(p.Proposals[i].Parts) == 0 && !p.Proposals[i].Fee:
			return b, shop.Refuse(what, "line", fmt.Sprintf("%d, for which nothing is proposed", n),
				"a line with a proposal; enter the others by hand")
		case slices.ContainsFunc(take, func(x bank.Proposal) bool { return x.Line.Number == n }):
			continue
		}
		take = append(take, p.Proposals[i])
	}
	if len(take) == 0 {
		return b, shop.Refuse(what, "lines", "none", "one line or more")
	}
	for _, x := range take {
		err := r.bookLine(ctx, x, by, &b)
		if len(b.Entries) > 0 { // what is booked stays known, also where the next line fails
			if _, kerr := r.stores.Steps.KeepStep(ctx, shop.Step{Import: &shop.Import{Batch: b}}); kerr != nil {
				return b, fmt.Errorf("%s: %w", what, errors.Join(err, kerr))
			}
		}
		if err != nil {
			return b, fmt.Errorf("line %d: %w", x.Line.Number, err)
		}
	}
	return b, nil
}

// bookLine books what one line pays, and the bank's charges.
func (r *Room) bookLine(ctx context.Context, x bank.Proposal, by string, b *shop.Batch) error {
	took := func(e ledger.Entry, err error) error {
		if err == nil {
			b.Entries = append(b.Entries, e.ID)
			if !slices.Contains(b.Lines, x.Line.Key) {
				b.Lines = append(b.Lines, x.Line.Key)
			}
		}
		return err
	}
	rate, err := r.rateOn(ctx, x.Line.Amount.Currency(), x.Line.Day)
	if err != nil {
		return err
	}
	t := trade.Terms{Day: x.Line.Day, Rate: rate, Pay: ledger.Bank, Document: reference(x.Line), Text: "bank statement"}
	for _, part := range x.Parts {
		one := t
		one.Client, one.Amount, one.Of = part.Open.Party, part.Amount.Neg(), shop.WatchID(part.Open.Watch)
		if err := took(r.trade.Settle(ctx, ledger.Account(part.Open.Account), one, by)); err != nil {
			return err
		}
	}
	fee := x.Line.Charges
	if x.Fee {
		fee = x.Line.Amount.Neg()
	}
	if fee.Sign() > 0 {
		t.Amount, t.Text = fee, "charges of the bank"
		return took(r.trade.Overhead(ctx, t, money.Money{}, by))
	}
	return nil
}

// reference is the number by which a line is found at the bank.
func reference(l bank.Line) string {
	for _, ref := range []string{l.BankRef, l.Reference} {
		if ref != "" && len(ref) <= 40 {
			return ref
		}
	}
	return ""
}

// rateOn is the table's rate of a day; none is needed for the shop's currency.
func (r *Room) rateOn(ctx context.Context, c money.Currency, day string) (decimal.Decimal, error) {
	if c == r.shop.Currency() {
		return decimal.Zero, nil
	}
	rate, ok := r.shop.RateOn(ctx, c, day)
	if !ok {
		return decimal.Zero, shop.Refuse("book a bank statement", "rate", "no rate of "+string(c)+" for "+day,
			"one in the table of rates first")
	}
	return decimal.Parse(strconv.FormatFloat(rate, 'f', 6, 64))
}

// undoBank reverses the entries of a statement; those reversed before stay so.
func (r *Room) undoBank(ctx context.Context, b shop.Batch, by string) (shop.Batch, error) {
	if err := rights.Check(ctx, rights.Ledger); err != nil {
		return b, err
	}
	done := shop.Undone{At: r.shop.Now(), By: by}
	if b.Undone != nil {
		done.Taken = b.Undone.Taken
	}
	gone := map[string]bool{}
	for e, err := range r.stores.Steps.Entries(ctx, shop.EntryFilter{}) {
		if err != nil {
			return b, fmt.Errorf("undo %s: %w", b.ID, err)
		}
		if e.Reverses != "" {
			gone[e.Reverses] = true
		}
	}
	for i := len(b.Entries) - 1; i >= 0; i-- {
		id := b.Entries[i]
		if gone[id] {
			continue
		}
		if _, err := r.trade.CounterEntry(ctx, id, "the bank statement was taken back", by); err != nil {
			done.Kept = append(done.Kept, shop.Stayed{What: "entry", ID: id, Name: id,
				Why: strings.TrimSpace(err.Error())})
			continue
		}
		done.Taken++
	}
	b.Undone = &done
	if _, err := r.stores.Steps.KeepStep(ctx, shop.Step{Import: &shop.Import{Batch: b}}); err != nil {
		return b, fmt.Errorf("undo %s: %w", b.ID, err)
	}
	return b, nil
}
