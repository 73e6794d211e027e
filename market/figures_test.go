package market_test

import (
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"midcase/market"
	"midcase/money"
	"midcase/say"
)

// A worked example of a ratio study, computed by hand from the definitions of the
// mass-appraisal literature (COD, PRD, PRB).
func TestRatioStudy(t *testing.T) {
	r, err := market.RatioStudy([]float64{95, 210, 290, 410, 480}, []float64{100, 200, 300, 400, 500})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "median", r.Median, 0.96667, 1e-5)
	near(t, "COD", r.COD, 3.414, 2e-4)
	near(t, "PRD", r.PRD, 1.00034, 1e-5)
	near(t, "PRB", r.PRB, 0.00817, 1e-3)
	if r.Within["cod"] || !r.Within["prd"] || !r.Within["prb"] || !r.Within["median_ratio"] {
		t.Errorf("ranges: %v", r.Within)
	}
	for _, bad := range [][2][]float64{{{1}, {1, 2}}, {nil, nil}, {{1}, {0}}, {{math.NaN()}, {1}}} {
		if _, err := market.RatioStudy(bad[0], bad[1]); err == nil {
			t.Errorf("%v was accepted", bad)
		}
	}
}

func TestIndexFollowsTheMarket(t *testing.T) {
	m := fitted(t, invented(4000, 11))
	for _, s := range []market.Scope{{}, {Maker: "maker 1"}, {Family: "Family 2"},
		{Maker: "Maker 0", Reference: "r2"}} {
		x, err := m.Index(s)
		if err != nil {
			t.Fatal(err)
		}
		if len(x) != 24 || x[0].Quarter != "2018-Q1" || x[0].Index != 100 || x[23].Quarter != "2023-Q4" {
			t.Fatalf("%+v: %d points from %+v", s, len(x), x[0])
		}
		// The truth grows by 3 % a year in logs.
		near(t, "last", x[23].Index, 100*math.Exp(0.03*23.0/4), 0.03)
		if in := x[23].Interval; in[0] > x[23].Index || in[1] < x[23].Index || in[1]/in[0] > 1.2 {
			t.Errorf("%+v", x[23])
		}
	}
	if _, err := m.Index(market.Scope{Maker: "nobody"}); err == nil {
		t.Error("an index of nobody's sales")
	}
}

// Over many markets the 90 % band of the premium holds the truth in about nine
// quarters of ten, when it rises steeply as when it stands still.
func TestPremiumBandsHoldTheTruth(t *testing.T) {
	if testing.Short() {
		t.Skip("a study")
	}
	in, all := 0, 0
	for seed := uint64(1); seed <= 12; seed++ {
		sales := invented(1500, 100+seed)
		truth := func(q int) float64 {
			if seed%2 == 0 {
				return 0.8
			}
			return 0.8 + 0.4/(1+math.Exp(-(float64(q)-12)/2))
		}
		for i := range sales {
			if sales[i].Metal == "gold" {
				d, _ := time.Parse(time.DateOnly, sales[i].Date)
				q := (d.Year()-2018)*4 + (int(d.Month())-1)/3
				sales[i].Price, _ = money.Round(sales[i].Price.Float()*math.Exp(truth(q)-0.8), "EUR")
			}
		}
		p, err := fitted(t, sales).Premium("metal", "gold", "steel")
		if err != nil {
			t.Fatal(err)
		}
		for q, x := range p {
			all++
			if v := math.Expm1(truth(q)); v >= x.Interval[0] && v <= x.Interval[1] {
				in++
			}
		}
	}
	if share := float64(in) / float64(all); share < 0.85 || share > 0.99 {
		t.Errorf("the band holds the truth in %.0f %% of %d quarters", 100*share, all)
	}
}

func TestPremiumOfOtherFeatures(t *testing.T) {
	m := fitted(t, invented(4000, 12))
	for _, c := range []struct {
		feature, of, over string
		want              float64
	}{
		{"condition", "8", "7", math.Expm1(0.08)}, {"channel", "auction/hammer", "dealer/sold", math.Expm1(-0.2)},
		{"completeness", "full", "watch", 0}, {"metal", "steel", "gold", math.Expm1(-0.8)},
	} {
		p, err := m.Premium(c.feature, c.of, c.over)
		if err != nil {
			t.Fatal(err)
		}
		if x := p[len(p)/2].Premium; math.Abs(x-c.want) > 0.04 {
			t.Errorf("%+v: %g", c, x)
		}
	}
	for _, c := range [][3]string{{"metal", "tin", "steel"}, {"colour", "a", "b"}, {"condition", "8", "good"}} {
		if _, err := m.Premium(c[0], c[1], c[2]); err == nil {
			t.Errorf("%v: want an error", c)
		}
	}
}

