package say

import (
	"encoding/json"
	"math"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"midcase/edtf"
	"midcase/estimate"
	"midcase/money"
)

// catalogueWith is the English catalogue with more sentences.
func catalogueWith(t testing.TB, sentences map[string]string) *Catalogue {
	t.Helper()
	c := *InEnglish()
	c.messages = map[Kind]message{}
	for kind, m := range InEnglish().messages {
		c.messages[kind] = m
	}
	for kind, text := range sentences {
		m, err := parseMessage(text)
		if err != nil {
			t.Fatal(err)
		}
		c.messages[Kind(kind)] = m
	}
	return &c
}

func slot(name, id string) Arg { return Term(name, "slot", id, "") }

func TestArgumentsInEnglish(t *testing.T) {
	t.Parallel()
	may, july, nov := edtf.MonthOf(1968, 5), edtf.MonthOf(1968, 7), edtf.MonthOf(1969, 11)
	c := catalogueWith(t, map[string]string{
		"x": "{a}", "within": "made {a, within}", "from": "fitted {a, from}", "value": "{a, value}", "range": "{a, range}",
		"count": "{a, plural, =0 {no parts} one {{a} part} other {{a} parts}}", "do": "{a} {a, plural, one {does} other {do}} not fit",
		"none": "kept{a, plural, =0 {} other {, {a} left out}}",
		"the":  "{a, the}", "or": "{a, or}", "capital": "{a, capital}",
	})
	for _, one := range []struct {
		kind Kind
		arg  Arg
		want string
	}{
		{"x", Money("a", money.MustParse("7310.00", "EUR")), "7,310 EUR"},
		{"x", Money("a", money.MustParse("-1234.50", "EUR")), "−1,234.50 EUR"},
		{"x", Amount("a", 12313, "EUR"), "12,300 EUR"},
		{"x", Valued("a", 12313, estimate.Interval{9545, 15885}, "EUR"), "12,300 EUR (9,500–15,900)"},
		{"value", Valued("a", 12313, estimate.Interval{9545, 15885}, "EUR"), "12,300 EUR"},
		{"range", Valued("a", 12313, estimate.Interval{9545, 15885}, "EUR"), "9,500–15,900 EUR"},
		{"x", Valued("a", 120, estimate.Interval{-980, 1250}, "EUR"), "100 EUR (−1,000 … 1,300)"},
		{"x", Measured("a", 8.2, estimate.Interval{7.9, 8.5}, Grade, 1), "8.2 of 10 (7.9–8.5)"},
		{"x", Measured("a", 36.418, estimate.Interval{36.376, 36.46}, MM, 2), "36.42 mm (36.38–36.46)"},
		{"x", Fixed("a", 257.3, Degree, 0), "257°"},
		{"x", Arg{Name: "a", Value: Measure{Value: 4.2, Unit: SecondPerDay, Decimals: 1, Signed: true}}, "+4.2 s/day"},
		{"x", Share("a", 0.2), "20 %"},
		{"x", Share("a", 0.125), "12.5 %"},
		{"x", Share("a", 0.1266), "13 %"},
		{"x", Chance("a", 0.764), "76 %"},
		{"x", Chance("a", 0.0001), "under 1 %"},
		{"x", Chance("a", 0.9999), "over 99 %"},
		{"x", Chance("a", math.NaN()), "unknown"},
		{"count", Count("a", 0), "no parts"},
		{"count", Count("a", 1), "1 part"},
		{"none", Count("a", 0), "kept"},
		{"none", Count("a", 2), "kept, 2 left out"},
		{"count", Count("a", 1234), "1,234 parts"},
		{"x", Day("a", "2026-03-01"), "2026-03-01"},
		{"x", Month("a", may), "May 1968"},
		{"x", Span("a", may, july), "May–July 1968"},
		{"x", Span("a", may, nov), "May 1968 – November 1969"},
		{"x", Span("a", edtf.MonthOf(1968, 1), edtf.MonthOf(1968, 12)), "1968"},
		{"within", Span("a", may, may), "made in May 1968"},
		{"within", Span("a", may, nov), "made between May 1968 and November 1969"},
		{"from", Span("a", may, nov), "fitted from May 1968 to November 1969"},
		{"from", Span("a", may, 0), "fitted from May 1968 on"},
		{"from", Span("a", 0, nov), "fitted until November 1969"},
		{"x", slot("a", "end_pieces"), "end pieces"},
		{"the", slot("a", "case_back"), "the case back"},
		{"the", Term("a", "metal", "white_gold", ""), "the white gold"},
		{"do", slot("a", "crown"), "crown does not fit"},
		{"do", slot("a", "hands"), "hands do not fit"},
		{"do", All("a", Noun{Set: "slot", ID: "crown"}), "crown does not fit"},
		{"do", All("a", Noun{Set: "slot", ID: "hands"}), "hands do not fit"},
		{"do", All("a", Noun{Set: "slot", ID: "crown"}, Noun{Set: "slot", ID: "clasp"}, Noun{Set: "slot", ID: "bezel"}),
			"crown, clasp and bezel do not fit"},
		{"or", All("a", Proper("A"), Proper("B")), "A or B"},
		{"capital", Saying("a", That("do", slot("a", "crown"))), "Crown does not fit"},
		{"x", Name("a", "Nisbet & Söhne"), "Nisbet & Söhne"},
	} {
		got := strings.ReplaceAll(Writer{c, Plain}.String(That(one.kind, one.arg)), nbsp, " ")
		if got != one.want {
			t.Errorf("%s of %#v: %q; want %q", one.kind, one.arg.Value, got, one.want)
		}
	}
}

