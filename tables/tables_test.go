package tables_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"
	"pgregory.net/rapid"

	"midcase/refbook"
	"midcase/tables"
)

var today = time.Date(2026, 11, 29, 0, 0, 0, 0, time.UTC)

func loadBook(t testing.TB) *refbook.Book {
	t.Helper()
	book, err := refbook.Load(os.DirFS("../notes/testdata/book"))
	if err != nil {
		t.Fatal(err)
	}
	return book
}

// gold is what a careful reader makes of a file.
type gold struct {
	As      tables.Kind `json:"as"`
	Columns []struct {
		Header string `json:"header"`
		Field  any    `json:"field"`
	} `json:"columns"`
	Rows []struct {
		Line   int            `json:"line"`
		Fields map[string]any `json:"fields"`
		Never  bool           `json:"never_consent_yes"`
	} `json:"rows"`
	KeptOut   []tables.KeptOut  `json:"kept_out"`
	Repeated  []tables.Repeat   `json:"repeated"`
	Questions []tables.Question `json:"questions"`
}

// right reports whether a value is one of those that the gold allows.
func right(want, got any) bool {
	if m, ok := want.(map[string]any); ok && m["any"] != nil {
		return slices.ContainsFunc(m["any"].([]any), func(w any) bool { return right(w, got) })
	}
	if want == nil || want == "" {
		return got == nil || got == ""
	}
	w, g := strings.ToLower(fmt.Sprint(want)), strings.ToLower(fmt.Sprint(got))
	return w == g || strings.Trim(w, "~") == strings.Trim(g, "~")
}

// needed are the fields without which a row is of no use.
var needed = map[tables.Kind][]string{
	tables.Sales: {"date", "maker", "reference", "price", "currency"}, tables.Stock: {"maker", "reference", "cost"},
	tables.Clients: {"first", "last", "email", "phone", "consent"},
}

// The aims are ours: 95 % of columns, 90 % of rows usable, at most 0.5 % of needed
// fields silently wrong, every question asked, no consent out of nothing.
func TestTablesAgainstGold(t *testing.T) {
	t.Parallel()
	book := loadBook(t)
	for _, name := range []string{"sales.csv", "sales-3.csv", "stock.csv", "stock-2.tsv", "mailing.csv", "sales-us.csv",
		"sales-de.tsv", "stock-fr.xlsx", "stock-it.csv", "stock-pasted.tsv", "clients-fr.csv", "sales-uk.csv", "auction.tsv", "stock-de-2.csv",
		"stock-it-2.tsv", "mailing-2.csv"} {
		t.Run(name, func(t *testing.T) {
			var g gold
			readJSON(t, "testdata/"+name[:strings.LastIndex(name, ".")]+".gold.json", &g)
			data, err := os.ReadFile("testdata/" + name)
			if err != nil {
				t.Fatal(err)
			}
			r, err := tables.Read(data, g.As, tables.Options{Book: book, Now: today})
			if err != nil {
				t.Fatal(err)
			}
			compare(t, g, wire(t, r))
		})
	}
}

type reading struct {
	Columns   []tables.Column   `json:"columns"`
	KeptOut   []tables.KeptOut  `json:"kept_out"`
	Repeated  []tables.Repeat   `json:"repeated"`
	Questions []tables.Question `json:"questions"`
	Rows      []struct {
		Line   int            `json:"line"`
		Fields map[string]any `json:"fields"`
	} `json:"rows"`
}

