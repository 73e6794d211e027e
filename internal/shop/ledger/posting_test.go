package ledger

import (
	"errors"
	"reflect"
	"strings"
	"testing"

	"github.com/govalues/decimal"

	"midcase/money"
)

// The examples of the margin scheme: a watch bought for £1,500 and sold for £2,000 owes
// £83.33 (gov.uk, VAT margin schemes: one sixth of the margin, 20 % within the price);
// 500 at 21 % is 86.78 (own reckoning of Directive 2006/112/EC, article 315:
// 500 × 21 / 121 = 86.7769).
func TestMarginTaxToTheCent(t *testing.T) {
	for _, c := range []struct {
		bought, sold, rate, margin, tax string
	}{
		{"1500", "2000", "0.20", "500.00", "83.33"},
		{"1500", "2000", "0.21", "500.00", "86.78"},
		{"1500", "2000", "0.19", "500.00", "79.83"}, // 500 × 19 / 119 = 79.8319
		{"2000", "1500", "0.20", "-500.00", "0.00"}, // a loss gives nothing back
		{"2000", "2000", "0.20", "0.00", "0.00"},
		{"1000", "1000.03", "0.20", "0.03", "0.01"}, // 0.005: a half goes up
	} {
		s := newShopBooks(t, "GBP")
		s.post(Purchase(PurchaseTerms{Head: s.head("2026-01-10", "w_1", "c_1"), Price: gbp(c.bought), Pay: Bank,
			Scheme: Margin}))
		// Work does not raise the purchase price (gov.uk, margin scheme record keeping).
		s.post(Repair(WorkTerms{Head: s.head("2026-01-20", "w_1", "c_9"), Cost: gbp("240"), Tax: gbp("40"), Pay: Bank,
			Holding: s.holding("w_1")}))
		e := s.post(Sale(SaleTerms{Head: s.head("2026-02-10", "w_1", "c_2"), Price: gbp(c.sold), Pay: Bank,
			TaxRate: dec(c.rate), Holding: s.holding("w_1"), Route: "own site"}))
		if e.Goods.Margin.Amount() != c.margin || e.Goods.Tax.Amount() != c.tax {
			t.Errorf("%s to %s at %s: margin %s, tax %s; want %s and %s", c.bought, c.sold, c.rate, e.Goods.Margin,
				e.Goods.Tax, c.margin, c.tax)
		}
		rows := s.books.StockBook()
		if len(rows) != 1 || rows[0].Tax.Amount() != c.tax || rows[0].Buyer != "c_2" || rows[0].Seller != "c_1" ||
			rows[0].Sold != "2026-02-10" || rows[0].PurchaseDocument != "D-1" {
			t.Errorf("stock book: %+v", rows)
		}
		s.want(StockPurchase, "0.00")
		s.want(StockWork, "0.00")
		s.want(VATInput, "40.00")
	}
}

func TestMarginSchemeRefused(t *testing.T) {
	s := newShopBooks(t, "EUR")
	s.post(Purchase(PurchaseTerms{Head: s.head("2026-01-10", "w_1", "c_1"), Price: eur("1210"), Tax: eur("210"),
		Pay: Payable, Scheme: Ordinary}))
	s.want(StockPurchase, "1000.00")
	_, err := Sale(SaleTerms{Head: s.head("2026-02-10", "w_1", "c_2"), Price: eur("2000"), Pay: Bank, Scheme: Margin,
		TaxRate: dec("0.21"), Holding: s.holding("w_1")})
	if err == nil || !strings.Contains(err.Error(), "tax was charged") {
		t.Errorf("margin scheme after a purchase with tax: %v", err)
	}
	e := s.post(Sale(SaleTerms{Head: s.head("2026-02-10", "w_1", "c_2"), Price: eur("1210"), Pay: Bank,
		TaxRate: dec("0.21"), Holding: s.holding("w_1")}))
	if e.Goods.Tax.Amount() != "210.00" {
		t.Errorf("ordinary tax %s; want 210.00, which is 1210 × 21 / 121", e.Goods.Tax)
	}
}

