package ledger

import (
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"
)

// Whatever is booked, the rows of the stock book of a month add up to its VAT figures, and the tax in these
// to what the accounts of tax moved by.
func TestStockBookVATAndLedgerTie(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		w := &world{shopBooks: newShopBooks(t, "EUR"), rt: rt, watch: []string{"w_1", "w_2", "w_3"},
			purse: NewPurse(FirstInFirstOut)}
		steps := w.steps()
		steps[""] = func(t *rapid.T) {
			tax, margins, moved := map[string]decimal.Decimal{}, map[string]decimal.Decimal{}, map[string]decimal.Decimal{}
			add := func(to map[string]decimal.Decimal, month string, d decimal.Decimal) {
				sum, err := to[month].Add(d)
				if err != nil {
					t.Fatal(err)
				}
				to[month] = sum
			}
			for _, m := range w.books.StockMoves() {
				if m.Sale {
					add(tax, m.Day[:7], m.Tax.Decimal())
				}
				add(margins, m.Day[:7], m.Margin.Decimal())
			}
			for _, e := range w.entries {
				for _, l := range e.Lines {
					if !e.Office && (l.Account == VATDue || l.Account == VATInput) {
						add(moved, e.Day[:7], l.Base.Decimal().Neg())
					}
				}
			}
			rows, err := w.books.VAT("", "")
			if err != nil {
				t.Fatal(err)
			}
			for _, r := range rows {
				onSales, err := r.MarginTax.Add(r.OrdinaryTax)
				if err != nil {
					t.Fatal(err)
				}
				if onSales.Decimal().Cmp(tax[r.Month]) != 0 || r.Due.Decimal().Cmp(moved[r.Month]) != 0 ||
					r.Margins.Decimal().Cmp(margins[r.Month]) != 0 {
					t.Fatalf("%s: VAT figures %s on sales with margins of %s, %s due; stock book %s on %s; accounts %s", r.Month,
						onSales, r.Margins, r.Due, tax[r.Month], margins[r.Month], moved[r.Month])
				}
			}
		}
		rt.Repeat(steps)
	})
}