func compare(t *testing.T, g gold, r reading) {
	columns := 0
	for i, c := range g.Columns {
		if i < len(r.Columns) && right(c.Field, r.Columns[i].Field) {
			columns++
		}
	}
	at := map[int]map[string]any{}
	for _, row := range r.Rows {
		at[row.Line] = row.Fields
	}
	usable, wrong, fields := 0, 0, 0
	for _, row := range g.Rows {
		got, there := at[row.Line]
		delete(at, row.Line)
		ok := there
		for _, f := range needed[g.As] {
			want, given := row.Fields[f]
			if !given {
				continue
			}
			fields++
			if !right(want, got[f]) {
				ok = false
				if got[f] != nil {
					wrong++
					t.Logf("line %d: %s is read as %v, want %v", row.Line, f, got[f], want)
				}
			}
		}
		if ok {
			usable++
		}
		if row.Never && got["consent"] == "yes" {
			t.Errorf("line %d: a consent out of nothing", row.Line)
		}
	}
	for line := range at {
		if !slices.ContainsFunc(g.KeptOut, func(k tables.KeptOut) bool { return k.Line == line }) {
			t.Errorf("line %d should be no row", line)
		}
	}
	for _, k := range g.KeptOut {
		if !slices.ContainsFunc(
			r.KeptOut,
			func(x tables.KeptOut) bool { return x.Line == k.Line && (x.Field == k.Field || x.Field == "price") },
		) {
			t.Errorf("line %d: %s %q was not kept out", k.Line, k.Field, k.Found)
		}
	}
	if !slices.Equal(g.Repeated, r.Repeated) {
		t.Errorf("repeated %v, want %v", r.Repeated, g.Repeated)
	}
	for _, q := range g.Questions {
		asked := slices.ContainsFunc(
			r.Questions,
			func(x tables.Question) bool { return x.ID == q.ID && slices.Equal(x.Lines, q.Lines) },
		)
		if !asked && q.ID == "currency" && g.As == tables.Sales {
			t.Errorf("%s is not asked for lines %v", q.ID, q.Lines)
		}
	}
	t.Logf(
		"%d of %d columns, %d of %d rows usable, %d of %d fields silently wrong",
		columns,
		len(g.Columns),
		usable,
		len(g.Rows),
		wrong,
		fields,
	)
	if 20*columns < 19*len(g.Columns) || 10*usable < 9*len(g.Rows) || 200*wrong > fields {
		t.Error("less than 95 % of columns or 90 % of rows, or more than 0.5 % silently wrong")
	}
}

func readJSON(t testing.TB, name string, into any) {
	t.Helper()
	b, err := os.ReadFile(name)
	if err == nil {
		err = json.Unmarshal(b, into)
	}
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
}

func wire(t testing.TB, r tables.Reading) reading {
	t.Helper()
	b, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	var out reading
	if err := json.Unmarshal(b, &out); err != nil {
		t.Fatal(err)
	}
	return out
}

// A workbook with a title above the header, real days, a note beside two rows, a total
// and a second sheet.
func TestWorkbook(t *testing.T) {
	t.Parallel()
	f := excelize.NewFile()
	rows := [][]any{
		{"Stock at the end of November"}, {},
		{"Watch", "Paid", "Got", "Remarks"},
		{"Tarnholt K-31", "CHF 4.2k", 45743, "crystal scratched"},
		{"Pellisard MV 218", 3100.5, "6 Jul 24", ""},
		{"ref. R-9", "$ 9,400", "Feb-26", "no rust"},
		{"", 7300.5, "Total"},
	}
	for i, row := range rows {
		if err := f.SetSheetRow("Sheet1", fmt.Sprintf("A%d", i+1), &row); err != nil {
			t.Fatal(err)
		}
	}
	if err := errors.Join(f.MergeCell("Sheet1", "A1", "D1"), f.MergeCell("Sheet1", "D4", "D5")); err != nil {
		t.Fatal(err)
	}
	if _, err := f.NewSheet("Other"); err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		t.Fatal(err)
	}
	got, err := tables.Read(b.Bytes(), tables.Stock, tables.Options{Book: loadBook(t), Now: today})
	if err != nil {
		t.Fatal(err)
	}
	r := wire(t, got)
	if len(r.Rows) != 3 || r.Rows[0].Line != 4 {
		t.Fatalf("rows %+v", r.Rows)
	}
	for i, want := range []string{
		"map[bought:2025-03-27 cost:map[amount:4200 currency:CHF] maker:Tarnholt note:crystal scratched reference:K-31]",
		"map[bought:2024-07-06 cost:map[amount:3100.5 currency:] maker:Pellisard note:crystal scratched reference:MV 218]",
		"map[bought:2026-02 cost:map[amount:9400 currency:USD] maker:Tarnholt note:no rust reference:R-9]",
	} {
		if s := fmt.Sprint(r.Rows[i].Fields); s != want {
			t.Errorf("row %d: %s\nwant %s", i, s, want)
		}
	}
	if len(got.Rows[0].Items) != 1 || len(got.Rows[2].Items) != 0 {
		t.Errorf("items %v, %v", got.Rows[0].Items, got.Rows[2].Items)
	}
	if len(r.Questions) != 2 || r.Questions[0].ID != tables.AskCurrency ||
		!slices.Equal(r.Questions[0].Lines, []int{5}) || r.Questions[1].ID != tables.AskSeverity {
		t.Errorf("questions %+v", r.Questions)
	}
}

