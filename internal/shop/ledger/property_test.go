package ledger

import (
	"fmt"
	"strings"
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"midcase/money"
)

// world draws dealings one after another. Whatever comes, the books must balance in
// every currency, stock must stand for exactly the watches held, and money must be
// conserved.
type world struct {
	*shopBooks
	rt    *rapid.T
	n     int
	watch []string
	purse *Purse // where money of other currencies is carried in lots
}

func (w *world) price(label string) (money.Money, decimal.Decimal) {
	c := rapid.SampledFrom([]money.Currency{"EUR", "CHF", "JPY", "KWD"}).Draw(w.rt, label+" currency")
	minor := rapid.Int64Range(1, 3_000_000).Draw(w.rt, label)
	d, err := decimal.New(minor, c.MinorUnits())
	if err != nil {
		w.rt.Fatal(err)
	}
	m, err := amount(d, c)
	if err != nil {
		w.rt.Fatal(err)
	}
	rate := decimal.One
	if c != "EUR" {
		rate = dec(rapid.SampledFrom([]string{"0.95", "1.07321", "0.006", "2.987654321"}).Draw(w.rt, label+" rate"))
	}
	return m, rate
}

func (w *world) next(watch, party string) Head {
	w.n++
	return w.head(fmt.Sprintf("2026-%02d-%02d", 1+w.n/28%12, 1+w.n%28), watch, party)
}

func (w *world) pick() string { return rapid.SampledFrom(w.watch).Draw(w.rt, "watch") }

// try posts what was made; a dealing that the rules refuse leaves no trace.
func (w *world) try(e Entry, err error) {
	if err != nil {
		return
	}
	if w.purse != nil {
		if e, err = w.purse.Carry(e); err != nil {
			w.rt.Fatal(err)
		}
	}
	if err := w.books.Post(e); err != nil {
		w.rt.Fatalf("a posting rule made what the books refuse: %v", err)
	}
	w.entries = append(w.entries, e)
}

