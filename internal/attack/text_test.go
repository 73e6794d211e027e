package attack

import (
	"encoding/csv"
	"errors"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/shoptest"
	"midcase/market"
	"midcase/typed"
)

// A text of 79 MB was once taken into the log, from which nothing can be taken out, and made the page of its watch as
// large.
func TestTextOfAnyLengthIsRefused(t *testing.T) {
	s := serve(t)
	before := s.LogLength(t, s.watch)
	for _, n := range []int{typed.MaxText + 1, 900_000, 3 << 20, 8 << 20} {
		form := url.Values{"kind": {"claim"}, "about": {"price"}, "text": {strings.Repeat("a", n)}}
		status, _ := s.post(s.path("/record"), form)
		if status != http.StatusUnprocessableEntity && status != http.StatusRequestEntityTooLarge {
			t.Errorf("a claim of %d bytes: status %d; want it refused", n, status)
		}
	}
	if now := s.LogLength(t, s.watch); now != before {
		t.Errorf("%d items came into the log", now-before)
	}
	form := url.Values{"kind": {"claim"}, "about": {"price"}, "text": {strings.Repeat("a", typed.MaxText)}}
	if status, text := s.post(s.path("/record"), form); status != http.StatusSeeOther {
		t.Errorf("a claim of 20 kB: status %d: %s", status, text)
	}
}

// hostile are texts that no line may hold.
var hostile = map[string]string{
	"long": strings.Repeat("x", typed.MaxLine+1), "NUL": "a\x00b", "escape": "a\x1b[2Jb", "override": "a\u202eb",
	"isolate": "a\u2067b", "no UTF-8": "a\xffb",
}

// No way into the shop goes round the look at its texts: not only pages keep records.
func TestHostileTextIsNeverKept(t *testing.T) {
	b := shoptest.New(t).WithClients(t)
	id := b.Offered(t)
	w, err := b.Watch(t.Context(), id)
	if err != nil {
		t.Fatal(err)
	}
	client, err := b.Stores().Clients.Client(t.Context(), "c_buyer")
	if err != nil {
		t.Fatal(err)
	}
	ways := map[string]func(string) error{
		"take in": func(s string) error {
			_, err := b.Intake.TakeIn(t.Context(), intake.Arrival{Maker: s, Reference: "KR-1"}, "Ines")
			return err
		},
		"title": func(s string) error {
			w := w
			w.Title = s
			_, err := b.Stores().Watches.UpdateWatch(t.Context(), w)
			return err
		},
		"mark": func(s string) error {
			_, err := b.Intake.Record(t.Context(), id, "Ines", &evidence.Mark{What: "serial", Text: s})
			return err
		},
		"author": func(s string) error {
			_, err := b.Intake.Record(t.Context(), id, s, &evidence.Claim{About: "price", Text: "dear"})
			return err
		},
		"log": func(s string) error {
			it := evidence.Item{ID: "ev_x", At: b.Now(), By: "Ines", Data: &evidence.Claim{About: s, Text: "dear"}}
			return b.Stores().Watches.Append(t.Context(), id, it)
		},
		"client": func(s string) error {
			_, err := b.People.Add(t.Context(), shop.Client{Name: s})
			return err
		},
		"client's mail": func(s string) error {
			c := client
			c.Email = s
			_, err := b.Stores().Clients.UpdateClient(t.Context(), c)
			return err
		},
		"sale": func(s string) error {
			_, err := b.Stores().Sales.AddSales(t.Context(), []market.Sale{{ID: "sale_x", Maker: s}}, shoptest.Morning)
			return err
		},
		"step": func(s string) error {
			_, err := b.Stores().Steps.KeepStep(t.Context(), shop.Step{Movements: []shop.Movement{{ID: "m_x",
				Watch: id, Place: s}}})
			return err
		},
		"paper": func(s string) error {
			_, err := b.Stores().Papers.KeepPaper(t.Context(), shop.Paper{ID: "p_x", Title: s, Client: "c_buyer"}, "")
			return err
		},
	}
	for way, keep := range ways {
		for what, text := range hostile {
			err := keep(text)
			var invalid *shop.Invalid
			if !errors.As(err, &invalid) {
				t.Errorf("%s, %s: error %v; want it refused with its field", way, what, err)
			}
		}
	}
}

