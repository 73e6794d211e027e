package market_test

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"testing"

	"midcase/market"
	"midcase/money"
)

func asJSON(t testing.TB, v any) string {
	t.Helper()
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// Same sales in any order, with any number of workers: the same bytes.
func TestFitDoesNotDependOnOrderOrWorkers(t *testing.T) {
	sales := invented(6000, 1)
	want := ""
	for k, workers := range []int{1, 2, 3, 7} {
		shuffled := append([]market.Sale(nil), sales...)
		r := rand.New(rand.NewPCG(uint64(k), 2))
		if k > 0 {
			r.Shuffle(len(shuffled), func(i, j int) { shuffled[i], shuffled[j] = shuffled[j], shuffled[i] })
		}
		m, rep, err := market.Fit(table(t, shuffled), market.Options{Workers: workers})
		if err != nil {
			t.Fatal(err)
		}
		p, err := m.Premium("metal", "gold", "steel")
		if err != nil {
			t.Fatal(err)
		}
		got := asJSON(t, []any{rep, value(t, m, subject), p})
		if want == "" {
			want = got
		}
		if got != want {
			t.Fatalf("%d workers, shuffled:\n%s\nwant\n%s", workers, got, want)
		}
	}
}

// A market in another unit of money has the same values in that unit.
func TestValuesScaleWithPrices(t *testing.T) {
	sales := invented(800, 2)
	const c = 37.25
	dearer := append([]market.Sale(nil), sales...)
	for i := range dearer {
		dearer[i].Price, _ = money.Round(sales[i].Price.Float()*c, "EUR")
	}
	a, b := value(t, fitted(t, sales), subject), value(t, fitted(t, dearer), subject)
	near(t, "median", b.Median, c*a.Median, 1e-4)
	near(t, "mean", b.Mean, c*a.Mean, 1e-4)
	for _, l := range []int{50, 80, 90} {
		near(t, "low", b.Interval[l][0], c*a.Interval[l][0], 1e-3)
		near(t, "high", b.Interval[l][1], c*a.Interval[l][1], 1e-3)
	}
}

func near(t testing.TB, what string, got, want, rel float64) {
	t.Helper()
	if !(math.Abs(got-want) <= rel*math.Abs(want)) {
		t.Errorf("%s: got %.12g, want %.12g", what, got, want)
	}
}

// The grid adds up, both as factors and as amounts, and the weights sum to one.
func TestGridAddsUp(t *testing.T) {
	m := fitted(t, invented(2000, 3))
	for _, s := range []market.Subject{subject, {Maker: "Maker 1", Reference: "unheard of", Metal: "gold"},
		{Maker: "Maker 0", Reference: "R0"}} {
		v := value(t, m, s)
		if len(v.Comparables) == 0 {
			t.Fatalf("%+v: no comparables", s)
		}
		var weight float64
		for _, c := range v.Comparables {
			product, sum := c.Price, c.Price
			for _, a := range c.Adjustments {
				product *= 1 + a.Percent/100
				sum += a.Amount
			}
			near(t, "product", product, c.Adjusted, 1e-12)
			if math.Abs(sum-c.Adjusted) > 1e-6 {
				t.Errorf("amounts come to %.6f, adjusted is %.6f", sum, c.Adjusted)
			}
			weight += c.Weight
		}
		near(t, "weights", weight, 1, 1e-12)
		if r := v.Reconciled; r.Range[0] > r.Median || r.Median > r.Range[1] {
			t.Errorf("reconciled %+v is out of order", r)
		}
	}
}

// Contributions lead from the baseline to the median.
func TestContributionsMultiplyToTheMedian(t *testing.T) {
	m := fitted(t, invented(2000, 4))
	v := value(t, m, subject)
	x := v.Baseline
	for _, c := range v.Contributions {
		x *= 1 + c.Percent/100
		if c.Low90 > c.Percent || c.Percent > c.High90 {
			t.Errorf("%+v: out of order", c)
		}
	}
	near(t, "median", x, v.Median, 1e-9)
}

func TestIntervalsAreNested(t *testing.T) {
	for _, n := range []int{1, 2, 5, 40, 900} {
		v := value(t, fitted(t, invented(n, 5)), subject)
		a, b, c := v.Interval[50], v.Interval[80], v.Interval[90]
		if !(0 < c[0] && c[0] <= b[0] && b[0] <= a[0] && a[0] <= v.Median && v.Median <= a[1] && a[1] <= b[1] &&
			b[1] <= c[1]) {
			t.Errorf("%d sales: %v %v %v around %g", n, a, b, c, v.Median)
		}
		if math.IsInf(c[1], 0) || math.IsNaN(v.Mean) {
			t.Errorf("%d sales: %+v", n, v)
		}
	}
}

// The fewer the sales, the wider the range.
func TestRangeNarrowsWithSales(t *testing.T) {
	last := math.Inf(1)
	for _, n := range []int{1, 30, 1000} {
		in := value(t, fitted(t, invented(n, 6)), subject).Interval[90]
		if w := in[1] / in[0]; w >= last {
			t.Errorf("%d sales: high/low %g, not below %g", n, w, last)
		} else {
			last = w
		}
	}
}

// What is not known widens the range; it is not taken as zero.
func TestMissingIsNotZero(t *testing.T) {
	m := fitted(t, invented(3000, 7))
	known := value(t, m, subject)
	s := subject
	s.Condition = nil
	missing := value(t, m, s)
	if w, k := missing.Interval[90], known.Interval[90]; w[1]/w[0] <= k[1]/k[0] {
		t.Errorf("without condition %v, with it %v", w, k)
	}
	s.Condition = grade(7)
	near(t, "median without condition", missing.Median, value(t, m, s).Median, 0.05)
	for _, s := range []market.Subject{{Maker: "Maker 0", Family: "Family 2", Reference: "new"},
		{Maker: "Maker 0", Reference: "new"}, {Maker: "nobody", Reference: "new"}} {
		v := value(t, m, s)
		if w, k := v.Interval[90], known.Interval[90]; w[1]/w[0] <= k[1]/k[0] || len(v.Says) == 0 ||
			v.SalesOfReference != 0 {
			t.Errorf("%+v: %v, says %q", s, w, v.Says)
		}
	}
}

func TestFitFileGivesTheSameModel(t *testing.T) {
	m := fitted(t, invented(1500, 8))
	var file bytes.Buffer
	if err := m.Encode(&file); err != nil {
		t.Fatal(err)
	}
	again, err := market.Decode(bytes.NewReader(file.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	if a, b := asJSON(t, value(t, m, subject)), asJSON(t, value(t, again, subject)); a != b {
		t.Errorf("decoded:\n%s\nwant\n%s", b, a)
	}
	if a, b := asJSON(t, m.Explain()), asJSON(t, again.Explain()); a != b {
		t.Errorf("decoded:\n%s\nwant\n%s", b, a)
	}
	damaged := append([]byte(nil), file.Bytes()...)
	damaged[len(damaged)/2] ^= 1
	if _, err := market.Decode(bytes.NewReader(damaged)); err == nil {
		t.Error("a damaged file was accepted")
	}
	if _, err := market.Decode(bytes.NewReader(file.Bytes()[:file.Len()/2])); err == nil {
		t.Error("half a file was accepted")
	}
}

func TestArgumentsAreNotChanged(t *testing.T) {
	sales := invented(50, 9)
	before := asJSON(t, sales)
	tab := table(t, sales)
	if _, _, err := market.Fit(tab, market.Options{}); err != nil {
		t.Fatal(err)
	}
	if asJSON(t, sales) != before {
		t.Error("NewTable or Fit changed the sales")
	}
	v, s := []float64{95, 210, 290}, []float64{100, 200, 300}
	if _, err := market.RatioStudy(v, s); err != nil || v[0] != 95 || s[2] != 300 {
		t.Error("RatioStudy changed its arguments")
	}
}