func TestForeignCost(t *testing.T) {
	s := newShopBooks(t, "EUR")
	s.post(Purchase(PurchaseTerms{Head: s.head("2026-01-10", "w_1", "c_1"), Price: chf("1000"), Rate: dec("0.95123"),
		Pay: Bank, Scheme: Margin}))
	s.post(Repair(WorkTerms{Head: s.head("2026-01-15", "w_1", "c_8"), Cost: chf("33.33"), Rate: dec("0.97"), Pay: Bank,
		Holding: s.holding("w_1")}))
	if cost, err := s.holding("w_1").Cost("EUR"); err != nil || cost.Amount() != "983.56" { // 951.23 + 32.33
		t.Errorf("cost %v, %v", cost, err)
	}
	s.post(Sale(SaleTerms{Head: s.head("2026-02-10", "w_1", "c_2"), Price: eur("1500"), Pay: Bank, TaxRate: dec("0.20"),
		Holding: s.holding("w_1")}))
	s.want(StockPurchase, "0.00")
	s.want(CostOfSales, "983.56")
	s.want(VATDue, "-91.46") // (1500 − 951.23) / 6 = 91.4617
	if h := s.holding("w_1"); len(h.Stock) != 0 {
		t.Errorf("left in stock: %+v", h.Stock)
	}
}

// A consignor is owed francs; they are paid when the franc is dearer.
func TestConsignedSaleAndSettlement(t *testing.T) {
	s := newShopBooks(t, "EUR")
	in := ConsignTerms{Head: s.head("2026-01-10", "w_1", "c_1"), Value: chf("8000"), Rate: dec("0.95"),
		Commission: dec("0.15")}
	s.post(ConsignIn(in))
	s.want(GoodsOfOthers, "7600.00")
	s.want(StockPurchase, "0.00")
	s.post(Repair(WorkTerms{Head: s.head("2026-01-20", "w_1", "c_9"), Cost: eur("100"), Pay: Bank,
		Holding: s.holding("w_1"), ForConsignor: true}))
	s.post(Sale(SaleTerms{Head: s.head("2026-02-10", "w_1", "c_2"), Price: chf("10000"), Rate: dec("0.95"),
		Pay: Receivable, TaxRate: dec("0.20"), Holding: s.holding("w_1"), Route: "auction"}))
	s.want(GoodsOfOthers, "0.00")
	s.want(OwnersOfGoods, "0.00")
	s.want(Commission, "-1187.50") // 15 % of 9500 is 1425, less 237.50 of tax in it
	s.want(VATDue, "-237.50")
	owed := s.open(Consignors, "c_1")
	if len(owed) != 2 || owed[0].Amount.String() != "-100.00 EUR" || owed[1].Amount.String() != "8500.00 CHF" {
		t.Fatalf("owed to the consignor: %+v", owed)
	}
	s.post(ConsignorSettlement(SettleTerms{Head: s.head("2026-03-01", "", "c_1"), Open: []Lot{owed[1]}, Rate: dec("0.96"),
		Pay: Bank}))
	s.post(ConsignorSettlement(SettleTerms{Head: s.head("2026-03-01", "", "c_1"), Open: []Lot{owed[0]}, Pay: Bank}))
	s.want(Consignors, "0.00")
	s.want(ExchangeDiff, "85.00") // a loss: 8500 × 0.01
	if len(s.books.StockBook()) != 0 {
		t.Error("a consigned watch is in the stock book")
	}
	s.post(CustomerPayment(SettleTerms{Head: s.head("2026-03-02", "", "c_2"), Open: []Lot{s.open(Receivable, "c_2")[0]},
		Rate: dec("0.94"), Pay: Bank, Amount: chf("-4000")}))
	if left := s.open(Receivable, "c_2"); len(left) != 1 || left[0].Amount.String() != "-6000.00 CHF" ||
		left[0].Base.String() != "-5700.00 EUR" {
		t.Errorf("left to pay: %+v", left)
	}
	s.want(ExchangeDiff, "125.00") // 4000 × 0.01 more
}

