package market_test

import (
	"math"
	"strings"
	"testing"

	"midcase/market"
	"midcase/say"
)

// bareSales are sales of one reference that say nothing of the watch but its price.
func bareSales(n int) []market.Sale {
	sales := invented(400, 7)
	var out []market.Sale
	for _, s := range sales {
		if s.Reference == "R2" && len(out) < n {
			s.Metal, s.Dial, s.Year, s.Completeness, s.Condition = "", "", 0, "", nil
			out = append(out, s)
		}
	}
	return out
}

// Knowing more of a watch than sixteen sales tell leaves median and range where they were,
// and says why.
func TestWhatSalesCannotTellChangesNothing(t *testing.T) {
	m := fitted(t, bareSales(16))
	bare := market.Subject{Maker: "Maker 0", Family: "Family 2", Reference: "R2"}
	known := bare
	known.Metal, known.Dial, known.Year, known.YearSD, known.Completeness = "steel", "salmon", 1968, 2, "full"
	known.Condition, known.ConditionSD, known.Originality, known.OriginalitySD = grade(6.1), 0.8, grade(0.9), 0.1
	without, with := value(t, m, bare), value(t, m, known)
	if with.Interval[80] != without.Interval[80] || with.Median != without.Median {
		t.Errorf("%.0f %.0f; want %.0f %.0f as without", with.Median, with.Interval[80], without.Median,
			without.Interval[80])
	}
	want := "The sales cannot tell what the metal, dial, completeness and condition would do to the price"
	says := strings.Join(say.Strings(with.Says), "\n")
	if !strings.Contains(says, want) || strings.Contains(says, "is not known") {
		t.Errorf("%s; want that the sales do not tell it, not that it is not known", says)
	}
}

// Where knowing one thing more makes a range wider, the value says what did it.
func TestNoRangeWidensWithoutSaying(t *testing.T) {
	width := func(v *market.Valuation) float64 { return math.Log(v.Interval[90][1] / v.Interval[90][0]) }
	for _, n := range []int{8, 40, 400} {
		m := fitted(t, invented(n, uint64(n)))
		s := market.Subject{Maker: "Maker 0", Family: "Family 2", Reference: "R2"}
		before := width(value(t, m, s))
		for _, learn := range []struct {
			what string
			as   func(*market.Subject)
		}{
			{"dial", func(s *market.Subject) { s.Dial = "salmon" }},
			{"dial", func(s *market.Subject) { s.Dial = "black" }},
			{"completeness", func(s *market.Subject) { s.Completeness = "full" }},
			{"country", func(s *market.Subject) { s.Country = "XX" }},
			{"year of making", func(s *market.Subject) { s.Year, s.YearSD = 1935, 3 }},
			{"condition", func(s *market.Subject) { s.Condition, s.ConditionSD = grade(3), 1 }},
			{"originality", func(s *market.Subject) { s.Originality, s.OriginalitySD = grade(0.5), 0.2 }},
		} {
			learn.as(&s)
			v := value(t, m, s)
			said := strings.Contains(strings.Join(say.Strings(v.Says), "\n"),
				"Knowing the "+learn.what+" widens the range")
			if after := width(v); after > 1.031*before && !said {
				t.Errorf("%d sales: knowing the %s widens the range from %.3f to %.3f, unsaid: %v", n, learn.what, before,
					after, v.Says)
			}
			before = width(v)
		}
	}
}
