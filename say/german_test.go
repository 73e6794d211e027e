package say

import (
	"os"
	"strings"
	"testing"

	"midcase/edtf"
	"midcase/estimate"
)

func inGerman(t *testing.T) Writer {
	t.Helper()
	text, err := os.ReadFile("testdata/de.yaml")
	if err != nil {
		t.Fatal(err)
	}
	c, err := Load(text)
	if err != nil {
		t.Fatal(err)
	}
	return Writer{c, LocaleOf("de-DE", "")}
}

func TestAnotherLanguageIsOnlyAnotherFile(t *testing.T) {
	t.Parallel()
	german := inGerman(t)
	noun := func(id string) Noun { return Noun{Set: "slot", ID: id} }
	made := That("summary.made", Span("made", edtf.MonthOf(1967, 3), edtf.MonthOf(1969, 11)))
	worth := That("summary.worth", Valued("value", 12313, estimate.Interval{9545, 15885}, "EUR"),
		Term("basis", "basis", "retail", ""))
	for _, one := range []struct {
		says Statement
		want string
	}{
		{made, "hergestellt zwischen März 1967 und November 1969"},
		{worth, "im Laden 12.300 EUR (9.500–15.900) wert"},
		{That("summary.sentence", Saying("clauses", That("summary.clauses", All("clauses", made, worth)))),
			"Hergestellt zwischen März 1967 und November 1969; im Laden 12.300 EUR (9.500–15.900) wert."},
		{That("summary.all-fit", Count("judged", 1)), "das eine geprüfte Teil passt"},
		{That("summary.all-fit", Count("judged", 11)), "alle 11 geprüften Teile passen"},
		{That("summary.all-open", All("slots", noun("dial"))), "ob das Zifferblatt original ist, ist offen"},
		{That("summary.all-open", All("slots", noun("crown"), noun("case_back"))),
			"ob die Krone und der Boden original sind, ist offen"},
		{That("unknown.part", Term("slot", "slot", "crown", "")), "Die Krone wurde nicht geprüft."},
		{That("unknown.part", Term("slot", "slot", "dial", "")), "Das Zifferblatt wurde nicht geprüft."},
		{That("unknown.part", Term("slot", "slot", "case_back", "")), "Der Boden wurde nicht geprüft."},
		{That("unknown.part", Term("slot", "slot", "hands", "")), "Die Zeiger wurden nicht geprüft."},
		{That("parts.check-identification", Chance("sure", 0.76)), "Bestimmung prüfen (zu 76 % sicher)."},
		{That("sizes.known-as", Fixed("size", 35.5, MM, 1)), "Bekannt als „35,5 mm“."},
	} {
		if got := strings.ReplaceAll(german.String(one.says), nbsp, " "); got != one.want {
			t.Errorf("%s: %q; want %q", one.says.Kind, got, one.want)
		}
	}
}

// English words with a German reader's figures: each figure of a sentence is in one form.
func TestFiguresOfASentenceAreInOneForm(t *testing.T) {
	t.Parallel()
	w := Writer{catalogueWith(t, map[string]string{"x": "grade {grade}"}), LocaleOf("de-DE", "")}
	s := That("x", Measured("grade", 8.2, estimate.Interval{7.9, 8.5}, Grade, 1))
	if got := strings.ReplaceAll(w.String(s), nbsp, " "); got != "grade 8,2 of 10 (7,9–8,5)" {
		t.Errorf("%q", got)
	}
}