func TestConsignedNetAndBack(t *testing.T) {
	s := newShopBooks(t, "EUR")
	s.post(ConsignIn(ConsignTerms{Head: s.head("2026-01-10", "w_1", "c_1"), Value: eur("5000"), Net: eur("4500")}))
	if _, err := Sale(SaleTerms{Head: s.head("2026-02-10", "w_1", "c_2"), Price: eur("4000"), Pay: Bank,
		Holding: s.holding("w_1")}); err == nil {
		t.Error("sold for less than the consignor is to get")
	}
	s.post(ConsignOut(s.head("2026-02-11", "w_1", "c_1"), *s.holding("w_1").Consign))
	s.want(GoodsOfOthers, "0.00")
	if s.holding("w_1").Consign != nil {
		t.Error("still consigned")
	}
}

func TestSharedWatch(t *testing.T) {
	s := newShopBooks(t, "EUR")
	stakes := []Stake{{"c_p", dec("0.25")}, {"c_q", dec("0.25")}}
	given := append([]Stake(nil), stakes...)
	s.post(ShareBuy(ShareTerms{Head: s.head("2026-01-10", "w_1", "c_1"), Price: eur("1000.01"), Pay: Bank,
		Scheme: Margin, Stakes: stakes}))
	if !reflect.DeepEqual(stakes, given) {
		t.Errorf("the stakes given were changed: %v", stakes)
	}
	s.want(StockPurchase, "500.01")
	s.want(Partners, "500.00")
	s.post(Repair(WorkTerms{Head: s.head("2026-01-20", "w_1", "c_9"), Cost: eur("100"), Pay: Bank,
		Holding: s.holding("w_1")}))
	s.want(StockWork, "50.00")
	s.post(Sale(SaleTerms{Head: s.head("2026-02-10", "w_1", "c_2"), Price: eur("1600.01"), Pay: Bank,
		TaxRate: dec("0.20"), Holding: s.holding("w_1")}))
	s.want(VATDue, "-100.00") // on the margin of the whole watch, 600.00
	s.want(Partners, "-200.00")
	s.want(Sales, "-750.01") // half of 1500.01, the odd cent with the shop
	for _, p := range []string{"c_p", "c_q"} {
		open := s.open(Partners, p)
		s.post(PartnerSettlement(SettleTerms{Head: s.head("2026-03-01", "", p), Open: []Lot{open[0]}, Pay: Bank}))
	}
	s.want(Partners, "0.00")
}

func TestLedByPartner(t *testing.T) {
	s := newShopBooks(t, "EUR")
	s.post(ShareBuy(ShareTerms{Head: s.head("2026-01-10", "w_1", "c_p"), Price: eur("1000"), Scheme: Margin,
		Stakes: []Stake{{"c_p", dec("0.6")}}, Leader: "c_p"}))
	s.want(StockPurchase, "400.00")
	s.want(Partners, "-400.00")
	s.post(Sale(SaleTerms{Head: s.head("2026-02-10", "w_1", "c_2"), Price: eur("1600"), LeaderAccounted: eur("1500"),
		Holding: s.holding("w_1")}))
	s.want(Partners, "200.00") // 40 % of 1500, less the 400 owed
	s.want(VATDue, "0.00")
}