func (w *world) steps() map[string]func(*rapid.T) {
	do := func(f func()) func(*rapid.T) { return func(t *rapid.T) { w.rt = t; f() } }
	scheme := func() string { return rapid.SampledFrom([]string{Margin, Ordinary, NoTax}).Draw(w.rt, "scheme") }
	fresh := func(id string) bool {
		h := w.holding(id)
		return len(h.Stock) == 0 && h.Consign == nil
	}
	return map[string]func(*rapid.T){
		"buy": do(func() {
			if id := w.pick(); fresh(id) {
				m, r := w.price("price")
				w.try(Purchase(PurchaseTerms{Head: w.next(id, "c_1"), Price: m, Rate: r, Pay: Bank, Scheme: scheme()}))
			}
		}),
		"share": do(func() {
			if id := w.pick(); fresh(id) {
				m, r := w.price("price")
				leader := rapid.SampledFrom([]string{"", "c_p"}).Draw(w.rt, "leader")
				w.try(ShareBuy(ShareTerms{Head: w.next(id, "c_p"), Price: m, Rate: r, Pay: Cash, Scheme: scheme(),
					Leader: leader,
					Stakes: []Stake{{"c_p", dec("0.3333")}, {"c_q", dec("0.1667")}}}))
			}
		}),
		"consign": do(func() {
			if id := w.pick(); fresh(id) {
				m, r := w.price("value")
				w.try(ConsignIn(ConsignTerms{Head: w.next(id, "c_3"), Value: m, Rate: r, Commission: dec("0.175")}))
			}
		}),
		"repair": do(func() {
			id := w.pick()
			m, r := w.price("cost")
			w.try(Repair(WorkTerms{Head: w.next(id, "c_9"), Cost: m, Rate: r, Pay: Payable, Holding: w.holding(id),
				ForConsignor: rapid.Bool().Draw(w.rt, "for the consignor")}))
		}),
		"deposit": do(func() {
			m, r := w.price("deposit")
			tax, _ := TaxIncluded(m, dec("0.21"))
			if rapid.Bool().Draw(w.rt, "untaxed") {
				tax = money.Money{}
			}
			w.try(Deposit(DepositTerms{Head: w.next(w.pick(), "c_2"), Amount: m, Rate: r, Pay: Bank, Tax: tax}))
		}),
		"deposit back": do(func() {
			id := w.pick()
			to := rapid.SampledFrom([]Account{Cash, OtherIncome}).Draw(w.rt, "to")
			w.try(DepositBack(w.next(id, "c_2"), w.holding(id), to, rapid.Bool().Draw(w.rt, "tax kept")))
		}),
		"sell": do(func() {
			id := w.pick()
			m, r := w.price("price")
			w.try(Sale(SaleTerms{Head: w.next(id, "c_2"), Price: m, Rate: r,
				Pay: rapid.SampledFrom([]Account{Bank, Receivable}).Draw(w.rt,
					"pay"), TaxRate: dec("0.21"), Holding: w.holding(id), Route: "trade"}))
		}),
		"refund": do(func() {
			id := w.pick()
			t := RefundTerms{Head: w.next(id, "c_2"), Pay: Bank, Holding: w.holding(id)}
			if rapid.Bool().Draw(w.rt, "part") {
				t.Amount, t.Rate = w.price("allowance")
			}
			w.try(Refund(t))
		}),
		"settle": do(func() {
			for _, x := range []struct {
				account Account
				party   string
				rule    func(SettleTerms) (Entry, error)
			}{{Consignors, "c_3", ConsignorSettlement}, {Partners, "c_p", PartnerSettlement}, {Partners, "c_q",
				PartnerSettlement}, {Receivable, "c_2", CustomerPayment}, {Payable, "c_9", SupplierPayment}} {
				for _, lot := range w.open(x.account, x.party) {
					t := SettleTerms{Head: w.next("", x.party), Open: []Lot{lot}, Rate: dec("1.01"), Pay: Bank}
					if x.account == Receivable && lot.Amount.Sign() < 0 && rapid.Bool().Draw(w.rt, "with interest") {
						t.Interest, _ = TaxIncluded(lot.Amount.Neg(), dec("0.05"))
					}
					w.try(x.rule(t))
				}
			}
		}),
		"part exchange": do(func() {
			id, owed := w.pick(), w.open(Receivable, "c_2")
			if !fresh(id) || len(owed) == 0 || owed[0].Amount.Sign() >= 0 {
				return
			}
			m, r := w.price("allowance")
			w.try(PartExchange(PartExchangeTerms{Head: w.next(id, "c_2"), Allowance: m, Rate: r, Scheme: scheme(),
				Against: owed[0].Watch, Owed: owed[0], OwedRate: dec("1.02")}))
		}),
		"by a form": do(func() {
			f := rapid.SampledFrom(Forms()).Draw(w.rt, "form")
			m, r := w.price("amount")
			id := ""
			if f.Watch != "" {
				id = w.pick()
			}
			t := FormTerms{Head: w.next(id, "c_9"), Amount: m, Rate: r, Pay: Bank, Holding: w.holding(id)}
			if f.Tax != "" && rapid.Bool().Draw(w.rt, "with tax") {
				t.Tax, _ = TaxIncluded(m, dec("0.21"))
			}
			w.try(f.Book(t))
		}),
		"price reduction": do(func() {
			id := w.pick()
			m, r := w.price("reduction")
			w.try(Reduction(ReductionTerms{Head: w.next(id, "c_1"), Amount: m, Rate: r, Pay: Bank, Holding: w.holding(id)}))
		}),
		"write-down": do(func() {
			id := w.pick()
			h := w.holding(id)
			f, _ := FormOf("write-down")
			if cost, err := h.Cost("EUR"); err == nil && h.Owned() {
				w.try(f.Book(FormTerms{Head: w.next(id, ""), Amount: cost, Holding: h}))
			}
		}),
		"lost": do(func() {
			id := w.pick()
			h := w.holding(id)
			if h.Consign != nil && h.Sale == nil {
				w.try(ConsignLost(w.next(id, "c_3"), *h.Consign))
			} else {
				w.try(WriteOff(w.next(id, ""), h))
			}
		}),
		"close the year": do(func() {
			all, err := w.books.Balances()
			if err == nil {
				w.try(CloseYear(w.next("", ""), all))
			}
		}),
		"exchange": do(func() {
			out, r := w.price("out")
			in, r2 := w.price("in")
			w.try(Exchange(ExchangeTerms{Head: w.next("", ""), Out: out, OutRate: r, In: in, InRate: r2, From: Bank,
				Into: Bank}))
		}),
		"counter the last": do(func() {
			if len(w.entries) > 0 {
				e := w.entries[len(w.entries)-1]
				if e.Kind != KindCounter && e.Day <= w.next("", "").Day {
					w.try(CounterEntry(e, w.next("", ""), "a mistake"))
				}
			}
		}),
	}
}

