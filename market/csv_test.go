package market_test

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"reflect"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"midcase/market"
)

const header = "date,maker,reference,price,currency,condition,originality,year,note\n"

func read(t testing.TB, text string) (*market.Table, []market.RowError) {
	t.Helper()
	tab, bad, err := market.ReadCSV(strings.NewReader(text), "sales.csv",
		market.ReadOptions{Now: time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)})
	if err != nil {
		t.Fatal(err)
	}
	return tab, bad
}

func TestRowsThatAreKeptOut(t *testing.T) {
	good := "2020-02-29,Aster,A1,1000,EUR,7,0.9,1965,\n"
	for _, c := range []struct{ name, row, field, want string }{
		{"date that does not exist", "31/02/2020,Aster,A1,1000,EUR,,,,", "date", "ISO 8601"},
		{"day beyond the month", "2021-02-29,Aster,A1,1000,EUR,,,,", "date", "2021-02 has 28 days"},
		{"month 13", "2021-13-01,Aster,A1,1000,EUR,,,,", "date", "month from 01 to 12"},
		{"future", "2026-03-02,Aster,A1,1000,EUR,,,,", "date", "not in the future"},
		{"no date", ",Aster,A1,1000,EUR,,,,", "date", "may not be empty"},
		{"no maker", "2020-01-01,,A1,1000,EUR,,,,", "maker", "may not be empty"},
		{"blank maker", "2020-01-01,   ,A1,1000,EUR,,,,", "maker", "may not be empty"},
		{"no reference", "2020-01-01,Aster,,1000,EUR,,,,", "reference", "may not be empty"},
		{"decimal comma", `2020-01-01,Aster,A1,"1.234,50",EUR,,,,`, "price", "plain decimal"},
		{"thousands", `2020-01-01,Aster,A1,"1,234.50",EUR,,,,`, "price", "no thousands separator"},
		{"sign of currency", "2020-01-01,Aster,A1,£5k,EUR,,,,", "price", "no sign of currency"},
		{"zero", "2020-01-01,Aster,A1,0.00,EUR,,,,", "price", "above zero"},
		{"negative", "2020-01-01,Aster,A1,-5,EUR,,,,", "price", "above zero"},
		{"exponent", "2020-01-01,Aster,A1,1e6,EUR,,,,", "price", "plain decimal"},
		{"not a number", "2020-01-01,Aster,A1,NaN,EUR,,,,", "price", "plain decimal"},
		{"too long", "2020-01-01,Aster,A1,123456789012345678,EUR,,,,", "price", "17 digits"},
		{"unknown currency", "2020-01-01,Aster,A1,1000,XQZ,,,,", "currency", "ISO 4217"},
		{"currency in words", "2020-01-01,Aster,A1,1000,Euro,,,,", "currency", "ISO 4217"},
		{"condition", "2020-01-01,Aster,A1,1000,EUR,11,,,", "condition", "1 to 10"},
		{"condition in words", "2020-01-01,Aster,A1,1000,EUR,good,,,", "condition", "1 to 10"},
		{"originality", "2020-01-01,Aster,A1,1000,EUR,,90%,,", "originality", "0 to 1"},
		{"year", "2020-01-01,Aster,A1,1000,EUR,,,65,", "year", "four digits"},
		{"not UTF-8", "2020-01-01,Ast\xe9r,A1,1000,EUR,,,,", "maker", "UTF-8"},
		{"NUL", "2020-01-01,Aster\x00,A1,1000,EUR,,,,", "maker", "control characters"},
		{"too few fields", "2020-01-01,Aster,A1,1000", "", "9 fields"},
		{"too many fields", "2020-01-01,Aster,A1,1000,EUR,,,,,,", "", "9 fields"},
		{"stray quote", `2020-01-01,As"ter,A1,1000,EUR,,,,`, "", "quotes"},
		{"quote and more", `2020-01-01,"Aster"x,A1,1000,EUR,,,,`, "", "quotes"},
		{"duplicate", "2020-02-29,ASTER,a1,1000.00,eur,7.0,0.9,1965,", "", "duplicate"},
	} {
		t.Run(c.name, func(t *testing.T) {
			after := "2021,Aster,A2,2000,EUR,,,,\n"
			tab, bad := read(t, header+good+c.row+"\n"+after)
			if len(bad) != 1 || tab.Len() != 2 {
				t.Fatalf("%d rows, rejected %+v; want the good rows and one reason", tab.Len(), bad)
			}
			e := bad[0]
			if e.File != "sales.csv" || e.Line != 3 || e.Field != c.field || !strings.Contains(e.Want, c.want) {
				t.Errorf("%v (field %q); want line 3, field %q, %q", e, e.Field, c.field, c.want)
			}
			if c.field != "" && !strings.HasPrefix(e.Error(), "sales.csv:3: "+c.field) {
				t.Errorf("reason reads %q", e.Error())
			}
			if e.Duplicate() != (c.name == "duplicate") {
				t.Errorf("duplicate: %v", e.Duplicate())
			}
		})
	}
}

