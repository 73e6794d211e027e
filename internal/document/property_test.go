package document

import (
	"bytes"
	"image/color"
	"math"
	"testing"

	"pgregory.net/rapid"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/money"
	"midcase/opinion"
	"midcase/say"
)

var white = color.RGBA{250, 250, 250, 255}

func someWords(s []string) *rapid.Generator[string] {
	return rapid.OneOf(rapid.SampledFrom(s), rapid.String(), rapid.StringN(0, 300, 900))
}

func number() *rapid.Generator[float64] {
	return rapid.OneOf(rapid.Float64(), rapid.Float64Range(-10, 1e5),
		rapid.SampledFrom([]float64{0, math.NaN(), math.Inf(1), math.Inf(-1), 1e300, -1e-300}))
}

func maybe(t *rapid.T, label string) *float64 {
	if rapid.Bool().Draw(t, label+" given") {
		v := number().Draw(t, label)
		return &v
	}
	return nil
}

func pair(t *rapid.T, label string) [2]float64 {
	return [2]float64{number().Draw(t, label+" low"), number().Draw(t, label+" high")}
}

func anyMonth(t *rapid.T) edtf.Month { return edtf.Month(rapid.IntRange(-1e6, 1e6).Draw(t, "month")) }

// anyOpinion draws an opinion that need not make sense.
func anyOpinion(t *rapid.T) opinion.Opinion {
	s := someWords([]string{"", "dial", "of the kind fitted"})
	list := rapid.SliceOfN(s, 0, 3)
	ids := func() []evidence.ID {
		return rapid.SliceOfN(rapid.Map(rapid.StringN(0, 20, 60), func(s string) evidence.ID { return evidence.ID(s) }),
			0, 3).Draw(t, "ids")
	}
	var o opinion.Opinion
	o.Watch.Title, o.Watch.Maker, o.Summary.Sentence = s.Draw(t, "title"), s.Draw(t,
		"maker"), say.Verbatim(s.Draw(t, "sentence"))
	o.Unknown, o.Cautions = say.Quoted(list.Draw(t, "unknown")), say.Quoted(list.Draw(t, "cautions"))
	months := func() (out []opinion.MonthChance) {
		for range rapid.IntRange(0, 4).Draw(t, "months") {
			out = append(out, opinion.MonthChance{Month: anyMonth(t), P: number().Draw(t, "p")})
		}
		return out
	}
	o.Dating = opinion.Dating{Known: rapid.Bool().Draw(t, "known"), Median: anyMonth(t),
		Interval90: [2]edtf.Month{anyMonth(t), anyMonth(t)}, Months: months()}
	for range rapid.IntRange(0, 3).Draw(t, "items") {
		o.Dating.Items = append(o.Dating.Items, opinion.DatingItem{Says: say.Verbatim(s.Draw(t, "says")),
			SurpriseP: number().Draw(t, "surprise"), Alone: months(), Disagrees: rapid.Bool().Draw(t, "disagrees")})
	}
	slot := rapid.OneOf(rapid.SampledFrom(evidence.Slots()), rapid.Map(s,
		func(s string) evidence.Slot { return evidence.Slot(s) }))
	for range rapid.IntRange(0, 4).Draw(t, "parts") {
		o.Parts = append(o.Parts, opinion.Part{Slot: slot.Draw(t, "slot"),
			Verdict: someWords([]string{opinion.Fits, opinion.Missing, opinion.DoesNotBelong}).Draw(t,
				"verdict"), POriginal: maybe(t, "p"), Reasons: say.Quoted(list.Draw(t, "reasons")), Evidence: ids()})
	}
	o.Condition = opinion.Condition{Overall: maybe(t, "overall"), Interval: pair(t, "grade"),
		Words: say.Verbatim(s.Draw(t, "words"))}
	for range rapid.IntRange(0, 2).Draw(t, "grades") {
		o.Condition.Slots = append(o.Condition.Slots, opinion.SlotGrade{Slot: slot.Draw(t, "slot"),
			Grade: maybe(t, "grade"), Interval: pair(t, "range"), Reasons: say.Quoted(list.Draw(t, "why"))})
	}
	for range rapid.IntRange(0, 2).Draw(t, "sizes") {
		o.Measured = append(o.Measured, opinion.Measure{What: "mid_case_diameter", MM: number().Draw(t, "mm"),
			Interval: pair(t, "mm range"), NominalMM: maybe(t, "nominal"), Difference: maybe(t,
				"difference"), SpokenMM: maybe(t, "spoken"), PRemoved: maybe(t, "removed")})
	}
	o.Metal = opinion.Metal{FineG: maybe(t, "fine"), Interval: pair(t, "fine range"),
		Says: say.Verbatim(s.Draw(t, "metal"))}
	o.Running = opinion.Running{Known: true, Mean: maybe(t, "mean"), Delta: maybe(t, "delta"),
		Amplitude: maybe(t, "amplitude")}
	o.Value = opinion.Value{Known: rapid.Bool().Draw(t, "valued"), Kind: s.Draw(t, "kind"),
		Currency: money.Currency(s.Draw(t, "currency")), Median: maybe(t,
			"median"), Interval: map[string][2]float64{"90": pair(t, "90"), "50": pair(t, "50")}}
	for range rapid.IntRange(0, 5).Draw(t, "comparables") {
		o.Value.Comparables = append(o.Value.Comparables, opinion.Comparable{Sale: s.Draw(t, "sale"),
			Title: s.Draw(t, "sold"), Price: number().Draw(t, "price"), Adjusted: number().Draw(t,
				"adjusted"), Weight: number().Draw(t, "weight"), GrossPercent: number().Draw(t, "gross"),
			Adjustments: []opinion.Adjustment{{Feature: s.Draw(t, "feature"), Percent: number().Draw(t, "percent"),
				Amount: number().Draw(t, "amount")}}})
	}
	return o
}

