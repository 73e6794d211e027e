package ledger

import (
	"bytes"
	"encoding/csv"
	"flag"
	"iter"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/govalues/decimal"
)

var update = flag.Bool("update", false, "write the golden files anew")

func all(entries []Entry) iter.Seq2[Entry, error] {
	return func(yield func(Entry, error) bool) {
		for _, e := range entries {
			if !yield(e, nil) {
				return
			}
		}
	}
}

func journalBooks(t testing.TB) *shopBooks {
	s := newShopBooks(t, "EUR")
	s.post(CapitalIn(CapitalTerms{Head: s.head("2026-01-01", "", ""), Amount: eur("10000"), Into: Bank}))
	h := s.head("2026-01-10", "w_1", "c_1")
	h.Text = "diver in steel; no. 1 | as seen\nby the window"
	s.post(Purchase(PurchaseTerms{Head: h, Price: chf("1000"), Rate: dec("0.95123"), Pay: Bank, Scheme: Margin}))
	sale := s.post(Sale(SaleTerms{Head: s.head("2026-02-10", "w_1", "c_2"), Price: eur("1500"), Pay: Bank,
		TaxRate: dec("0.20"), Holding: s.holding("w_1")}))
	s.post(CounterEntry(sale, s.head("2026-02-11", "", ""), "wrong price"))
	return s
}

func TestJournal(t *testing.T) {
	s := journalBooks(t)
	var b bytes.Buffer
	names := map[string]string{"c_1": "Ada Quill"}
	if err := WriteJournal(&b, all(s.entries), func(p string) string { return names[p] }); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join("testdata", "journal.txt")
	if *update {
		if err := os.WriteFile(path, b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil || b.String() != string(want) {
		t.Errorf("journal differs from %s (%v):\n%s", path, err, b.String())
	}
	holdsConvention(t, b.String())
}

// holdsConvention reads the text by the rules of the open convention alone: a head
// line begins with the day; postings are indented, account and amount are two spaces apart;
// the weights of a transaction, by @@ where there is one, sum to zero.
func holdsConvention(t *testing.T, text string) {
	t.Helper()
	for _, block := range strings.Split(strings.TrimSpace(text), "\n\n") {
		lines := strings.Split(block, "\n")
		if strings.HasPrefix(lines[0], "commodity ") || strings.HasPrefix(lines[0], "P ") {
			continue // declarations and prices
		}
		if len(lines[0]) < 12 || lines[0][4] != '-' || lines[0][10:12] != " *" || strings.Contains(lines[0], ";") {
			t.Errorf("head line %q", lines[0])
		}
		sum := map[string]decimal.Decimal{}
		for _, l := range lines[1:] {
			l, _, _ = strings.Cut(l, ";")
			if strings.TrimSpace(l) == "" {
				continue
			}
			account, rest, ok := strings.Cut(strings.TrimSpace(l), "  ")
			f := strings.Fields(rest)
			if !ok || ClassOf(Account(account)) == "" || len(f) != 2 && (len(f) != 5 || f[2] != "@@") {
				t.Fatalf("posting %q", l)
			}
			weight := dec(f[0])
			if len(f) == 5 {
				weight = dec(f[3]).CopySign(weight)
			}
			sum[f[len(f)-1]], _ = sum[f[len(f)-1]].Add(weight)
		}
		for c, w := range sum {
			if !w.IsZero() {
				t.Errorf("transaction does not balance: %s %s\n%s", w, c, block)
			}
		}
	}
}

func TestCSV(t *testing.T) {
	s := journalBooks(t)
	var b bytes.Buffer
	if err := WriteCSV(&b, all(s.entries)); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	lines := 0
	for _, e := range s.entries {
		lines += len(e.Lines)
	}
	if len(rows) != lines+1 || len(rows[1]) != len(CSVColumns()) {
		t.Errorf("%d rows of %d columns; want %d of %d", len(rows), len(rows[1]), lines+1, len(CSVColumns()))
	}
}