// One price in a hundred is ten times too high or too low: nothing moves, and they
// are listed.
func TestMistakesMoveNothingAndAreListed(t *testing.T) {
	clean := invented(4000, 13)
	dirty := append([]market.Sale(nil), clean...)
	wrong := map[int]bool{}
	for i := 50; i < len(dirty); i += 100 {
		f := 10.0
		if i%200 == 50 {
			f = 0.1
		}
		dirty[i].Price, _ = money.Round(dirty[i].Price.Float()*f, "EUR")
		wrong[dirty[i].Line] = true
	}
	a, b := fitted(t, clean), fitted(t, dirty)
	near(t, "median", value(t, b, subject).Median, value(t, a, subject).Median, 0.01)
	found := 0
	for _, s := range b.Suspects(nil) {
		if !wrong[s.Line] {
			t.Logf("line %d is listed too: %s", s.Line, s.Reason)
			continue
		}
		found++
		if !strings.HasPrefix(string(s.Reason.Kind), "suspect.ten-") || s.Expected <= 0 {
			t.Errorf("%+v", s)
		}
	}
	if found < len(wrong)*95/100 {
		t.Errorf("%d of %d mistakes are listed", found, len(wrong))
	}
	if n := len(a.Suspects(nil)); n > 8 {
		t.Errorf("%d suspects among 4000 clean sales", n)
	}
}

func TestBacktest(t *testing.T) {
	r, err := market.Backtest(table(t, invented(4000, 14)), market.Options{})
	if err != nil {
		t.Fatal(err)
	}
	// The later half of six years, half a year at a time.
	if r.N < 1950 || r.N > 2050 || len(r.Splits) != 6 {
		t.Errorf("%d sales in %d splits", r.N, len(r.Splits))
	}
	// The errors are normal with 0.08, so a median error of 0.6745·8 %.
	if r.MdAPE < 4.5 || r.MdAPE > 7 || math.Abs(r.Bias) > 1.5 {
		t.Errorf("median error %.2f %%, bias %.2f %%", r.MdAPE, r.Bias)
	}
	for l, c := range r.Coverage {
		if math.Abs(c-float64(l)) > 5 {
			t.Errorf("the %d %% interval holds %.1f %%", l, c)
		}
	}
	if math.Abs(r.PRD-1) > 0.02 || math.Abs(r.PRB) > 0.02 || r.COD < 4 || r.COD > 9 {
		t.Errorf("%+v", r.Ratios)
	}
	if _, err := market.Backtest(table(t, invented(10, 1)), market.Options{}); err == nil {
		t.Error("ten sales were back-tested")
	}
}

