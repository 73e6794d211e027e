package compare_test

import (
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/web/pages/compare"
	"midcase/money"
	"midcase/opinion"
	"midcase/refbook"
)

func ptr(v float64) *float64 { return &v }

// side is a watch with one part and one grade.
func side(id string, verdict string, grade float64, asking string) compare.Side {
	w := shop.Watch{ID: shop.WatchID(id), Number: 1, Maker: "Corvane", Reference: "KR-1",
		Asking: money.MustParse(asking, "EUR")}
	o := opinion.Opinion{Parts: []opinion.Part{{Slot: evidence.Hands, Variant: "baton", VariantName: "Baton hands",
		Verdict: verdict}},
		Condition: opinion.Condition{Overall: &grade, Interval: [2]float64{grade - 0.2, grade + 0.2}}}
	return compare.OfWatch(w, o, evidence.File{}, &refbook.Book{})
}

func features(lines []compare.Line) []string {
	var out []string
	for _, l := range lines {
		out = append(out, l.Feature)
	}
	return out
}

func TestWhatMattersComesFirst(t *testing.T) {
	t.Parallel()
	a, b := side("a", opinion.DoesNotBelong, 8, "5000"), side("b", opinion.Fits, 7.4, "5200")
	got := features(compare.Weightiest(compare.Sections(t.Context(), a, b)))
	if len(got) == 0 || got[0] != "Hands" {
		t.Errorf("first %v; want the part that does not fit", got)
	}
	a, b = side("a", opinion.Fits, 9.5, "5000"), side("b", opinion.Fits, 5, "5000")
	if got := features(compare.Weightiest(compare.Sections(t.Context(), a, b))); len(got) != 1 ||
		got[0] != "Overall grade" {
		t.Errorf("differences %v; want the grade alone", got)
	}
}

func TestWhatRangesCoverWeighsLittle(t *testing.T) {
	t.Parallel()
	weight := func(second float64) float64 {
		for _, s := range compare.Sections(t.Context(), side("a", opinion.Fits, 7, "5000"),
			side("b", opinion.Fits, second, "5000")) {
			for _, l := range s.Lines {
				if l.Feature == "Overall grade" {
					return l.Weight
				}
			}
		}
		t.Fatal("no grade")
		return 0
	}
	if near, far := weight(7.3), weight(7.5); near >= far/2 { // ranges of ±0.2 meet up to 7.4
		t.Errorf("weights %.3f and %.3f; want less where the ranges meet", near, far)
	}
}

func TestWhatIsNotKnownIsNoDifference(t *testing.T) {
	t.Parallel()
	a, b := side("a", opinion.CannotTell, 7, "5000"), side("b", opinion.DoesNotBelong, 7, "5000")
	if got := features(compare.Weightiest(compare.Sections(t.Context(), a, b))); len(got) != 0 {
		t.Errorf("differences %v; one of the two cannot be told", got)
	}
}

// Turning the two round changes the columns and nothing else, a watch beside itself
// differs in nothing, and weights are shares.
func TestSidesAreAlike(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		draw := func(id string) compare.Side {
			verdict := rapid.SampledFrom([]string{opinion.Fits, opinion.ProbablyReplaced, opinion.DoesNotBelong,
				opinion.CannotTell, opinion.Missing}).Draw(rt, "verdict")
			s := side(id, verdict, rapid.Float64Range(1, 10).Draw(rt, "grade"),
				rapid.SampledFrom([]string{"0", "4000", "9000.50"}).Draw(rt, "asking"))
			s.Opinion.Running.Amplitude = ptr(rapid.Float64Range(100, 330).Draw(rt, "amplitude"))
			return s
		}
		a, b := draw("a"), draw("b")
		there, back := compare.Sections(t.Context(), a, b), compare.Sections(t.Context(), b, a)
		for i, s := range there {
			for j, l := range s.Lines {
				r := back[i].Lines[j]
				if l.Feature != r.Feature || l.Weight != r.Weight || !reflect.DeepEqual(l.A, r.B) {
					rt.Fatalf("%+v turned round is %+v", l, r)
				}
				if l.Weight < 0 || l.Weight > 1 {
					rt.Fatalf("weight %v of %s", l.Weight, l.Feature)
				}
			}
		}
		if got := compare.Weightiest(compare.Sections(t.Context(), a, a)); len(got) != 0 {
			rt.Fatalf("beside itself: %v", got)
		}
	})
}