func TestATextKeepsItsPartsApart(t *testing.T) {
	t.Parallel()
	c := catalogueWith(t, map[string]string{"x": "worth {value}, says {who}."})
	sale := estimate.Basis{Source: estimate.Sale, ID: "sale_1"}
	got := Writer{c, Plain}.Text(That("x", Amount("value", 12313, "EUR").On(sale), Name("who", "the seller")))
	want := Text{{Text: "worth "}, {"12,300\u00a0EUR", Figure, "value", []estimate.Basis{sale}}, {Text: ", says "},
		{"the seller", Given, "who", nil}, {Text: "."}}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got  %#v\nwant %#v", got, want)
	}
}

func TestAStatementSurvivesJSON(t *testing.T) {
	t.Parallel()
	s := That("x", All("a", Noun{Set: "slot", ID: "crown"}, Proper("y")),
		Amount("b", 12313, "EUR").On(estimate.Basis{Source: estimate.Book, ID: "p"}), Chance("c", 0.5),
		Count("d", 3), Day("e", "2026-03-01"), Span("f", 0, edtf.MonthOf(1969, 1)), Measured("g", 1.5,
			estimate.Interval{1, 2}, MM, 2),
		Money("h", money.MustParse("12.50", "EUR")), Saying("i", That("y", Share("z", 0.25))), Valued("j", 5,
			estimate.Interval{4, 6}, "USD"))
	b, err := json.Marshal(Whole(s))
	if err != nil {
		t.Fatal(err)
	}
	var back Whole
	if err := json.Unmarshal(b, &back); err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(Statement(back), s) {
		t.Errorf("%s\nbecame %#v", b, back)
	}
	for _, text := range []string{`{"kind":"x","args":{"a":{"type":"sum"}}}`, `{"kind":"x","args":{"a":{"type":"money"}}}`, `[]`, `{"kind":"x","args":{"a":{"type":"list","items":[{"type":"?"}]}}}`} {
		if err := json.Unmarshal([]byte(text), &back); err == nil {
			t.Errorf("%s is taken", text)
		}
	}
}

func TestStatementsStandBesideTheirStrings(t *testing.T) {
	t.Parallel()
	type inner struct {
		Says []Statement `json:"says"`
	}
	type paper struct {
		Title string    `json:"title"`
		Says  Statement `json:"says,omitzero"`
		Parts []inner   `json:"parts/all"`
		Deal  *inner    `json:"deal"`
		inner
	}
	in := paper{Title: "t", Parts: []inner{{}, {Says: []Statement{That("phrase.unknown"), {}, Verbatim("left out")}}},
		Deal: &inner{[]Statement{That("phrase.under", Share("share", 0.01))}}}
	beside := BesideOf(in)
	if got := sorted(beside); !reflect.DeepEqual(got, []string{"/deal/says/0", "/parts~1all/1/says/0"}) {
		t.Errorf("pointers %v", got)
	}
	b, err := json.Marshal(in)
	if err != nil {
		t.Fatal(err)
	}
	var back paper
	if err := json.Unmarshal(b, &back); err != nil {
		t.Fatal(err)
	}
	if back.Deal.Says[0].Kind != "phrase.verbatim" || back.Deal.Says[0].String() != "under 1 %" {
		t.Errorf("without its kind it is %#v", back.Deal.Says[0])
	}
	beside.Restore(&back)
	if !reflect.DeepEqual(back.Deal, in.Deal) {
		t.Errorf("restored %#v", back.Deal)
	}
}