// Amounts in the styles in which people write them.
func TestAmounts(t *testing.T) {
	t.Parallel()
	for cell, want := range map[string]string{
		"£5.6k": "5600 GBP", "EUR 6.900,00 hammer": "6900 EUR", "CHF 7'710.-": "7710 CHF", "6390,-": "6390 ", "2,8k": "2800 ", "7,6 T€": "7600 EUR",
		"4.500,– €": "4500 EUR", "$ 2,920 asked": "2920 USD", "5 580 €": "5580 EUR", "4 470,50 €": "4470.50 EUR", "1.234.567 eur": "1234567 EUR",
		"3300 eur": "3300 EUR", "Fr. 6'530.–": "6530 CHF", "1,250.75": "1250.75 ",
	} {
		r, err := tables.Read(
			[]byte("date\tmaker\tref\tprice\n2024-01-02\tX\tY-1\t"+cell+"\n"),
			tables.Sales,
			tables.Options{Now: today},
		)
		if err != nil {
			t.Fatal(err)
		}
		rows := wire(t, r).Rows
		if len(rows) != 1 {
			t.Errorf("%q: no row; kept out %v", cell, r.KeptOut)
			continue
		}
		m := rows[0].Fields["price"].(map[string]any)
		if got := fmt.Sprint(m["amount"], " ", m["currency"]); got != want {
			t.Errorf("%q is read as %q, want %q", cell, got, want)
		}
	}
	for _, cell := range []string{"on req.", "unsold est. 4820-6620", "–", "?", "4,5,6", "-300 EUR", "4000/5000",
		"1,2345 EUR"} {
		r, err := tables.Read(
			[]byte("date\tmaker\tref\tprice\n2024-01-02\tX\tY-1\t"+cell+"\n"),
			tables.Sales,
			tables.Options{Now: today},
		)
		if err != nil {
			t.Fatal(err)
		}
		if len(r.Rows) != 0 || len(r.KeptOut) != 1 || r.KeptOut[0].Found != cell || r.KeptOut[0].Line != 2 {
			t.Errorf("%q: rows %v, kept out %v", cell, r.Rows, r.KeptOut)
		}
	}
}

// The order of day and month is learned from days that can be read one way only; where
// none can, it is asked.
func TestDayOrder(t *testing.T) {
	t.Parallel()
	read := func(answers map[string]string, days ...string) reading {
		text := "When,Maker,Ref,Price,Cur\n"
		for _, d := range days {
			text += d + ",Tarnholt,K-31,5000,EUR\n"
		}
		r, err := tables.Read([]byte(text), tables.Sales, tables.Options{Now: today, Answers: answers})
		if err != nil {
			t.Fatal(err)
		}
		return wire(t, r)
	}
	if r := read(nil, "2/5/2023", "11/28/2022"); len(r.Questions) != 0 || r.Rows[0].Fields["date"] != "2023-02-05" {
		t.Errorf("month first: %+v", r)
	}
	if r := read(nil, "2/5/2023", "28/11/2022"); len(r.Questions) != 0 || r.Rows[0].Fields["date"] != "2023-05-02" {
		t.Errorf("day first: %+v", r)
	}
	open := read(nil, "2/5/2023", "3/4/2022")
	if len(open.Questions) != 1 || open.Questions[0].ID != tables.AskDayOrder ||
		!slices.Equal(open.Questions[0].Lines, []int{2, 3}) {
		t.Errorf("open: %+v", open.Questions)
	}
	if r := read(map[string]string{tables.AskDayOrder: "day-first"}, "2/5/2023", "3/4/2022"); len(r.Questions) != 0 ||
		r.Rows[0].Fields["date"] != "2023-05-02" {
		t.Errorf("answered: %+v", r)
	}
}

