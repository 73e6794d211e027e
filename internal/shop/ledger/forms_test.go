package ledger

import (
	"strings"
	"testing"
)

func TestFormsNameAccountsOfTheChart(t *testing.T) {
	seen := map[string]bool{}
	for _, f := range Forms() {
		for _, a := range []Account{f.Debit, f.Credit} {
			if a != throughMoney && ClassOf(a) == "" {
				t.Errorf("%s: no account %q", f.ID, a)
			}
		}
		if f.Name == "" || seen[f.ID] || f.Debit == f.Credit {
			t.Errorf("%+v", f)
		}
		seen[f.ID] = true
	}
}

// IAS 2, paragraphs 28 to 34: written down to net realisable value, reversed at most by as much, and the
// cost of the sale is what then stands. Tax of the month is not what is paid to the office.
func TestWriteDownTaxAndReduction(t *testing.T) {
	s := newShopBooks(t, "EUR")
	book := func(id, watch, amount string, tax string, pay Account) error {
		f, _ := FormOf(id)
		terms := FormTerms{Head: s.head("2026-03-05", watch, ""), Amount: eur(amount), Pay: pay}
		if watch != "" {
			terms.Holding = s.holding(watch)
		}
		if tax != "" {
			terms.Tax = eur(tax)
		}
		e, err := f.Book(terms)
		if err == nil {
			s.post(e, nil)
		}
		return err
	}
	refused := func(err error, says string) {
		t.Helper()
		if err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%v; want %q", err, says)
		}
	}
	s.post(Purchase(PurchaseTerms{Head: s.head("2026-03-01", "w_1", "c_1"), Price: eur("1500"), Pay: Bank, Scheme: Margin}))
	s.post(Reduction(ReductionTerms{Head: s.head("2026-03-02", "w_1", "c_1"), Amount: eur("100"), Pay: Bank,
		Holding: s.holding("w_1")}))
	refused(book("write-down", "w_1", "1500", "", ""), "at most 1400.00 EUR")
	if err := book("write-down", "w_1", "400", "", ""); err != nil {
		t.Fatal(err)
	}
	refused(book("write-up", "w_1", "500", "", ""), "at most 400.00 EUR")
	if err := book("write-up", "w_1", "150", "", ""); err != nil {
		t.Fatal(err)
	}
	s.post(Sale(SaleTerms{Head: s.head("2026-03-06", "w_1", "c_2"), Price: eur("2000"), Pay: Bank, TaxRate: dec("0.20"),
		Holding: s.holding("w_1")}))
	s.want(CostOfSales, "1150.00") // 1500 − 100 − 250
	s.want(VATDue, "-100.00")      // (2000 − 1400) / 6
	if err := book("reverse-charge", "", "200", "40", Bank); err != nil {
		t.Fatal(err)
	}
	if err := book("tax-paid", "", "100", "", Bank); err != nil {
		t.Fatal(err)
	}
	s.want(VATDue, "-40.00")
	s.want(VATInput, "40.00")
	rows, err := s.books.VAT("2026-03", "2026-03")
	if err != nil || len(rows) != 1 || rows[0].Due.String() != "100.00 EUR" || rows[0].OtherTax.String() != "40.00 EUR" {
		t.Errorf("the month: %+v, %v", rows, err)
	}
	in := FormTerms{Head: s.head("2026-03-09", "", "c_1"), Amount: usd("200"), Rate: dec("0.90"), Pay: Bank}
	for _, id := range []string{"loan-repaid", "wage-tax-paid", "bad-debt"} {
		f, _ := FormOf(id)
		_, err := f.Book(in)
		refused(err, "was booked at another rate")
	}
	refused(book("loan-taken", "", "200", "", Bank), "a client on record")
	refused(book("wages", "", "200", "20", Bank), "none with this kind of entry")
}