func TestRounding(t *testing.T) {
	t.Parallel()
	for _, one := range []struct {
		v, low, high float64
		decimals     int
		wantV, wantL float64
		wantH        float64
		wantDecimals int
	}{
		{12313, 9545, 15885, 0, 12300, 9500, 15900, 0},
		{8.24, 7.91, 8.52, 1, 8.2, 7.9, 8.5, 1},
		{36.4183, 36.376, 36.4601, 3, 36.418, 36.376, 36.46, 3},
		{36.4183, 35.1, 37.7, 3, 36.4, 35.1, 37.7, 1},
		{5, 5, 5, 2, 5, 5, 5, 2},
		{1234567, 1000000, 1500000, 0, 1230000, 1000000, 1500000, 0},
	} {
		v, low, high, r := Rounded(one.v, one.low, one.high, one.decimals)
		if v != one.wantV || low != one.wantL || high != one.wantH || r.Decimals != one.wantDecimals {
			t.Errorf("%v (%v–%v): %v (%v–%v) to %d decimals", one.v, one.low, one.high, v, low, high, r.Decimals)
		}
	}
}

// A figure never shows more than two digits of half its range, its order does not turn
// round, and rounding moves nothing by more than half the unit.
func TestRoundingNeverClaimsMoreThanIsKnown(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		low := rapid.Float64Range(-1e6, 1e6).Draw(rt, "low")
		width := math.Pow(10, rapid.Float64Range(-4, 6).Draw(rt, "log width"))
		decimals := rapid.IntRange(0, 4).Draw(rt, "decimals")
		high := low + width
		a := low + width*rapid.Float64Range(0, 1).Draw(rt, "a")
		b := low + width*rapid.Float64Range(0, 1).Draw(rt, "b")
		ra, rl, rh, r := Rounded(a, low, high, decimals)
		rb, _, _, _ := Rounded(b, low, high, decimals)
		if r.Decimals > decimals {
			rt.Fatalf("%d decimals of at most %d", r.Decimals, decimals)
		}
		if math.Floor(width/2/r.unit) >= 100 {
			rt.Fatalf("unit %v shows three digits of %v", r.unit, width/2)
		}
		if rl > ra || ra > rh || (a < b && ra > rb) {
			rt.Fatalf("the order turns round: %v ≤ %v ≤ %v", rl, ra, rh)
		}
		if math.Abs(ra-a) > r.unit*0.500001 {
			rt.Fatalf("%v is rounded to %v by %v", a, ra, r.unit)
		}
	})
}

// Half a range never has more places than the value, and is never ± 0.
func TestHalfARange(t *testing.T) {
	w := Writer{InEnglish(), English}
	for _, c := range []struct {
		m    Measure
		want string
	}{
		{Measure{25, estimate.Interval{24.3, 25.7}, SecondPerDay, 1, true}, "+25.0 ± 0.7 s/day"},
		{Measure{266.9, estimate.Interval{264.7, 269.1}, Degree, 0, false}, "267 ± 2°"},
		{Measure{0.08, estimate.Interval{0.0799, 0.0801}, Millisecond, 2, false}, "0.08 ± 0.01 ms"},
		{Measure{-3.2, estimate.Interval{-43.2, 36.8}, SecondPerDay, 1, true}, "−3 ± 40 s/day"},
		{Measure{0.15, estimate.Interval{0.05, 0.40}, MM, 2, false}, "0.15 mm (0.05–0.40)"}, // wider on one side
	} {
		if got := strings.ReplaceAll(w.Value(c.m, "half"), nbsp, " "); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}

// Nothing has no first letter, and what is not text stays as it is.
func TestCapital(t *testing.T) {
	for in, want := range map[string]string{"": "", "crown": "Crown", "élan": "Élan", "5 links": "5 links", "\xff": "\xff"} {
		if got := Capital(in); got != want {
			t.Errorf("%q: got %q, want %q", in, got, want)
		}
	}
}