// TestAnyOpinionPrints holds that no opinion, however odd, stops the writing.
func TestAnyOpinionPrints(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := Report{Opinion: anyOpinion(t), Annex: rapid.Bool().Draw(t, "annex"),
			ForShop: rapid.Bool().Draw(t, "for shop"),
			Number:  rapid.String().Draw(t, "number")}
		if rapid.Bool().Draw(t, "photo") {
			r.Photos = []Photo{{Data: rapid.SliceOfN(rapid.Byte(), 0, 64).Draw(t, "bytes")}}
		}
		r.Shop.Name = rapid.String().Draw(t, "shop")
		var b bytes.Buffer
		if err := WritePDF(&b, r); err != nil {
			t.Fatalf("PDF: %v", err)
		}
		if !bytes.HasPrefix(b.Bytes(), []byte("%PDF-")) || !bytes.Contains(b.Bytes()[b.Len()-16:], []byte("%%EOF")) {
			t.Fatal("the bytes are no whole PDF")
		}
		if err := WriteMarkdown(&b, r); err != nil {
			t.Fatalf("Markdown: %v", err)
		}
	})
}

// TestLinesFit holds that no set line is wider than its column, whatever the text.
func TestLinesFit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := rapid.Float64Range(10, 130).Draw(t, "width")
		for _, l := range wrap(w, setIn(faceText, someWords([]string{"a/b"}).Draw(t, "text"))...) {
			if l.width > w+0.01 && len([]rune(l.pieces[0].text)) > 1 {
				t.Fatalf("a line of %.2f mm in a column of %.2f mm: %q", l.width, w, l.pieces[0].text)
			}
		}
	})
}

func TestWordsFor(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{english.within(8.213, [2]float64{8.1, 8.3}, "mm", 2), "8.21\u00a0±\u00a00.10\u00a0mm"},
		{english.within(8.2, [2]float64{8.1, 8.9}, "", 2), "8.20\u00a0(8.10–8.90)"},
		{english.within(35.82, [2]float64{0, 0}, "mm", 2), "35.82\u00a0mm"},
		{english.within(15.32, [2]float64{15.19, 15.45}, "", 2), "15.32\u00a0±\u00a00.13"},
		{english.within(math.NaN(), [2]float64{1, 2}, "mm", 2), "cannot tell"},
		{english.priceRange([2]float64{8212, 11391}, "EUR"), "8,200–11,400\u00a0EUR"},
		{english.priceRange([2]float64{812, 1139}, "EUR"), "810–1,140\u00a0EUR"},
		{english.priceRange([2]float64{1234567, 2345678}, "JPY"), "1,230,000–2,350,000\u00a0JPY"},
		{english.rounded(-0.04, 1), "0.0"},
		{english.signed(0.04, 1), "0.0"},
		{percentOf("0.2"), "20\u00a0%"},
		{english.percent(0.999), "over 99\u00a0%"},
		{exact(money.MustParse("-1234.50", "EUR")), "−1,234.50\u00a0EUR"},
		{english.plusMinus(4.23, 0.84, 1), "+4.2\u00a0±\u00a00.8"},
		{english.monthRange([2]edtf.Month{edtf.MonthOf(1968, 5), edtf.MonthOf(1968, 5)}), "May\u00a01968"},
		{english.signed(4.2, 0), "+4"},
		{english.signed(-1234.5, 0), "−1,234"},
		{english.span([2]float64{-6, 8}, 0), "−6 … 8"},
		{english.monthRange([2]edtf.Month{edtf.MonthOf(1967, 3), edtf.MonthOf(1969, 11)}),
			"March\u00a01967 – November\u00a01969"},
		{english.series([]string{"hands", "clasp", "crown"}), "hands, clasp and crown"},
		{opening("water resistance"), "Water resistance."},
		{opening("read by hand!"), "Read by hand!"},
		{joinRuns(1, 2, 3, 7, 9, 10), "1–3, 7, 9, 10"},
		{md("a_b _c_ <b> | [x]\n*"), "a_b \\_c\\_ \\<b\\> \\| \\[x\\] \\*"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}

func joinRuns(n ...int) string { return join(runs(n, "")...) }
