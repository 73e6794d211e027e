package ledger

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"github.com/govalues/decimal"

	"midcase/money"
)

// watchBook are the figures of one watch.
type watchBook struct {
	watch           string
	stock           decimal.Decimal // own cost standing in stock
	since           string          // the day it came into stock
	income, expense decimal.Decimal
	sold            int
	route           string
	rows            []*StockRow
	before          map[string]StockRow // a row as it stood before the entry with this id
}

func (b *Books) watch(id string) *watchBook {
	w, ok := b.watches[id]
	if !ok {
		w = &watchBook{watch: id}
		b.watches[id] = w
		b.order = append(b.order, id)
	}
	return w
}

func (b *Books) line(e Entry, l Line) {
	if l.Watch == "" {
		return
	}
	w := b.watch(l.Watch)
	switch ClassOf(l.Account) {
	case Income:
		b.add(&w.income, l.Base.Neg())
	case Expense:
		b.add(&w.expense, l.Base)
	}
	if inStock(l.Account) {
		if w.stock.IsZero() {
			w.since = e.Day
		}
		b.add(&w.stock, l.Base)
	}
}

// StockRow is one line of the stock book: a watch bought and, where it was sold, its
// sale. Amounts are in the shop's currency; the Original ones are those of the dealing.
type StockRow struct {
	Number           int             `json:"number"` // of the row, from 1
	Watch            string          `json:"watch"`
	Bought           string          `json:"bought"`
	PurchaseDocument string          `json:"purchase_document,omitempty"`
	Seller           string          `json:"seller,omitempty"` // a client's id
	Price            money.Money     `json:"price"`
	PriceOriginal    money.Money     `json:"price_original"`
	Scheme           string          `json:"scheme"`
	Sold             string          `json:"sold,omitempty"`
	SaleDocument     string          `json:"sale_document,omitempty"`
	SaleScheme       string          `json:"sale_scheme,omitempty"`
	SaleEntry        string          `json:"sale_entry,omitempty"` // the ledger's
	Buyer            string          `json:"buyer,omitempty"`
	SalePrice        money.Money     `json:"sale_price,omitzero"`
	SaleOriginal     money.Money     `json:"sale_original,omitzero"`
	Margin           money.Money     `json:"margin,omitzero"`
	TaxRate          decimal.Decimal `json:"tax_rate,omitzero"`
	Tax              money.Money     `json:"tax,omitzero"`
	Note             string          `json:"note,omitempty"`
	Entries          []string        `json:"entries"` // ids of the ledger's entries
}

// trade keeps the stock book's rows. A consigned watch has none: it never was the
// shop's.
func (b *Books) trade(e Entry) {
	g := e.Goods
	if w := b.watches[e.Watch]; e.Kind == KindLoss && w != nil && len(w.rows) > 0 {
		w.rows[len(w.rows)-1].note("lost, written off " + e.Day)
	}
	if g == nil || e.Watch == "" {
		return
	}
	w := b.watch(e.Watch)
	if g.Sold && !g.Part {
		w.sold += g.Price.Sign()
		w.route = g.Route
	}
	if g.Consign {
		return
	}
	if e.Kind == KindReduction && len(w.rows) > 0 {
		row := w.rows[len(w.rows)-1]
		row.Price = b.sum(row.Price, g.Price)
		row.Entries = append(slices.Clone(row.Entries), e.ID)
		row.note("seller gave back " + neg(g.Price).String() + " on " + e.Day)
		return
	}
	if !g.Sold && e.Kind == KindCounter && g.Part { // of such a reduction
		if len(w.rows) > 0 {
			row := w.rows[len(w.rows)-1]
			row.Price = b.sum(row.Price, g.Price)
			row.reversed(e)
		}
		return
	}
	if !g.Sold && e.Kind != KindCounter {
		row := &StockRow{Watch: e.Watch, Bought: e.Day, PurchaseDocument: e.Document, Seller: e.Party, Price: g.Price,
			PriceOriginal: g.Original,
			Scheme:        g.Scheme, Entries: []string{e.ID}}
		w.rows, b.rows = append(w.rows, row), append(b.rows, row)
		return
	}
	if len(w.rows) == 0 {
		return
	}
	b.moved(w, e)
}