// An allowance of 100 on a consigned sale at 20 % commission: the owner bears 80, the shop 20, and the tax
// on 20 at 20 % is 3.33. A watch lost in the shop's care is owed at its agreed value.
func TestConsignedAllowanceAndLoss(t *testing.T) {
	s := newShopBooks(t, "EUR")
	s.post(ConsignIn(ConsignTerms{Head: s.head("2026-03-01", "w_1", "c_1"), Value: eur("1000"), Commission: dec("0.20")}))
	s.post(Sale(SaleTerms{Head: s.head("2026-03-02", "w_1", "c_2"), Price: eur("1200"), Pay: Bank, TaxRate: dec("0.20"),
		Holding: s.holding("w_1")}))
	s.want(Consignors, "-960.00")
	s.want(VATDue, "-40.00") // 240 / 6
	s.post(Refund(RefundTerms{Head: s.head("2026-03-03", "w_1", "c_2"), Amount: eur("100"), Pay: Bank,
		Holding: s.holding("w_1")}))
	s.want(Consignors, "-880.00")
	s.want(VATDue, "-36.67") // 220 / 6
	s.want(Bank, "1100.00")
	s.post(Refund(RefundTerms{Head: s.head("2026-03-04", "w_1", "c_2"), Pay: Bank, Holding: s.holding("w_1")}))
	s.want(Consignors, "0.00")
	s.want(VATDue, "0.00")
	h := s.holding("w_1")
	s.post(ConsignLost(s.head("2026-03-05", "w_1", "c_1"), *h.Consign))
	s.want(Consignors, "-1000.00")
	s.want(Loss, "1000.00")
	s.want(GoodsOfOthers, "0.00")
}

// Income and expense of a year that is over go to the profits of closed years.
func TestCloseYear(t *testing.T) {
	s := newShopBooks(t, "EUR")
	s.post(Overhead(WorkTerms{Head: s.head("2025-03-05", "", "c_9"), Cost: usd("200"), Rate: dec("0.90"), Pay: Payable}))
	s.post(Purchase(PurchaseTerms{Head: s.head("2025-03-01", "w_1", "c_1"), Price: eur("1500"), Pay: Bank, Scheme: NoTax}))
	s.post(Sale(SaleTerms{Head: s.head("2025-03-06", "w_1", "c_2"), Price: eur("2000"), Pay: Bank, Holding: s.holding("w_1")}))
	all, err := s.books.Balances()
	if err != nil {
		t.Fatal(err)
	}
	s.post(CloseYear(s.head("2025-12-31", "", ""), all))
	for _, a := range []Account{Sales, CostOfSales, Overheads, Conversion} {
		s.want(a, "0.00")
	}
	s.want(Retained, "-320.00") // 2000 − 1500 − 180
	rows, err := s.books.ProfitByMonth()
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range rows {
		if r.Key == "2025-12" && (r.Income.Sign() != 0 || r.Expense.Sign() != 0) {
			t.Errorf("closing the year is no income of December: %+v", r)
		}
	}
}

// Work of 120.00 with 20.00 tax in it that the owner bears: the owner is charged 120.00, and the tax reclaimed is due
// again on what is charged on (Directive 2006/112/EC, article 28).
func TestWorkForAnOwnerIsChargedOnWithItsTax(t *testing.T) {
	s := newShopBooks(t, "EUR")
	s.post(ConsignIn(ConsignTerms{Head: s.head("2026-01-21", "w_2", "c_1"), Value: eur("800"), Commission: dec("0.15")}))
	s.post(Repair(WorkTerms{Head: s.head("2026-01-22", "w_2", "c_9"), Cost: eur("120"), Tax: eur("20"), Pay: Bank,
		Holding: s.holding("w_2"), ForConsignor: true}))
	s.want(Consignors, "120.00")
	s.want(VATInput, "20.00")
	s.want(VATDue, "-20.00")
	rows, err := s.books.VAT("", "")
	if err != nil || len(rows) != 1 || rows[0].Due.Sign() != 0 {
		t.Errorf("tax of the month %+v, %v", rows, err)
	}
	if _, err := CloseYear(s.head("2026-12-31", "", ""), nil); err == nil || !strings.Contains(err.Error(), "year") {
		t.Errorf("a year without income is closed: %v", err)
	}
}
