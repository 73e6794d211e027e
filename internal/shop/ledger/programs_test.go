package ledger

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// The journal passes the strict checks of three plain-text accounting programs, each where it is installed
// (apt: hledger, ledger, beancount).
func TestJournalInOtherPrograms(t *testing.T) {
	s, p := newShopBooks(t, "EUR"), NewPurse("")
	post := func(e Entry, err error) {
		t.Helper()
		if err == nil {
			e, err = p.Carry(e)
		}
		s.post(e, err)
	}
	post(CapitalIn(CapitalTerms{Head: s.head("2026-01-05", "", ""), Amount: usd("1500"), Rate: dec("0.90"), Into: Bank}))
	post(Purchase(PurchaseTerms{Head: s.head("2026-01-07", "w_1", "c_1"), Price: usd("1000"), Rate: dec("0.93"), Pay: Bank,
		Scheme: Margin}))
	post(Exchange(ExchangeTerms{Head: s.head("2026-02-05", "", ""), Out: usd("500"), In: eur("475"), From: Bank, Into: Cash}))
	post(Sale(SaleTerms{Head: s.head("2026-01-20", "w_1", "c_2"), Price: eur("1200"), Pay: Receivable, TaxRate: dec("0.2"),
		Holding: s.holding("w_1")}))
	post(ConsignIn(ConsignTerms{Head: s.head("2026-01-21", "w_2", "c_1"), Value: chf("800"), Rate: dec("1.05"),
		Commission: dec("0.15")}))
	names := func(string) string { return `Bruno "the Vale"` }
	var plain, bean bytes.Buffer
	all := func(yield func(Entry, error) bool) {
		for _, e := range s.entries {
			if !yield(e, nil) {
				return
			}
		}
	}
	if err := WriteJournal(&plain, all, names); err != nil {
		t.Fatal(err)
	}
	if err := WriteBeancount(&bean, all, names); err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	journal, other := filepath.Join(dir, "shop.journal"), filepath.Join(dir, "shop.beancount")
	for name, b := range map[string][]byte{journal: plain.Bytes(), other: bean.Bytes()} {
		if err := os.WriteFile(name, b, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for _, run := range [][]string{{"hledger", "-f", journal, "check", "--strict", "ordereddates"},
		{"ledger", "-f", journal, "--strict", "--pedantic", "balance"}, {"bean-check", other}} {
		t.Run(run[0], func(t *testing.T) {
			if _, err := exec.LookPath(run[0]); err != nil {
				t.Skipf("%s is not installed", run[0])
			}
			if said, err := exec.Command(run[0], run[1:]...).CombinedOutput(); err != nil {
				t.Errorf("%v\n%s\n%s", err, said, plain.String())
			}
		})
	}
}