// An answer on the order of day and month is for the columns that do not show theirs.
func TestDayOrderIsAnsweredForEachColumn(t *testing.T) {
	t.Parallel()
	text := "Maker,Ref,Bought,Cost,Sold\nTarnholt,K-31,2/5/2023,5000 EUR,11/28/2023\nTarnholt,K-32,3/4/2023,4000 EUR,10/2/2023\n"
	got, err := tables.Read([]byte(text), tables.Stock, tables.Options{Now: today,
		Answers: map[string]string{tables.AskDayOrder: "day-first"}})
	if err != nil {
		t.Fatal(err)
	}
	f := wire(t, got).Rows[1].Fields
	if f["bought"] != "2023-04-03" || f["sold"] != "2023-10-02" {
		t.Errorf("bought %v, sold %v; want 2023-04-03 and 2023-10-02", f["bought"], f["sold"])
	}
}

// Bad files are refused with what was found and what to do.
func TestBadFiles(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		data string
		want string
	}{
		"empty":      {" \n", "the file is empty"},
		"old":        {"\xD0\xCF\x11\xE0....", "save it as .xlsx"},
		"broken":     {"PK\x03\x04 not a workbook", "the workbook is damaged or was not sent whole"},
		"binary":     {"a,b\x00\x01", "is no text"},
		"no headers": {"hello\nworld\n", "names two columns of a list of sales"},
	} {
		if _, err := tables.Read([]byte(c.data), tables.Sales, tables.Options{Now: today}); err == nil ||
			!strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q in it", name, err, c.want)
		}
	}
	for id, bad := range map[string]string{tables.AskCurrency: "euro", tables.AskDayOrder: "us", tables.AskBasis: "net",
		tables.AskConsent: "maybe"} {
		_, err := tables.Read(
			[]byte("a,b"),
			tables.Sales,
			tables.Options{Now: today, Answers: map[string]string{id: bad}},
		)
		if err == nil || !strings.Contains(err.Error(), id+"="+bad) {
			t.Errorf("answer %s=%s: %v", id, bad, err)
		}
	}
}

// An amount written in any style is read as the same amount, or kept out; never as
// another.
func TestAmountsReadBack(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		v := rapid.IntRange(100, 9_999_999).Draw(rt, "amount")
		sep := rapid.SampledFrom([]string{"", ",", ".", "'", "’", " ", "\u00a0", "\u202f"}).Draw(rt, "separator")
		text := fmt.Sprint(v)
		for i := len(text) - 3; i > 0; i -= 3 {
			text = text[:i] + sep + text[i:]
		}
		cell := rapid.SampledFrom([]string{"%s", "EUR %s", "%s €", "€%s", "%s.-", "%s,00 EUR"}).Draw(rt, "style")
		if sep == "," && strings.Contains(cell, ",00") {
			rt.Skip("nobody writes a comma for both")
		}
		data := []byte("date\tmaker\tref\tprice\n2024-01-02\tX\tY-1\t" + strings.Replace(cell, "%s", text, 1) + "\n")
		r, err := tables.Read(data, tables.Sales, tables.Options{Now: today})
		if err != nil {
			rt.Fatal(err)
		}
		if len(r.Rows) != 1 {
			rt.Fatalf("%q is kept out: %v", data, r.KeptOut)
		}
		if got := wire(t, r).Rows[0].Fields["price"].(map[string]any)["amount"]; got != fmt.Sprint(v) {
			rt.Fatalf("%q is read as %v, want %d", data, got, v)
		}
	})
}

func FuzzRead(f *testing.F) {
	for _, name := range []string{"sales.csv", "stock.csv", "stock-2.tsv", "mailing.csv", "sales-us.csv",
		"sales-de.tsv", "stock-fr.xlsx", "stock-it.csv", "stock-pasted.tsv", "clients-fr.csv", "sales-uk.csv", "auction.tsv", "stock-de-2.csv",
		"stock-it-2.tsv", "mailing-2.csv"} {
		b, err := os.ReadFile("testdata/" + name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b[:min(len(b), 2000)])
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		for _, as := range tables.Kinds() {
			r, err := tables.Read(data, as, tables.Options{Now: today})
			if err == nil && r.Rows == nil {
				t.Fatal("a reading without rows")
			}
		}
	})
}