// reversed notes that an entry was reversed.
func (r *StockRow) reversed(e Entry) {
	r.note("entry " + e.Reverses + " reversed " + e.Day + ": " + e.Reason)
}

// moved changes the last row of a watch by what came after its purchase.
func (b *Books) moved(w *watchBook, e Entry) {
	g := e.Goods
	row := w.rows[len(w.rows)-1]
	was := *row
	entries := append(slices.Clone(row.Entries), e.ID)
	switch {
	case e.Kind == KindCounter && !g.Sold:
		row.reversed(e)
		row.Price, row.PriceOriginal = b.inBase(decimal.Zero), money.Money{}
	case e.Kind == KindCounter:
		if back, ok := w.before[e.Reverses]; ok {
			*row = back
		}
		row.reversed(e)
	case e.Kind == KindSale:
		row.Sold, row.SaleDocument, row.Buyer, row.SalePrice, row.SaleOriginal = e.Day, e.Document, e.Party, g.Price, g.Original
		row.Margin, row.TaxRate, row.Tax = g.Margin, g.Rate, g.Tax
		row.SaleScheme, row.SaleEntry = g.Scheme, e.ID
	case g.Part:
		row.SalePrice, row.Margin, row.Tax = b.sum(row.SalePrice, g.Price), b.sum(row.Margin, g.Margin), b.sum(row.Tax,
			g.Tax)
		row.note("allowance " + neg(g.Price).String() + " on " + e.Day)
	default:
		row.note("sold " + row.Sold + " for " + row.SalePrice.String() + ", taken back " + e.Day)
		row.SaleScheme, row.SaleEntry = "", ""
		row.Sold, row.SaleDocument, row.Buyer, row.SalePrice, row.SaleOriginal, row.Margin, row.TaxRate, row.Tax = "", "", "", money.Money{}, money.Money{}, money.Money{}, decimal.Zero, money.Money{}
	}
	row.Entries = entries
	if w.before == nil {
		w.before = map[string]StockRow{}
	}
	w.before[e.ID] = was
}

func (r *StockRow) note(s string) { r.Note = strings.TrimPrefix(r.Note+"; "+s, "; ") }

func (b *Books) sum(m, n money.Money) money.Money {
	s, err := m.Add(n)
	if err != nil {
		b.accounts.err = wrongEntry("%w", err)
	}
	return s
}

// StockBook lists the watches bought, numbered in the order of buying, with their
// sales.
func (b *Books) StockBook() []StockRow {
	out := make([]StockRow, len(b.rows))
	for i, r := range b.rows {
		out[i] = *r
		out[i].Number = i + 1
		out[i].Entries = slices.Clone(r.Entries)
	}
	return out
}

// VATRow are the figures of one month, in the shop's currency.
type VATRow struct {
	Month         string      `json:"month"`
	MarginSales   money.Money `json:"margin_sales"`
	Margins       money.Money `json:"margins"` // net of losses, which give nothing back
	MarginTax     money.Money `json:"margin_tax"`
	OrdinarySales money.Money `json:"ordinary_sales"` // with tax, commissions included
	OrdinaryTax   money.Money `json:"ordinary_tax"`
	UntaxedSales  money.Money `json:"untaxed_sales"`
	Purchases     money.Money `json:"purchases"`
	PurchaseTax   money.Money `json:"purchase_tax"` // of it on watches bought
	InputTax      money.Money `json:"input_tax"`
	OtherTax      money.Money `json:"other_tax"`   // due on other income, reversed charges and acquisitions
	Due           money.Money `json:"due"`         // tax due less tax to reclaim
	Corrections   money.Money `json:"corrections"` // the part of Due that corrects months filed before
}

