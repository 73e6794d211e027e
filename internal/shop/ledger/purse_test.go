package ledger

import (
	"strings"
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"midcase/money"
)

func usd(s string) money.Money { return money.MustParse(s, "USD") }

// 1,500 USD taken at 0.90 and changed at 0.95 are a gain of 75.00, and nothing is left at the bank in
// dollars. IAS 21, paragraph 28: differences arising on settlement go to profit or loss.
func TestMoneyOfAnotherCurrencyIsCarried(t *testing.T) {
	for _, tt := range []struct {
		method       string
		more         bool // a second lot of 500 at 1.00 comes in between
		gain, atBank string
	}{{FirstInFirstOut, false, "-75.00", "0.00"}, {FirstInFirstOut, true, "-75.00", "500.00"},
		// average rate (1350 + 500)/2000 = 0.925: 1500 stood for 1387.50
		{WeightedAverage, true, "-37.50", "462.50"}} {
		s, p := newShopBooks(t, "EUR"), NewPurse(tt.method)
		post := func(e Entry, err error) {
			t.Helper()
			if err == nil {
				e, err = p.Carry(e)
			}
			s.post(e, err)
		}
		post(CapitalIn(CapitalTerms{Head: s.head("2026-01-05", "", ""), Amount: usd("1500"), Rate: dec("0.90"), Into: Bank}))
		if tt.more {
			post(CapitalIn(CapitalTerms{Head: s.head("2026-01-06", "", ""), Amount: usd("500"), Rate: dec("1"), Into: Bank}))
		}
		post(Exchange(ExchangeTerms{Head: s.head("2026-02-05", "", ""), Out: usd("1500"), In: eur("1425"), From: Bank,
			Into: Bank}))
		s.want(ExchangeDiff, tt.gain)
		s.want(Conversion, "0.00")
		all, err := s.books.Balances()
		if err != nil {
			t.Fatal(err)
		}
		for _, b := range all {
			switch {
			case b.Account == ExchangeDiff && b.Amount.Currency() != "EUR":
				t.Errorf("%s: an exchange difference of %s", tt.method, b.Amount)
			case b.Account == Bank && b.Amount.Currency() == "USD" && b.Base.Amount() != tt.atBank:
				t.Errorf("%s: %s at the bank stand for %s; want %s", tt.method, b.Amount, b.Base, tt.atBank)
			}
		}
	}
}

// A bill of 1,000 USD booked at 0.95 and paid at 0.97 with dollars that came in at 0.90 loses 20 on the
// bill and gains 70 on the dollars.
func TestBillPaidFromAnotherCurrency(t *testing.T) {
	s, p := newShopBooks(t, "EUR"), NewPurse("")
	carried := func(e Entry, err error) (Entry, error) {
		if err != nil {
			return e, err
		}
		return p.Carry(e)
	}
	s.post(carried(CapitalIn(CapitalTerms{Head: s.head("2026-01-05", "", ""), Amount: usd("1500"), Rate: dec("0.90"),
		Into: Bank})))
	s.post(carried(Overhead(WorkTerms{Head: s.head("2026-01-06", "", "c_9"), Cost: usd("1000"), Rate: dec("0.95"),
		Pay: Payable})))
	s.post(carried(SupplierPayment(SettleTerms{Head: s.head("2026-02-01", "", "c_9"), Open: []Lot{s.open(Payable, "c_9")[0]},
		Rate: dec("0.97"), Pay: Bank})))
	s.want(ExchangeDiff, "-50.00")
	s.want(Bank, "450.00")
	if lots := p.Lots(Bank, "USD"); len(lots) != 1 || lots[0].Amount.String() != "500.00 USD" ||
		lots[0].Base.String() != "450.00 EUR" {
		t.Errorf("what is left: %+v", lots)
	}
}