func TestDepositPartExchangeRefund(t *testing.T) {
	s := newShopBooks(t, "EUR")
	s.post(CapitalIn(CapitalTerms{Head: s.head("2026-01-01", "", ""), Amount: eur("10000"), Into: Bank}))
	s.post(Purchase(PurchaseTerms{Head: s.head("2026-01-10", "w_1", "c_1"), Price: eur("3000"), Pay: Bank,
		Scheme: Margin}))
	s.post(Deposit(DepositTerms{Head: s.head("2026-01-15", "w_1", "c_2"), Amount: eur("500"), Pay: Cash}))
	s.want(Deposits, "-500.00")
	s.post(Sale(SaleTerms{Head: s.head("2026-02-10", "w_1", "c_2"), Price: eur("4800"), Pay: Receivable,
		TaxRate: dec("0.20"), Holding: s.holding("w_1"), Route: "private client"}))
	s.want(Deposits, "0.00")
	s.want(Receivable, "4300.00")
	s.post(PartExchange(PartExchangeTerms{Head: s.head("2026-02-10", "w_2", "c_2"), Allowance: eur("1000"),
		Scheme: Margin, Against: "w_1"}))
	s.want(Receivable, "3300.00")
	s.post(CustomerPayment(SettleTerms{Head: s.head("2026-02-12", "w_1", "c_2"), Open: []Lot{s.open(Receivable, "c_2")[0]},
		Pay: Bank}))
	s.want(Receivable, "0.00")
	s.want(VATDue, "-300.00") // 1800 / 6

	s.post(Refund(RefundTerms{Head: s.head("2026-02-20", "w_1", "c_2"), Amount: eur("300"), Pay: Bank,
		Holding: s.holding("w_1")}))
	s.want(VATDue, "-250.00") // 1500 / 6
	s.post(Refund(RefundTerms{Head: s.head("2026-02-21", "w_1", "c_2"), Amount: eur("1800"), Pay: Bank,
		Holding: s.holding("w_1")}))
	s.want(VATDue, "0.00") // sold below cost now
	row := s.books.StockBook()[0]
	if row.SalePrice.Amount() != "2700.00" || row.Margin.Amount() != "-300.00" || row.Tax.Amount() != "0.00" {
		t.Errorf("stock book after allowances: %+v", row)
	}
	if _, err := Refund(RefundTerms{Head: s.head("2026-02-22", "w_1", "c_2"), Amount: eur("2700"), Pay: Bank,
		Holding: s.holding("w_1")}); err == nil {
		t.Error("an allowance of the whole price was taken")
	}
	s.post(Refund(RefundTerms{Head: s.head("2026-02-25", "w_1", "c_2"), Pay: Bank, Holding: s.holding("w_1")}))
	s.want(StockPurchase, "4000.00")
	s.want(Sales, "0.00")
	s.want(CostOfSales, "0.00")
	s.want(VATDue, "0.00")
	s.want(Bank, "5500.00") // 10000 − 3000 − 1000 (the part exchange) − 500 (the deposit came in cash)
	s.want(Cash, "500.00")
	row = s.books.StockBook()[0]
	if row.Sold != "" || !strings.Contains(row.Note, "taken back 2026-02-25") {
		t.Errorf("stock book after the return: %+v", row)
	}
	s.post(Sale(SaleTerms{Head: s.head("2026-03-10", "w_1", "c_3"), Price: eur("3600"), Pay: Bank, TaxRate: dec("0.20"),
		Holding: s.holding("w_1")}))
	if row = s.books.StockBook()[0]; row.Tax.Amount() != "100.00" || row.Buyer != "c_3" {
		t.Errorf("sold again: %+v", row)
	}
}

func TestCounterEntry(t *testing.T) {
	s := newShopBooks(t, "EUR")
	s.post(Purchase(PurchaseTerms{Head: s.head("2026-01-10", "w_1", "c_1"), Price: eur("3000"), Pay: Bank,
		Scheme: Margin}))
	sale := s.post(Sale(SaleTerms{Head: s.head("2026-02-10", "w_1", "c_2"), Price: eur("4000"), Pay: Bank,
		TaxRate: dec("0.20"), Holding: s.holding("w_1")}))
	if _, err := CounterEntry(sale, s.head("2026-02-11", "", ""), " "); err == nil {
		t.Error("a counter-entry without a reason was made")
	}
	counter := s.post(CounterEntry(sale, s.head("2026-02-11", "", ""), "wrong price"))
	s.want(Sales, "0.00")
	s.want(VATDue, "0.00")
	s.want(StockPurchase, "3000.00")
	if h := s.holding("w_1"); h.Sale != nil || !h.Owned() {
		t.Errorf("holding after the counter-entry: %+v", h)
	}
	if vat, err := s.books.VAT("2026-02", ""); err != nil || vat[0].Due.Amount() != "0.00" ||
		vat[0].MarginSales.Amount() != "0.00" {
		t.Errorf("VAT %+v, %v", vat, err)
	}
	if err := s.books.Post(must(CounterEntry(sale, s.head("2026-02-12", "", ""), "again"))); !errors.Is(err, ErrEntry) {
		t.Errorf("answered twice: %v", err)
	}
	if _, err := CounterEntry(counter, s.head("2026-02-12", "", ""), "no"); err == nil {
		t.Error("a counter-entry was answered")
	}
}

