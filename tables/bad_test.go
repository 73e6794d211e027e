package tables_test

import (
	"fmt"
	"strings"
	"testing"

	"golang.org/x/text/encoding/unicode"

	"midcase/tables"
)

// A file that cannot be read says what it is and what to do.
func TestWhatIsNoTable(t *testing.T) {
	t.Parallel()
	for name, tt := range map[string]struct {
		data string
		want []string
	}{
		"empty":             {"", []string{"empty"}},
		"blank":             {"\n\n  \n", []string{"empty"}},
		"neither text":      {string(make([]byte, 400)) + "\x01\x02", []string{"no text"}},
		"old workbook":      {"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", []string{".xls", "save it as .xlsx"}},
		"workbook cut off":  {"PK\x03\x04" + strings.Repeat("\x00", 100), []string{"damaged", "save it again"}},
		"a page of the web": {"<html><table><tr><td>Ref</td></tr></table></html>", []string{"a page of the web", "save it as .xlsx"}},
		"prose":             {"just some prose about my day\nand more\n", []string{"two columns", "just some prose"}},
		"one column":        {"Reference\nT218\nT219\n", []string{"two columns", `"Reference"`}},
	} {
		_, err := tables.Read([]byte(tt.data), tables.Stock, tables.Options{Now: askedDay})
		if err == nil {
			t.Errorf("%s: was read", name)
			continue
		}
		for _, w := range tt.want {
			if !strings.Contains(err.Error(), w) {
				t.Errorf("%s: %v; want %q in it", name, err, w)
			}
		}
	}
}

// A bad cell is kept out with its line, its column, what was found and what would be right; the rest of the row stays.
func TestBadCells(t *testing.T) {
	t.Parallel()
	r := readAs(t, "Maker;Ref;Serial;Year;Bought;Paid EUR;Ask EUR;State;Box/Papers\n"+
		"Orbenau;T218;none;soon;31.02.2024;abc;-5;blah;wig\nOrbenau;T219;9.0011E+04;1965;32.13.2024;1.2.3;1 2 3 4,5,6;;\n",
		tables.Stock, nil)
	want := map[string]string{
		"2 serial none": "type the number", "2 year soon": "write it as 1965", "2 bought 31.02.2024": "2026-03-31",
		"2 cost abc": "write figures", "2 asking -5": "without the sign", "2 state blah": "sold",
		"2 completeness wig": "full set", "3 serial 9.0011E+04": "type it as text", "3 bought 32.13.2024": "2026-03-31",
		"3 cost 1.2.3": "write figures", "3 asking 1 2 3 4,5,6": "write figures",
	}
	for _, k := range r.KeptOut {
		at := fmt.Sprintf("%d %s %s", k.Line, k.Field, k.Found)
		if w, ok := want[at]; !ok || !strings.Contains(k.Reason, w) {
			t.Errorf("%s: %s; want %q in it", at, k.Reason, w)
		}
		delete(want, at)
	}
	if len(want) > 0 || len(r.Rows) != 2 {
		t.Errorf("nothing is said of %v; %d rows", want, len(r.Rows))
	}
}

// The same two watches, however the file was written.
func TestOddWritings(t *testing.T) {
	t.Parallel()
	const plain = "Maker;Ref;Paid\nOrbenau;T218;900 EUR\nOrbenau;T219;800 EUR\n"
	unmarked := func(e unicode.Endianness) string {
		out, err := unicode.UTF16(e, unicode.IgnoreBOM).NewEncoder().String(plain)
		if err != nil {
			t.Fatal(err)
		}
		return out
	}
	for name, text := range map[string]string{
		"line ends of old Macs":        strings.ReplaceAll(plain, "\n", "\r"),
		"UTF-16 without its mark":      unmarked(unicode.LittleEndian),
		"UTF-16, the other way round":  unmarked(unicode.BigEndian),
		"a quote that nobody closed":   "Maker,Ref,Paid\n\"Orbenau,T218,900 EUR\nOrbenau,T219,800 EUR\n",
		"rows of different lengths":    "Maker;Ref;Paid\nOrbenau;T218;900 EUR;;;\nOrbenau;T219;800 EUR\n;;\n",
		"headings in capitals, spaced": " MAKER ; REF ; PAID \nOrbenau ; T218 ; 900 EUR\nOrbenau ;T219; 800 EUR\n",
	} {
		r := readAs(t, text, tables.Stock, nil)
		var got []string
		for _, row := range r.Rows {
			p := row.Plain()
			got = append(got, p["maker"]+" "+p["reference"]+" "+p["cost"]+" "+p["cost.currency"])
		}
		if s := strings.Join(got, "; "); s != "Orbenau T218 900 EUR; Orbenau T219 800 EUR" {
			t.Errorf("%s: %s", name, s)
		}
	}
}

// The beginning of a long file ends with a whole line and shows the same columns.
func TestHead(t *testing.T) {
	t.Parallel()
	const head, row = "Maker;Ref;Paid\n", "Orbenau;T218;900 EUR\n"
	long := head + strings.Repeat(row, 50_000)
	got := string(tables.Head([]byte(long)))
	if len(got) >= len(long) || !strings.HasSuffix(got, row) || !strings.HasPrefix(long, got) {
		t.Errorf("%d of %d bytes, ending in %q", len(got), len(long), got[len(got)-20:])
	}
	if short := head + row; string(tables.Head([]byte(short))) != short {
		t.Error("a short file was cut")
	}
}
