package document

import (
	"bytes"
	"strings"
	"testing"

	"golang.org/x/text/unicode/norm"

	"midcase/money"
)

// Lines in the order of drawing, capital letters standing for Hebrew ones, after the examples of Unicode Standard Annex
// 9 (from memory) and its rules for numbers and brackets.
func TestRightToLeft(t *testing.T) {
	t.Parallel()
	hebrew := func(r rune) rune {
		if r >= 'A' && r <= 'Z' {
			return 'א' + (r - 'A')
		}
		return r
	}
	back := func(r rune) rune {
		if r >= 'א' && r <= 'א'+25 {
			return 'A' + (r - 'א')
		}
		return r
	}
	for logical, want := range map[string]string{
		"car means CAR.":       "car means RAC.",
		"car is THE CAR in it": "car is RAC EHT in it",
		"THE CAR":              "RAC EHT",
		"STREET 12":            "12 TEERTS",
		"12 STREET":            "TEERTS 12",
		"file 7: STREET 12":    "file 7: 12 TEERTS",
		"STREET (NORTH) 4":     "4 (HTRON) TEERTS",
		"HE SAID car mm":       "car mm DIAS EH",
		"no letters":           "no letters",
	} {
		var l line
		text := strings.Map(hebrew, logical)
		l.add(spanOf{text, faceText}, 1)
		var got strings.Builder
		for _, p := range l.visual().pieces {
			got.WriteString(p.text)
		}
		if s := strings.Map(back, got.String()); s != want {
			t.Errorf("%q is drawn as %q; want %q", logical, s, want)
		}
	}
}

// The forms of joined letters, by the charts of Unicode (Arabic Presentation Forms-B): meem, hah, meem, dal.
func TestArabicLettersJoin(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{
		"محمد": "\ufee3\ufea4\ufee4\ufeaa",
		"علا":  "\ufecb\ufefc",
		"دار":  "\ufea9\ufe8d\ufead",
		"Anna": "Anna",
	} {
		if got := shaped(text); got != want {
			t.Errorf("%s is joined as %+q; want %+q", text, got, want)
		}
	}
}

// An invoice to somebody whose name runs from right to left reads back as it was typed, by poppler, which puts what it
// finds on the page into the order of reading. A name of 90 letters stands whole.
func TestNamesOnAnInvoice(t *testing.T) {
	long := strings.TrimSpace(strings.Repeat("Wolfeschlegel ", 6)) + " Anna"
	for _, name := range []string{"דוד בן אבי", "Ångström & Łukasiewicz", "محمد علي", long} {
		invoice := &Invoice{Head: Head{Kind: "invoice", Number: "2026-1", Day: "2026-02-21",
			Issuer: Party{Name: "Marrow Lane Watches"}},
			Buyer: Party{Name: name, Lines: []string{"Herzl Street 12"}},
			Goods: Goods{Title: "Askelund KR-1"}, Price: money.MustParse("900", "EUR"),
			Due: money.MustParse("0", "EUR"), Scheme: "margin", Supplied: "2026-02-21"}
		var b bytes.Buffer
		if err := WriteSlipPDF(&b, invoice); err != nil {
			t.Fatal(err)
		}
		marks := strings.NewReplacer("\u202b", "", "\u202c", "") // poppler's marks of direction
		got := flat(marks.Replace(textIn(t, b.Bytes(), "-layout")))
		if !strings.Contains(got, name) && !strings.Contains(norm.NFKC.String(got), name) { // joined letters as such
			t.Errorf("%s: the invoice reads %q", name, got)
		}
		if letter, is := Unprintable(name); is {
			t.Errorf("%s: %c cannot be printed", name, letter)
		}
	}
	if letter, is := Unprintable("株式会社"); !is || letter != '株' {
		t.Errorf("%c, %v; want 株", letter, is)
	}
}