func TestQuoteThatIsNeverClosed(t *testing.T) {
	rest := strings.Repeat("2020-01-02,Aster,A3,1500,EUR,,,,\n", 1) + "2020-01-03,Aster,A4,1500,EUR,,,,\n"
	tab, bad := read(t, header+`2020-01-01,"Aster,A1,1000,EUR,,,,`+"\n"+rest)
	if len(bad) != 1 || bad[0].Line != 2 || tab.Len() != 2 {
		t.Errorf("%d rows, %v; want the row of line 2 alone kept out", tab.Len(), bad)
	}
}

func TestFilesThatAreNoSalesFiles(t *testing.T) {
	for name, c := range map[string]struct{ text, want string }{
		"empty":            {"", "the file is empty"},
		"picture":          {"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", "no text in UTF-8"},
		"archive":          {"PK\x03\x04\x14\x00\x00\x00", "no text in UTF-8"},
		"UTF-16":           {"\xff\xfed\x00a\x00t\x00e\x00", "UTF-16"},
		"semicolons":       {"date;maker;reference;price;currency\n2020-01-01;Aster;A1;5;EUR\n", "semicolons"},
		"missing columns":  {"date,maker,price\n", "lacks reference, currency"},
		"duplicate header": {"date,maker,reference,price,currency,Price\n", `"price" appears twice`},
		"prose":            {"Dear Sir\nplease find\n", "lacks date"},
	} {
		t.Run(name, func(t *testing.T) {
			_, _, err := market.ReadCSV(strings.NewReader(c.text), "sales.csv")
			if !errors.Is(err, market.ErrNotSales) || !strings.Contains(err.Error(), c.want) ||
				!strings.HasPrefix(err.Error(), "sales.csv") {
				t.Errorf("got %v, want %q", err, c.want)
			}
		})
	}
}

// RFC 4180: quotes, doubled quotes, commas and line breaks within a field, CRLF; a
// byte order mark; columns in any order, extra ones named; a last line without end.
func TestCSVAsItComes(t *testing.T) {
	text := "\xef\xbb\xbfcurrency,PRICE, date ,maker,reference,note,shelf\r\n" +
		"eur,1234.50,2020,\"Aster, fils\",\" A1 \",\"says \"\"mint\"\"\nsecond line\",x\r\n" +
		"\r\n" +
		"EUR,\"900\",2020-05,Aster,A2,,\"\"\r\n" +
		"EUR,1,2020-05-06,Äster,A2,é,"
	tab, bad := read(t, text)
	if len(bad) != 0 || tab.Len() != 3 {
		t.Fatalf("%d rows, %v", tab.Len(), bad)
	}
	if got := tab.IgnoredColumns(); !reflect.DeepEqual(got, []string{"shelf"}) {
		t.Errorf("ignored %q", got)
	}
	a := tab.At(0)
	if a.Maker != "Aster, fils" || a.Reference != "A1" || a.Note != "says \"mint\"\nsecond line" ||
		a.Price.String() != "1234.50 EUR" || a.Date != "2020" || a.Line != 2 {
		t.Errorf("first sale %+v", a)
	}
	if b := tab.At(1); b.Date != "2020-05" || b.Line != 5 || b.Price.Amount() != "900.00" {
		t.Errorf("second sale %+v", b)
	}
	if c := tab.At(2); c.Maker != "Äster" || c.Note != "é" {
		t.Errorf("third sale %+v", c)
	}
}

// A carriage return within quotes belongs to the text, at the end of a line it does
// not.
func TestCarriageReturns(t *testing.T) {
	for _, end := range []string{"\r\n", "\n", "\r", ""} {
		tab, bad := read(t, "date,maker,reference,price,currency,note,source\n2020-01-01,\"A\",A1,1,EUR,\"a\rb\","+end)
		if len(bad) != 0 || tab.Len() != 1 || tab.At(0).Note != "a\rb" || tab.At(0).Source != "" {
			t.Errorf("end %q: %v, %d rows", end, bad, tab.Len())
		}
	}
}

// What a table gives back goes in again as the same sale.
func TestSaleRoundTrip(t *testing.T) {
	a := table(t, invented(300, 3))
	seen := map[string]bool{}
	b := table(t, nil)
	for i := 0; i < a.Len(); i++ {
		s := a.At(i)
		if seen[s.ID] {
			t.Fatalf("identifier %s twice", s.ID)
		}
		seen[s.ID] = true
		if err := b.Append(s); err != nil {
			t.Fatal(err)
		}
		if got := b.At(i); !reflect.DeepEqual(got, s) {
			t.Fatalf("got %+v, want %+v", got, s)
		}
		if err := b.Append(s); !errors.Is(err, market.ErrDuplicate) {
			t.Fatalf("second time: %v", err)
		}
	}
}