// Whatever is booked, the lots stand for what the accounts show, an exchange difference is never in
// another currency, and the account between currencies comes to nothing.
func TestLotsTieToTheAccounts(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		w := &world{shopBooks: newShopBooks(t, "EUR"), rt: rt, watch: []string{"w_1", "w_2"},
			purse: NewPurse(rapid.SampledFrom([]string{FirstInFirstOut, WeightedAverage}).Draw(rt, "method"))}
		steps := w.steps()
		steps[""] = func(t *rapid.T) {
			w.balanced(t)
			all, err := w.books.Balances()
			if err != nil {
				t.Fatal(err)
			}
			between := decimal.Zero
			for _, b := range all {
				switch {
				case b.Account == Conversion:
					between, _ = between.Add(b.Base.Decimal())
				case b.Account == ExchangeDiff && b.Amount.Currency() != "EUR":
					t.Fatalf("an exchange difference of %s", b.Amount)
				case ofMoney(b.Account) && b.Amount.Currency() != "EUR":
					amount, base := decimal.Zero, decimal.Zero
					for _, l := range w.purse.Lots(b.Account, b.Amount.Currency()) {
						amount, _ = amount.Add(l.Amount.Decimal())
						base, _ = base.Add(l.Base.Decimal())
					}
					if amount.Cmp(b.Amount.Decimal()) != 0 || base.Cmp(b.Base.Decimal()) != 0 {
						t.Fatalf("%s: %s for %s on the account, %s for %s in lots", b.Account, b.Amount, b.Base, amount, base)
					}
				}
			}
			if !between.IsZero() {
				t.Fatalf("%s is left between currencies", between)
			}
		}
		rt.Repeat(steps)
	})
}

// A watch taken in for francs against a sale in euros: 1,000 CHF at 1.05 take 1,050.00 off 5,000. One taken in for euros
// against 1,500 USD booked at 0.90, with the dollar at 0.95: 475.00 are 500 USD, which stood for 450.00, a gain of 25.00
// (IAS 21, paragraph 28; worked by hand).
func TestPartExchangeInAnotherCurrency(t *testing.T) {
	s := newShopBooks(t, "EUR")
	for _, w := range []string{"w_1", "w_3"} {
		s.post(Purchase(PurchaseTerms{Head: s.head("2026-02-01", w, "c_1"), Price: eur("600"), Pay: Bank, Scheme: Margin}))
	}
	s.post(Sale(SaleTerms{Head: s.head("2026-02-10", "w_1", "c_2"), Price: eur("5000"), Pay: Receivable,
		TaxRate: dec("0.2"), Holding: s.holding("w_1")}))
	in := s.post(PartExchange(PartExchangeTerms{Head: s.head("2026-02-11", "w_2", "c_2"), Allowance: chf("1000"),
		Rate: dec("1.05"), Scheme: Margin, Against: "w_1", Owed: s.open(Receivable, "c_2")[0]}))
	if open := s.open(Receivable, "c_2"); len(open) != 1 || open[0].Amount.Amount() != "-3950.00" {
		t.Errorf("open %+v", open)
	}
	if in.Goods.Price.Amount() != "1050.00" || in.Goods.Original.Amount() != "1000.00" {
		t.Errorf("the price for the stock book: %+v", in.Goods)
	}
	s.want(ExchangeDiff, "0.00")
	s.post(Sale(SaleTerms{Head: s.head("2026-02-10", "w_3", "c_3"), Price: usd("1500"), Rate: dec("0.90"), Pay: Receivable,
		TaxRate: dec("0.2"), Holding: s.holding("w_3")}))
	dollars := PartExchangeTerms{Head: s.head("2026-02-12", "w_4", "c_3"), Allowance: eur("475"), Scheme: Margin,
		Against: "w_3", Owed: s.open(Receivable, "c_3")[0], OwedRate: dec("0.95")}
	s.post(PartExchange(dollars))
	if open := s.open(Receivable, "c_3"); len(open) != 1 || open[0].Amount.Amount() != "-1000.00" ||
		open[0].Base.Amount() != "-900.00" {
		t.Errorf("open %+v", open)
	}
	s.want(ExchangeDiff, "-25.00")
	dollars.Head, dollars.Allowance, dollars.Owed = s.head("2026-02-13", "w_5", "c_3"), eur("951"), s.open(Receivable, "c_3")[0]
	if _, err := PartExchange(dollars); err == nil || !strings.Contains(err.Error(), "1000.00 USD") {
		t.Errorf("more than is owed: %v", err)
	}
}