// VAT lists the months from one to another (2006-01), both included; empty is open.
func (b *Books) VAT(from, to string) ([]VATRow, error) {
	var out []VATRow
	for _, key := range b.monthKeys() {
		if from != "" && key < from || to != "" && key > to {
			continue
		}
		m := b.months[key]
		due, err := m.marginTax.Add(m.ordinaryTax)
		if err == nil {
			due, err = due.Add(m.otherTax)
		}
		if err == nil {
			due, err = due.Sub(m.inputTax)
		}
		if err != nil {
			return nil, err
		}
		out = append(out, VATRow{key, b.inBase(m.marginSales), b.inBase(m.margins), b.inBase(m.marginTax),
			b.inBase(m.ordinarySales), b.inBase(m.ordinaryTax),
			b.inBase(m.untaxedSales), b.inBase(m.purchases),
			b.inBase(m.purchaseTax), b.inBase(m.inputTax),
			b.inBase(m.otherTax), b.inBase(due),
			b.inBase(m.corrections)})
	}
	return out, nil
}

// FirstMonth is the first month with an entry, where there is one before the month of today.
func (b *Books) FirstMonth(today string) string {
	return slices.Min(append(b.monthKeys(), today))
}

func (b *Books) monthKeys() []string {
	keys := make([]string, 0, len(b.months))
	for k := range b.months {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

// Aged is one watch in stock with its age.
type Aged struct {
	Watch  string      `json:"watch"`
	Cost   money.Money `json:"cost"`
	Since  string      `json:"since"`
	Days   int         `json:"days"`
	Bucket string      `json:"bucket"`
}

// Ageing lists the watches in stock with their cost, the oldest first.
func (b *Books) Ageing(asOf time.Time) []Aged {
	var out []Aged
	for _, id := range b.order {
		w := b.watches[id]
		if w.stock.IsZero() {
			continue
		}
		days := daysSince(w.since, asOf)
		out = append(out, Aged{id, b.inBase(w.stock), w.since, days, Bucket(days)})
	}
	slices.SortStableFunc(out, func(x, y Aged) int { return cmp.Compare(x.Since, y.Since) })
	return out
}

// ProfitRow is income less expense of one watch, reference, route or month.
type ProfitRow struct {
	Key     string      `json:"key"`
	Sold    int         `json:"sold"`
	Income  money.Money `json:"income"` // without tax and partners' parts
	Expense money.Money `json:"expense"`
	Profit  money.Money `json:"profit"`
}

// ProfitBy sums income and expense of watches by what key says of each: its id, its
// reference. A watch is in the sum from its first income or expense on.
func (b *Books) ProfitBy(key func(watch string) string) ([]ProfitRow, error) {
	return b.profit(func(w *watchBook) string { return key(w.watch) })
}

// ProfitByRoute sums income and expense of watches by the route of their last sale.
func (b *Books) ProfitByRoute() ([]ProfitRow, error) {
	return b.profit(func(w *watchBook) string { return w.route })
}

type profitSum struct {
	income, expense decimal.Decimal
	sold            int
}

func (b *Books) profit(key func(*watchBook) string) ([]ProfitRow, error) {
	sums := map[string]*profitSum{}
	for _, w := range b.watches {
		if w.income.IsZero() && w.expense.IsZero() {
			continue
		}
		k := key(w)
		s, ok := sums[k]
		if !ok {
			s = &profitSum{}
			sums[k] = s
		}
		var err, err2 error
		s.income, err = s.income.Add(w.income)
		s.expense, err2 = s.expense.Add(w.expense)
		if err != nil || err2 != nil {
			return nil, wrongEntry("a sum is too large to hold exactly")
		}
		s.sold += w.sold
	}
	return b.profitRows(sums)
}

// ProfitByMonth sums income and expense by the month of the entry, those of the whole
// shop included.
func (b *Books) ProfitByMonth() ([]ProfitRow, error) {
	sums := map[string]*profitSum{}
	for k, m := range b.months {
		sums[k] = &profitSum{m.income, m.expense, m.sold}
	}
	return b.profitRows(sums)
}

func (b *Books) profitRows(sums map[string]*profitSum) ([]ProfitRow, error) {
	out := make([]ProfitRow, 0, len(sums))
	for k, s := range sums {
		profit, err := s.income.Sub(s.expense)
		if err != nil {
			return nil, err
		}
		out = append(out, ProfitRow{k, s.sold, b.inBase(s.income), b.inBase(s.expense), b.inBase(profit)})
	}
	slices.SortFunc(out, func(x, y ProfitRow) int { return cmp.Compare(x.Key, y.Key) })
	return out, nil
}
