package ledger

import (
	"context"
	"fmt"
	"net/url"
	"slices"
	"strings"

	"midcase/internal/shop/accounts"
	"midcase/internal/shop/ledger"
	"midcase/internal/web/pages/frame"
	"midcase/internal/web/pages/wording"
	"midcase/money"
	"midcase/say"
	assets "midcase/web"
)

// asset is the address of a file under a name that changes with its bytes.
func asset(name string) string { return "/assets/" + name + "?v=" + assets.Version() }

// Caution goes with every page of the ledger.
const Caution = "A help for whoever keeps the books, no tax advice. Check your local rules, and have an accountant look at the figures before you hand them in."

// Place is one page of the ledger.
type Place struct{ ID, Name, Path string }

// Places lists the pages of the ledger.
func Places() []Place {
	return []Place{{"balance", "Balance", "/ledger"}, {"journal", "Journal", "/ledger/journal"},
		{"due", "To settle", "/ledger/due"}, {"statement", "Bank statement", "/ledger/statement"}, {"stock-book",
			"Stock book", "/ledger/stock-book"},
		{"vat", "VAT", "/ledger/vat"}, {"profit", "Profit", "/ledger/profit"}, {"ageing", "Ages",
			"/ledger/ageing"}, {"return", "Tax return", "/ledger/return"}, {"money", "Other currencies",
			"/ledger/money"},
		{"periods", "Periods", "/ledger/periods"}, {"enter", "Enter", "/ledger/enter"}}
}

// exact is an amount to the cent, without its currency.
func exact(ctx context.Context, m money.Money) string { return wording.Exact(ctx, m) }

// debit is an amount above zero, credit one below it, each without its sign.
func debit(ctx context.Context, m money.Money) string {
	if m.Sign() <= 0 {
		return ""
	}
	return exact(ctx, m) + "\u00a0" + string(m.Currency())
}

func credit(ctx context.Context, m money.Money) string {
	if m.Sign() >= 0 {
		return ""
	}
	return exact(ctx, m.Neg()) + "\u00a0" + string(m.Currency())
}

var accountNames = func() map[ledger.Account]string {
	out := map[ledger.Account]string{}
	for _, r := range ledger.Chart() {
		out[r.Account] = r.Name
	}
	return out
}()

func accountName(a ledger.Account) string { return accountNames[a] }

// accountOf names an account by its id.
func accountOf(id string) string { return accountName(ledger.Account(id)) }

// accountsToChoose are the accounts and their groups to narrow the journal by.
func accountsToChoose() []frame.Choice {
	out := []frame.Choice{{Value: "", Text: "all accounts"}}
	group := ""
	for _, r := range ledger.Chart() {
		top, _, _ := strings.Cut(string(r.Account), ":")
		if top != group {
			group = top
			out = append(out, frame.Choice{Value: top, Text: "all " + top})
		}
		out = append(out, frame.Choice{Value: string(r.Account), Text: r.Name})
	}
	return out
}

// entryWords is what an entry is about.
func entryWords(e ledger.Entry) string {
	return say.Capital(strings.ReplaceAll(string(e.Kind), "_", " "))
}

// textOf is the entry's text where it says more than the watch's title.
func textOf(e ledger.Entry) string {
	if e.Watch != "" && strings.HasPrefix(e.Text, "no. ") {
		return ""
	}
	return e.Text
}

func party(names map[string]string, id string) string {
	if id == "" {
		return ""
	}
	if n, ok := names[id]; ok && n != "" {
		return n
	}
	return id
}

// openWords says what stands with somebody on an account.
func openWords(s ledger.OpenSum) string {
	owed := s.Amount.Sign() > 0
	switch s.Account {
	case ledger.Receivable:
		if owed {
			return "owes for a watch"
		}
		return "has paid too much"
	case ledger.Payable:
		if owed {
			return "was paid too much"
		}
		return "waits for payment of a bill"
	case ledger.Consignors:
		if owed {
			return "owes costs of a consigned watch"
		}
		return "is to get the proceeds of a consigned watch"
	case ledger.Partners:
		if owed {
			return "owes a share in a watch"
		}
		return "is to get a share in a watch"
	}
	return "paid a deposit"
}

// canSettle reports whether an open sum is paid as such; deposits go with their reservation.
func canSettle(a ledger.Account) bool { return a != ledger.Deposits }

func abs(m money.Money) money.Money {
	if m.Sign() < 0 {
		return m.Neg()
	}
	return m
}

func settlePath(s ledger.OpenSum) string {
	v := url.Values{"account": {string(s.Account)}, "client": {s.Party}, "currency": {string(s.Amount.Currency())}}
	if s.Watch != "" {
		v.Set("watch", s.Watch)
	}
	return "/ledger/due?" + v.Encode() + "#settle"
}

// pageLink is the address of another page of a list.
func pageLink(path string, query url.Values, page int) string {
	v := url.Values{}
	for k, x := range query {
		v[k] = x
	}
	v.Set("page", fmt.Sprint(page))
	return path + "?" + v.Encode()
}

// Bucket is a span of ages with what falls into it.
type Bucket struct {
	Name    string
	Watches int
	Cost    money.Money
}