// balanced holds what must be true after every step.
func (w *world) balanced(t *rapid.T) {
	all, err := w.books.Balances()
	if err != nil {
		t.Fatal(err)
	}
	sums, total, stock := map[money.Currency]decimal.Decimal{}, decimal.Zero, decimal.Zero
	add := func(a, b decimal.Decimal) decimal.Decimal {
		s, err := a.Add(b)
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	for _, b := range all {
		sums[b.Amount.Currency()] = add(sums[b.Amount.Currency()], b.Amount.Decimal())
		total = add(total, b.Base.Decimal())
		if inStock(b.Account) {
			stock = add(stock, b.Base.Decimal())
		}
	}
	for c, sum := range sums {
		if !sum.IsZero() {
			t.Fatalf("%s does not balance: %s", c, sum)
		}
	}
	if !total.IsZero() {
		t.Fatalf("the books do not balance in the shop's currency: %s", total)
	}
	for _, id := range w.watch {
		h, err := HoldingOf(id, w.entries)
		if err != nil {
			t.Fatal(err)
		}
		cost, err := h.Cost("EUR")
		if err != nil {
			t.Fatal(err)
		}
		stock = add(stock, cost.Decimal().Neg())
		if h.Sale != nil && len(h.Stock) > 0 {
			t.Fatalf("watch %s is sold and in stock at once: %+v", id, h.Stock)
		}
	}
	if !stock.IsZero() {
		t.Fatalf("stock accounts and the watches' own costs differ by %s", stock)
	}
}

func TestBooksAlwaysBalance(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		w := &world{shopBooks: newShopBooks(t, "EUR"), rt: rt, watch: []string{"w_1", "w_2", "w_3"}}
		steps := w.steps()
		steps[""] = w.balanced
		rt.Repeat(steps)
	})
}

// What a sale of a shared watch brings after tax is divided without a cent over, and
// after all settle, what partners and shop have together is what came in less what went out.
func TestPartnersConserveMoney(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := newShopBooks(t, "EUR")
		share := func(label string) decimal.Decimal {
			return dec(fmt.Sprintf("0.%04d", rapid.IntRange(1, 4950).Draw(rt, label)))
		}
		stakes := []Stake{{"c_p", share("p")}, {"c_q", share("q")}}
		cents := func(label string) money.Money {
			d, _ := decimal.New(rapid.Int64Range(100, 9_999_999).Draw(rt, label), 2)
			m, _ := amount(d, "EUR")
			return m
		}
		price, work, got := cents("price"), cents("work"), cents("sale")
		if entry, err := ShareBuy(ShareTerms{Head: s.head("2026-01-10", "w_1", "c_1"), Price: price, Pay: Bank,
			Scheme: Margin, Stakes: stakes}); err != nil {
			if !strings.Contains(err.Error(), "a cent or more") {
				rt.Fatalf("%v: %+v", err, entry)
			}
			return // a share of so low a price that it rounds to nothing is refused
		}
		s.post(ShareBuy(ShareTerms{Head: s.head("2026-01-10", "w_1", "c_1"), Price: price, Pay: Bank, Scheme: Margin,
			Stakes: stakes}))
		s.post(Repair(WorkTerms{Head: s.head("2026-01-11", "w_1", "c_9"), Cost: work, Pay: Bank,
			Holding: s.holding("w_1")}))
		sale := s.post(Sale(SaleTerms{Head: s.head("2026-01-12", "w_1", "c_2"), Price: got, Pay: Bank,
			TaxRate: dec("0.20"), Holding: s.holding("w_1")}))
		profits := decimal.Zero // of shop and partners together
		for _, st := range stakes {
			for _, lot := range s.open(Partners, st.Party) {
				s.post(PartnerSettlement(SettleTerms{Head: s.head("2026-02-01", "", st.Party), Open: []Lot{lot}, Pay: Bank}))
				profits, _ = profits.Add(lot.Amount.Decimal())
			}
		}
		rows, err := s.books.ProfitBy(func(string) string { return "all" })
		if err != nil || len(rows) != 1 {
			rt.Fatal(rows, err)
		}
		profits, _ = profits.Add(rows[0].Profit.Decimal())
		want := got.Decimal()
		for _, m := range []money.Money{price, work, sale.Goods.Tax} {
			want, _ = want.Sub(m.Decimal())
		}
		if profits.Cmp(want) != 0 {
			rt.Fatalf("shop and partners made %s together; the watch made %s", profits, want)
		}
	})
}
