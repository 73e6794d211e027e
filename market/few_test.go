package market_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"midcase/market"
)

// Few sales must widen the range, not make the model sure of itself: a model with
// as many effects as sales could explain every price.
func TestFewSalesKeepTheirCoverage(t *testing.T) {
	for _, c := range []struct{ n, seeds int }{{100, 6}, {300, 4}, {1000, 2}, {3000, 1}} {
		t.Run(fmt.Sprint(c.n), func(t *testing.T) {
			hit, tried := 0, 0
			for seed := range c.seeds {
				sales := invented(c.n+200, uint64(50+seed))
				m := fitted(t, sales[:c.n])
				for _, s := range sales[c.n:] {
					day, err := time.Parse(time.DateOnly, s.Date)
					if err != nil {
						t.Fatal(err)
					}
					v, err := m.Predict(asSubject(s), day, "")
					if err != nil {
						t.Fatal(err)
					}
					in := v.Interval[90]
					if p := s.Price.Float(); p >= in[0] && p <= in[1] {
						hit++
					}
					tried++
					if w := in[1] / in[0]; v.SalesOfReference > 1 && w > 3 {
						t.Fatalf("high/low %g: wider than a dealer can use", w)
					}
				}
			}
			if share := float64(hit) / float64(tried); share < 0.85 || share > 0.97 {
				t.Errorf("the 90 %% interval holds %.1f %% of %d prices", 100*share, tried)
			}
		})
	}
}

func asSubject(s market.Sale) market.Subject {
	return market.Subject{Maker: s.Maker, Family: s.Family, Reference: s.Reference, Metal: s.Metal, Dial: s.Dial,
		Year:      float64(s.Year),
		Condition: s.Condition, Completeness: s.Completeness, Venue: s.Venue, SaleBasis: s.Basis}
}

// Sales of one reference that say nothing of condition and originality value a
// watch of which both are known, and its sisters within reason.
func TestOneReferenceStaysSane(t *testing.T) {
	var sales []market.Sale
	for _, s := range invented(2000, 8) {
		if s.Reference == "R2" && len(sales) < 40 {
			s.Condition = nil
			sales = append(sales, s)
		}
	}
	m := fitted(t, sales)
	s := subject
	s.Originality = grade(0.8)
	if in := value(t, m, s).Interval[80]; in[1]/in[0] > 2.5 {
		t.Errorf("known reference: 80 %% interval %.0f to %.0f", in[0], in[1])
	}
	s.Reference = "R6"
	if in := value(t, m, s).Interval[80]; in[1]/in[0] < 1.5 || in[1]/in[0] > 25 {
		t.Errorf("unknown reference: 80 %% interval %.0f to %.0f", in[0], in[1])
	}
}

// Names are shown as most sales spell them.
func TestNamesAsMostOftenWritten(t *testing.T) {
	sales := invented(300, 9)
	for i := range sales {
		if i%10 == 0 {
			sales[i].Maker, sales[i].Metal = strings.ToUpper(sales[i].Maker), strings.ToUpper(sales[i].Metal)
		}
	}
	v := value(t, fitted(t, sales), subject)
	for _, c := range v.Contributions {
		if c.Feature == "reference" && c.Level != "Maker 0 R2" {
			t.Errorf("%s: %q", c.Feature, c.Level)
		}
	}
	for _, c := range v.Comparables {
		for _, a := range c.Adjustments {
			if a.Comparable == "STEEL" || strings.Contains(a.Comparable, "MAKER") {
				if a.Comparable != c.Sale.Metal {
					t.Errorf("%s: %q", a.Feature, a.Comparable)
				}
			}
		}
	}
}

// Of two sales of one watch in all else, the one that needs the smaller adjustment
// weighs more, and comparables come from the subject's own venue where there are
// enough of them.
func TestComparablesNeedLittleAdjustment(t *testing.T) {
	v := value(t, fitted(t, invented(3000, 10)), subject)
	dealer := 0
	for i, c := range v.Comparables {
		if c.Sale.Venue == "dealer" {
			dealer++
		}
		if i > 0 && c.Weight > v.Comparables[i-1].Weight+1e-12 {
			t.Errorf("comparable %d weighs %g, more than the one before", i, c.Weight)
		}
		if c.GrossPercent > 25 {
			t.Errorf("comparable %d is adjusted by %.0f %%", i, c.GrossPercent)
		}
	}
	if dealer < 4 {
		t.Errorf("%d of %d comparables from a dealer", dealer, len(v.Comparables))
	}
}

func TestDuplicateNamesTheFirstLine(t *testing.T) {
	const file = "date,maker,reference,price,currency\n2020-01-02,Aster,A1,1000,EUR\n2020-01-03,Aster,A1,1100,EUR\n2020-01-02,aster,A1,1000.00,EUR\n"
	_, bad, err := market.ReadCSV(strings.NewReader(file), "sales.csv")
	if err != nil || len(bad) != 1 {
		t.Fatal(bad, err)
	}
	if !bad[0].Duplicate() || bad[0].Line != 4 || !strings.HasSuffix(bad[0].Want, "duplicate of line 2") {
		t.Errorf("%v", bad[0])
	}
}