// Buckets sums ages of stock by their span.
func Buckets(all []ledger.Aged) []Bucket {
	var out []Bucket
	for _, days := range []int{0, 31, 91, 181, 366} {
		out = append(out, Bucket{Name: ledger.Bucket(days)})
	}
	for _, a := range all {
		i := slices.IndexFunc(out, func(b Bucket) bool { return b.Name == a.Bucket })
		out[i].Watches++
		if sum, err := out[i].Cost.Add(a.Cost); err == nil {
			out[i].Cost = sum
		}
	}
	return out
}

var quarterOf = map[string]string{"01": "1", "02": "1", "03": "1", "04": "2", "05": "2", "06": "2", "07": "3",
	"08": "3", "09": "3", "10": "4", "11": "4", "12": "4"}

// Period sums VAT months by quarter or year: by is month, quarter or year.
func Period(months []ledger.VATRow, by string) []ledger.VATRow {
	var out []ledger.VATRow
	for _, m := range months {
		key := m.Month
		switch by {
		case "quarter":
			key = m.Month[:4] + "-Q" + quarterOf[m.Month[5:]]
		case "year":
			key = m.Month[:4]
		}
		if n := len(out); n == 0 || out[n-1].Month != key {
			out = append(out, ledger.VATRow{Month: key})
		}
		out[len(out)-1] = addVAT(out[len(out)-1], m)
	}
	return out
}

// SumVAT sums all rows.
func SumVAT(rows []ledger.VATRow) ledger.VATRow {
	out := ledger.VATRow{Month: "Together"}
	for _, r := range rows {
		out = addVAT(out, r)
	}
	return out
}

func addVAT(to, m ledger.VATRow) ledger.VATRow {
	for _, p := range []struct {
		into *money.Money
		add  money.Money
	}{{&to.MarginSales, m.MarginSales}, {&to.Margins, m.Margins}, {&to.MarginTax, m.MarginTax}, {&to.OrdinarySales,
		m.OrdinarySales}, {&to.OrdinaryTax, m.OrdinaryTax},
		{&to.OtherTax, m.OtherTax},
		{&to.UntaxedSales, m.UntaxedSales}, {&to.Purchases, m.Purchases}, {&to.InputTax, m.InputTax}, {&to.Due,
			m.Due}} {
		if sum, err := p.into.Add(p.add); err == nil {
			*p.into = sum
		}
	}
	return to
}

// vatCells are the amounts of a row with their headings.
func vatCells(ctx context.Context, r ledger.VATRow) []struct{ Name, Text string } {
	var out []struct{ Name, Text string }
	for _, c := range []struct {
		name string
		m    money.Money
	}{{"Margin sales", r.MarginSales}, {"Margins", r.Margins}, {"Tax on margins", r.MarginTax}, {"Ordinary sales",
		r.OrdinarySales}, {"Tax on sales", r.OrdinaryTax},
		{"Other tax", r.OtherTax},
		{"Untaxed sales", r.UntaxedSales}, {"Purchases", r.Purchases}, {"To reclaim", r.InputTax}, {"Due", r.Due}} {
		text := exact(ctx, c.m)
		if c.m.Sign() == 0 {
			text = "–"
		}
		out = append(out, struct{ Name, Text string }{c.name, text})
	}
	return out
}

func profitKey(d ProfitData, r ledger.ProfitRow) string {
	if r.Key == "" {
		return map[string]string{"route": "not sold", "reference": "no longer on record"}[d.By]
	}
	return r.Key
}

// summary says in a sentence or two how the shop stands.
func summary(ctx context.Context, all []ledger.Balance) string {
	sums := map[string]money.Money{}
	for _, b := range all {
		key := ""
		switch b.Account {
		case ledger.Bank, ledger.Cash:
			key = "money"
		case ledger.StockPurchase, ledger.StockWork:
			key = "stock"
		case ledger.Receivable:
			key = "receivable"
		case ledger.Payable, ledger.Consignors, ledger.Partners, ledger.Deposits:
			key = "owed"
		case ledger.VATDue, ledger.VATInput:
			key = "tax"
		}
		if class := b.Class; class == ledger.Income || class == ledger.Expense {
			key = "profit"
		}
		if sum, err := sums[key].Add(b.Base); err == nil && key != "" {
			sums[key] = sum
		}
	}
	owed, tax, profit := sums["owed"], sums["tax"], sums["profit"]
	if !owed.IsZero() {
		owed = owed.Neg()
	}
	if !tax.IsZero() {
		tax = tax.Neg()
	}
	if !profit.IsZero() {
		profit = profit.Neg()
	}
	return fmt.Sprintf("Money %s, watches in stock at cost %s. Owed to the shop %s; owed by it %s, and VAT %s. Income less expense so far %s.",
		wording.Money(ctx, sums["money"]), wording.Money(ctx, sums["stock"]), wording.Money(ctx,
			sums["receivable"]), wording.Money(ctx, owed), wording.Money(ctx, tax), wording.Money(ctx, profit))
}

func rateText(ctx context.Context, r accounts.StockBookRow) string {
	if r.TaxRate.IsZero() {
		return ""
	}
	f, _ := r.TaxRate.Float64()
	return wording.Rate(ctx, f)
}

// groups are the groups of kinds, in their order.
func groups(kinds []Kind) []string {
	var out []string
	for _, k := range kinds {
		if !slices.Contains(out, k.Group) {
			out = append(out, k.Group)
		}
	}
	return out
}

func nameOf(kinds []Kind, id string) string {
	for _, k := range kinds {
		if k.ID == id {
			return k.Name
		}
	}
	return ""
}
