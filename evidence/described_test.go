package evidence_test

import (
	"strings"
	"testing"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/money"
	"midcase/say"
)

func TestDescribedInOneLine(t *testing.T) {
	t.Parallel()
	asks := &evidence.Claim{About: "price", Text: "4800 firm", From: "seller", Price: money.MustParse("4800.00", "EUR")}
	for want, data := range map[string]evidence.Data{
		"date stamp on the clasp: “J9”, 95 % sure": &evidence.Mark{What: evidence.MarkDateStamp, Slot: evidence.Clasp,
			Text: "J9", Confidence: 0.95},
		"crown: checked, missing": &evidence.Fitted{Slot: evidence.Crown, Absent: true},
		"dial fitted: version not identified, silvered": &evidence.Fitted{Slot: evidence.Dial,
			Variant: evidence.Unknown, Description: "silvered"},
		"dial: spotting, severity 1 of 4, 10 % of the part, between 3 and 5": &evidence.Finding{Slot: evidence.Dial,
			Term: "spotting", Severity: 1, Extent: 0.1, Where: "between 3 and 5"},
		"lug width: 19,04 ± 0,04 mm": &evidence.Dimension{What: "lug_width", MM: 19.04, PlusMinusMM: 0.04},
		"lug width: 19,0 mm":         &evidence.Dimension{What: "lug_width", MM: 19},
		"movement: rust, none found": &evidence.Finding{Slot: evidence.Movement, Term: "rust"},
		"dial: crisp printing, good": &evidence.Finding{Slot: evidence.Dial, Term: "crisp_print"},
		"case fitted: version not identified, in 18 karat gold": &evidence.Fitted{Slot: evidence.Case,
			Variant: evidence.Unknown, Metal: "gold18"},
		"document: receipt, dated February 1969": &evidence.Document{What: "receipt",
			Date: edtf.MustParse("1969-02")},
		"seller on price: “4800 firm”, 4.800 EUR, not counted as fact": asks,
	} {
		german := say.Writer{Catalogue: say.InEnglish(), Locale: say.LocaleOf("de-DE", "")}
		got := strings.ReplaceAll(german.String(evidence.Described(evidence.Item{Data: data}, true)), "\u00a0", " ")
		if got != want {
			t.Errorf("found %q; want %q", got, want)
		}
	}
	if got := (say.Writer{Catalogue: say.InEnglish(), Locale: say.English}).String(
		evidence.Described(evidence.Item{Data: asks}, false)); got != "claim about price: on file in the shop" {
		t.Errorf("outside the shop: found %q; want no price", got)
	}
}