func TestRowsOfFilesWithHostileTextAreKeptOut(t *testing.T) {
	for what, text := range hostile {
		file := "date,maker,reference,price,currency\n2024-03-01,Corvane,\"" + text + "\",1200,EUR\n" +
			"2024-03-02,Corvane,KR-1,1200,EUR\n"
		read, bad, err := market.ReadCSV(strings.NewReader(file), "sales.csv")
		if err != nil || read.Len() != 1 || len(bad) != 1 || bad[0].Line != 2 || bad[0].Field != "reference" {
			t.Errorf("%s: %d rows, kept out %v, error %v; want the second row kept out with its line", what, read.Len(),
				bad, err)
		}
	}
}

// Two readers of one file see two watches where a field may stand twice.
func TestFieldsThatStandTwiceAreRefused(t *testing.T) {
	const item = `{"id":"e","kind":"mark","at":"2026-03-01T12:00:00Z","by":"A","data":{"what":"serial",TEXT}}`
	for _, text := range []string{`"text":"1","text":"2"`, `"text":"1","Text":"2"`, `"TEXT":"1","te\u0078t":"2"`} {
		file := `{"maker":"C","reference":"4","evidence":[` + strings.Replace(item, "TEXT", text, 1) + `]}`
		if _, err := evidence.ReadWatch(strings.NewReader(file), "w.json", shoptest.Morning); err == nil {
			t.Errorf("a watch file with %s is read", text)
		}
		if _, err := evidence.DecodeData("mark", []byte(`{"what":"serial",`+text+`}`)); err == nil {
			t.Errorf("a mark with %s is read", text)
		}
	}
}

// Every sheet that leaves the shop opens in a spreadsheet without anything being computed.
func TestNoCellOfACSVIsAFormula(t *testing.T) {
	s := serve(t)
	const formula = `=HYPERLINK("https://elsewhere.example","x")`
	s.TakeIn(t, intake.Arrival{Maker: formula, Reference: "+1", Serial: "@SUM(A1)", Place: "-2+3", State: shop.Bought,
		Cost: shoptest.EUR("100")})
	sale := market.Sale{ID: "sale_x", Date: "2025-01-02", Maker: "Corvane", Reference: "KR-1", Note: formula,
		Price: shoptest.EUR("1000"), Source: "\t=1"}
	if _, err := s.Stores().Sales.AddSales(t.Context(), []market.Sale{sale}, shoptest.Morning); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{"/stock.csv", "/sales.csv", "/ledger/journal.csv", "/ledger/stock-book.csv",
		"/ledger/balance.csv"} {
		status, text := s.get(path)
		if status != http.StatusOK {
			t.Errorf("GET %s: status %d", path, status)
		}
		checkCells(t, path, text)
	}
	if _, text := s.get("/stock.csv"); !strings.Contains(text, "'=HYPERLINK") {
		t.Errorf("the maker is not in the stock list: %s", text)
	}
}

// checkCells fails on a cell that a spreadsheet would compute. Plain numbers may be negative.
func checkCells(t *testing.T, path, text string) {
	t.Helper()
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		t.Errorf("%s: %v", path, err)
	}
	number := regexp.MustCompile(`^-?[0-9]+(\.[0-9]+)?$`)
	for i, row := range rows {
		for _, cell := range row {
			if cell != "" && strings.ContainsRune("=+-@\t\r", rune(cell[0])) && !number.MatchString(cell) {
				t.Errorf("%s, row %d: %q would be computed", path, i+1, cell)
			}
		}
	}
}

// A command or a page that wrote its CSV by itself would be forgotten by the test above.
func TestEveryCSVIsWrittenAsASheet(t *testing.T) {
	for _, root := range []string{"../../cmd", "../cli", "../shop", "../web", "../papers", "../document"} {
		err := filepath.WalkDir(root, func(path string, d os.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
				return err
			}
			b, err := os.ReadFile(path)
			if strings.Contains(string(b), "csv.NewWriter(") {
				t.Errorf("%s writes CSV past typed.Sheet, so that a spreadsheet may compute what it reads", path)
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
}