// Later sales must not enter a value as of an earlier day.
func TestAsOfLeavesLaterSalesOut(t *testing.T) {
	sales := invented(2000, 15)
	cut := day(2021, 6, 30)
	var before []market.Sale
	later := append([]market.Sale(nil), sales...)
	for i := range later {
		if d, _ := time.Parse(time.DateOnly, later[i].Date); d.After(cut) {
			later[i].Price, _ = money.Round(later[i].Price.Float()*3, "EUR")
		} else {
			before = append(before, later[i])
		}
	}
	a, repA, err := market.Fit(table(t, later), market.Options{AsOf: cut})
	if err != nil {
		t.Fatal(err)
	}
	b, _, err := market.Fit(table(t, before), market.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if repA.RowsUsed != len(before) {
		t.Errorf("%d sales used, want %d", repA.RowsUsed, len(before))
	}
	va, _ := a.Value(subject, cut, market.Retail)
	vb, _ := b.Value(subject, cut, market.Retail)
	if asJSON(t, va) != asJSON(t, vb) {
		t.Error("sales after the day changed the value as of it")
	}
}

// The range widens with every quarter that nothing is known of.
func TestForecastWidens(t *testing.T) {
	m := fitted(t, invented(2000, 16))
	last := 0.0
	for _, d := range []time.Time{day(2023, 12, 1), day(2024, 12, 1), day(2026, 1, 1), day(2032, 1, 1)} {
		v, err := m.Value(subject, d, market.Retail)
		if err != nil {
			t.Fatal(err)
		}
		if w := v.Interval[90][1] / v.Interval[90][0]; w <= last {
			t.Errorf("%s: high/low %g after %g", d.Format(time.DateOnly), w, last)
		} else {
			last = w
		}
	}
}

// After the last sale the median follows the market's long-run drift for as long as one
// looks ahead, and never stops. The truth grows by 3 % a year in logs.
func TestForecastNeverStops(t *testing.T) {
	m := fitted(t, invented(4000, 21))
	at := func(year int) float64 {
		v, err := m.Value(subject, day(year, 6, 1), market.Retail)
		if err != nil {
			t.Fatal(err)
		}
		return v.LogMedian
	}
	for y := 2024; y < 2040; y++ {
		if d := at(y+1) - at(y); d < 0.01 || d > 0.05 {
			t.Errorf("%d to %d: %.4f in logs", y, y+1, d)
		}
	}
	near(t, "a later year like an earlier one", at(2040)-at(2039), at(2031)-at(2030), 0.02)
	v, err := m.Value(subject, day(2026, 6, 1), market.Retail)
	if err != nil {
		t.Fatal(err)
	}
	said := false
	for _, s := range v.Says {
		if s.Kind == "market.later" {
			said = strings.Contains(s.String(), "29 months") && strings.Contains(s.String(), "+") &&
				strings.Contains(s.String(), "90 % range")
		}
	}
	if !said {
		t.Errorf("says %q", say.Strings(v.Says))
	}
}

func TestThinMarkets(t *testing.T) {
	one := market.Sale{Date: "2023-05-05", Maker: "Aster", Reference: "A1", Price: money.MustParse("5000", "EUR")}
	for name, sales := range map[string][]market.Sale{"one sale": {one},
		"one feature level": {one, {Date: "2023-05-05", Maker: "Aster", Reference: "A1",
			Price: money.MustParse("6000", "EUR")}}} {
		m := fitted(t, sales)
		v, err := m.Value(market.Subject{Maker: "Aster", Reference: "A1"}, day(2023, 6, 1), market.Retail)
		if err != nil {
			t.Fatal(name, err)
		}
		if v.Median < 3500 || v.Median > 8000 || v.Interval[90][1]/v.Interval[90][0] < 1.5 || len(v.Says) == 0 {
			t.Errorf("%s: %+v", name, v)
		}
	}
	if _, _, err := market.Fit(table(t, nil), market.Options{}); err == nil {
		t.Error("a market without sales was fitted")
	}
	sameDay := invented(300, 17)
	for i := range sameDay {
		sameDay[i].Date = "2023-01-01"
	}
	m := fitted(t, sameDay)
	if v := value(t, m, subject); !(v.Median > 0) {
		t.Errorf("all on one day: %+v", v)
	}
	if x, err := m.Index(market.Scope{}); err != nil || len(x) != 1 || x[0].Index != 100 {
		t.Errorf("index of one day: %v, %v", x, err)
	}
	if _, err := market.Backtest(table(t, sameDay), market.Options{}); err == nil {
		t.Error("sales of one day were back-tested")
	}
}

func TestBases(t *testing.T) {
	m := fitted(t, invented(3000, 18))
	med := map[market.Basis]float64{}
	for _, b := range market.Bases() {
		v, err := m.Value(subject, today, b)
		if err != nil {
			t.Fatal(err)
		}
		if b.Definition().IsZero() || v.Definition.String() != b.Definition().String() {
			t.Errorf("%s has no definition", b)
		}
		med[b] = v.Median
		// Trade and private sales are not among them: said, and wider.
		if b == market.Trade && !strings.Contains(strings.Join(say.Strings(v.Says), " "), "No sale on this basis") {
			t.Errorf("%s says %q", b, v.Says)
		}
	}
	near(t, "hammer against retail", med[market.AuctionHammer]/med[market.Retail], math.Exp(-0.2), 0.03)
	if _, err := m.Value(subject, today, "wholesale"); err == nil {
		t.Error("an unknown basis was accepted")
	}
	if _, err := m.Value(subject, time.Time{}, market.Retail); err == nil {
		t.Error("a value of no day")
	}
}

func TestCurvatureIsFound(t *testing.T) {
	sales := invented(3000, 19)
	straight, repS, err := market.Fit(table(t, sales), market.Options{})
	if err != nil || straight == nil {
		t.Fatal(err)
	}
	if math.Abs(repS.Condition.Z) > 3 {
		t.Errorf("straight: %+v", repS.Condition)
	}
	for i := range sales {
		if c := sales[i].Condition; c != nil {
			sales[i].Price, _ = money.Round(sales[i].Price.Float()*math.Exp(0.02*(*c-7)*(*c-7)), "EUR")
		}
	}
	_, repC, err := market.Fit(table(t, sales), market.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if repC.Condition.Z < 4 || !repC.Condition.Used {
		t.Errorf("curved: %+v", repC.Condition)
	}
	near(t, "curve", repC.Condition.Estimate, 0.02, 0.15)
}

func TestReadSubjects(t *testing.T) {
	text := "maker,reference,date,condition,venue,basis,price\nAster,A1,2024-01-05,8,auction,hammer,\nAster,A2,,11,,,\nAster,,2024,,,,x\n"
	s, bad, err := market.ReadSubjects(strings.NewReader(text), "s.csv")
	if err != nil {
		t.Fatal(err)
	}
	if len(s) != 2 || s[0].Row != 1 || s[1].Row != 3 || s[0].Subject.Venue != "auction" ||
		*s[0].Subject.Condition != 8 || !s[0].AsOf.Equal(day(2024, 1, 5)) {
		t.Errorf("%+v", s)
	}
	if len(bad) != 1 || bad[0].Line != 3 || bad[0].Field != "condition" {
		t.Errorf("%v", bad)
	}
	if _, _, err := market.ReadSubjects(strings.NewReader("reference\n"), "s.csv"); !errors.Is(err,
		market.ErrNotSales) {
		t.Errorf("got %v", err)
	}
}