// A stream far larger than memory could hold is read as it comes.
func TestLongStream(t *testing.T) {
	line := strings.Repeat("x", 3000)
	n := 0
	r := &lines{next: func() string {
		if n++; n == 1 {
			return header
		}
		if n > 20000 {
			return ""
		}
		return fmt.Sprintf("not a date %d,%s,A1,1,EUR,,,,\n", n, line)
	}}
	tab, bad, err := market.ReadCSV(r, "long.csv")
	if err != nil || tab.Len() != 0 || len(bad) != 19999 {
		t.Fatalf("%v, %d rejected", err, len(bad))
	}
}

type lines struct {
	next func() string
	left []byte
}

func (l *lines) Read(b []byte) (int, error) {
	if len(l.left) == 0 {
		if l.left = []byte(l.next()); len(l.left) == 0 {
			return 0, io.EOF
		}
	}
	n := copy(b, l.left)
	l.left = l.left[n:]
	return n, nil
}

func TestOneLineWithoutEnd(t *testing.T) {
	tab, bad := read(t, header+"2020-01-01,"+strings.Repeat("x", 3<<20)+"\n2020-01-01,Aster,A1,1000,EUR,,,,\n")
	if tab.Len() != 1 || len(bad) != 1 || bad[0].Line != 2 || !strings.Contains(bad[0].Want, "1 MiB") {
		t.Errorf("%d rows, %v", tab.Len(), bad)
	}
}

type failing struct{}

func (failing) Read([]byte) (int, error) { return 0, errors.New("disk gone") }

func TestReadingFails(t *testing.T) {
	if _, _, err := market.ReadCSV(failing{}, "sales.csv"); err == nil || !strings.Contains(err.Error(), "disk gone") {
		t.Errorf("got %v", err)
	}
}

// However the bytes are cut into reads, the table is the same.
func TestReadsMayBeCutAnywhere(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := header
		for i := rapid.IntRange(0, 8).Draw(t, "rows"); i > 0; i-- {
			note := rapid.StringMatching(`("([a-z,\n]|""){0,12}"|[a-z ]{0,6})`).Draw(t, "note")
			end := rapid.SampledFrom([]string{"\n", "\r\n"}).Draw(t, "end")
			text += fmt.Sprintf("2020-01-%02d,Aster,A1,1000,EUR,7,,,%s%s", i, note, end)
		}
		whole, bad, err := market.ReadCSV(strings.NewReader(text), "f")
		if err != nil {
			t.Fatal(err)
		}
		size := rapid.IntRange(1, 9).Draw(t, "size")
		cut, badCut, err := market.ReadCSV(&pieces{[]byte(text), size}, "f")
		if err != nil {
			t.Fatal(err)
		}
		if whole.Len() != cut.Len() || !reflect.DeepEqual(bad, badCut) {
			t.Fatalf("%d and %d rows, %v and %v", whole.Len(), cut.Len(), bad, badCut)
		}
		for i := 0; i < whole.Len(); i++ {
			if !reflect.DeepEqual(whole.At(i), cut.At(i)) {
				t.Fatalf("%+v and %+v", whole.At(i), cut.At(i))
			}
		}
	})
}

type pieces struct {
	b []byte
	n int
}

func (p *pieces) Read(b []byte) (int, error) {
	if len(p.b) == 0 {
		return 0, io.EOF
	}
	n := copy(b[:min(len(b), p.n)], p.b)
	p.b = p.b[n:]
	return n, nil
}

func FuzzReadCSV(f *testing.F) {
	f.Add([]byte(header + "2020-02-29,Aster,A1,1000,EUR,7,0.9,1965,\"a\n\"\"b\"\r\n"))
	f.Add([]byte("date,maker,reference,price,currency\n\"\",\"\n"))
	f.Add([]byte("\xff\xfe"))
	f.Fuzz(func(t *testing.T, b []byte) {
		tab, _, err := market.ReadCSV(bytes.NewReader(b), "f")
		if err != nil {
			return
		}
		for i := 0; i < tab.Len(); i++ {
			if s := tab.At(i); s.Price.Sign() <= 0 || s.Maker == "" || s.Date == "" {
				t.Fatalf("accepted %+v", s)
			}
		}
	})
}

func FuzzReadRates(f *testing.F) {
	f.Add("Date,USD,JPY,\n2024-01-02,1.09,N/A,\n")
	f.Fuzz(func(t *testing.T, text string) {
		r, err := market.ReadRates(strings.NewReader(text))
		if err == nil {
			if v, err := r.Convert(1, "USD", "EUR", today); err == nil && !(v > 0) {
				t.Fatalf("a dollar is %g euros", v)
			}
		}
	})
}

func FuzzDecode(f *testing.F) {
	var file bytes.Buffer
	if err := fitted(f, invented(30, 1)).Encode(&file); err != nil {
		f.Fatal(err)
	}
	f.Add(file.Bytes())
	f.Add([]byte("midcase market fit 1\n"))
	f.Fuzz(func(t *testing.T, b []byte) {
		m, err := market.Decode(bytes.NewReader(b))
		if err == nil {
			if _, err := m.Value(subject, today, market.Retail); err != nil {
				t.Fatal(err)
			}
		} else if !errors.Is(err, market.ErrNotFit) {
			t.Fatalf("%v does not wrap ErrNotFit", err)
		}
	})
}