func must(e Entry, err error) Entry {
	if err != nil {
		panic(err)
	}
	return e
}

func TestUnbalancedRefused(t *testing.T) {
	good := must(Purchase(PurchaseTerms{Head: Head{ID: "le_1", Day: "2026-01-10", Base: "EUR", Watch: "w_1"},
		Price: chf("100"), Rate: dec("0.95"), Pay: Bank, Scheme: Margin}))
	for name, spoil := range map[string]func(*Entry){
		"amount":       func(e *Entry) { e.Lines[0].Amount, e.Lines[0].Base = chf("101"), eur("95.95") },
		"base":         func(e *Entry) { e.Lines[0].Base = eur("96") },
		"rate":         func(e *Entry) { e.Lines[0].Rate = decimal.Zero },
		"account":      func(e *Entry) { e.Lines[0].Account = "assets:attic" },
		"day":          func(e *Entry) { e.Day = "2026-02-30" },
		"one line":     func(e *Entry) { e.Lines = e.Lines[:1] },
		"id":           func(e *Entry) { e.ID = "" },
		"parts":        func(e *Entry) { e.Lines[0].Amount = chf("100.001") },
		"own rate":     func(e *Entry) { e.Lines[0].Amount = eur("95") },
		"no amount":    func(e *Entry) { e.Lines[0].Amount = money.Money{} },
		"two currency": func(e *Entry) { e.Lines[0].Amount, e.Lines[0].Rate = eur("95"), decimal.One },
	} {
		e := good
		e.Lines = append([]Line(nil), good.Lines...)
		spoil(&e)
		if err := NewBooks("EUR").Post(e); !errors.Is(err, ErrEntry) {
			t.Errorf("%s: error %v; want ErrEntry", name, err)
		}
	}
	if err := NewBooks("EUR").Post(good); err != nil {
		t.Error(err)
	}
	if err := NewBooks("CHF").Post(good); !errors.Is(err, ErrEntry) {
		t.Errorf("books in another currency: %v", err)
	}
}

func TestSplitKeepsTheSum(t *testing.T) {
	thirds := []decimal.Decimal{dec("0.3333"), dec("0.3333"), dec("0.3334")}
	parts, err := Split(eur("100.00"), thirds)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []string{"33.33", "33.33", "33.34"} {
		if parts[i].Amount() != want {
			t.Errorf("part %d: %s; want %s", i, parts[i], want)
		}
	}
	if _, err := Split(eur("1"), thirds[:2]); err == nil {
		t.Error("shares that do not sum to 1 were taken")
	}
}

// A share that comes to less than a cent would leave a watch that is in no account.
func TestShareOfNothingIsRefused(t *testing.T) {
	s := newShopBooks(t, "EUR")
	_, err := ShareBuy(ShareTerms{Head: s.head("2026-01-10", "w_1", "c_1"), Price: eur("1.00"), Pay: Bank,
		Scheme: Margin, Stakes: []Stake{{"c_p", dec("0.4999")}, {"c_q", dec("0.4999")}}})
	if err == nil || !strings.Contains(err.Error(), "share of the shop") {
		t.Fatalf("found %v; want the shop's share refused", err)
	}
}
