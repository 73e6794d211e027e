package deal

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
)

const testDraws = 20_000

// lognormal.csv: closed forms (Johnson, Kotz and Balakrishnan 1994), tolerance four
// standard errors of plain sampling, as checks/README.md says.
func TestSaleAgainstLognormalTable(t *testing.T) {
	for k, want := range lognormals(t) {
		mu, sigma := k[0], k[1]
		xs := Sale{LogMedian: mu, LogScale: sigma}.draw(testDraws, stream(7, 1))
		se := math.Sqrt(want["variance"] / testDraws)
		if got := mean(xs); math.Abs(got-want["mean"]) > 4*se {
			t.Errorf("mu %g sigma %g: mean %g, want %g ± %g", mu, sigma, got, want["mean"], 4*se)
		}
		for name, q := range want {
			p, ok := strings.CutPrefix(name, "q0.")
			if !ok {
				continue
			}
			prob := number(t, "0."+p)
			density := math.Exp(-math.Pow((math.Log(q)-mu)/sigma, 2)/2) / (q * sigma * math.Sqrt(2*math.Pi))
			se := math.Sqrt(prob*(1-prob)/testDraws) / density
			if got := quantiles(slices.Clone(xs), prob)[0]; math.Abs(got-q) > 4*se {
				t.Errorf("mu %g sigma %g: q%g %g, want %g ± %g", mu, sigma, prob, got, q, 4*se)
			}
		}
	}
}

// At a price K with nothing else to pay, the chance of loss is P(X ≤ K), the
// expected margin tax is the option-type payoff E[max(X−K, 0)]·r/(1+r), and the
// highest price is a quantile over 1 + margin; all in lognormal.csv.
func TestBuyAgainstLognormalTable(t *testing.T) {
	for k, want := range lognormals(t) {
		price := want["K_used"]
		in := Input{Sale: Sale{LogMedian: k[0], LogScale: k[1]}, WantedMargin: 0.25, Confidence: 0.9, Asked: &price,
			Draws: testDraws, Seed: 3}
		r, err := Buy(in)
		if err != nil {
			t.Fatal(err)
		}
		p := want["P(X<=K)"]
		within(t, "chance of loss", r.ChanceOfLoss, p, 4*math.Sqrt(p*(1-p)/testDraws))
		within(t, "expected profit", r.ExpectedProfit, want["mean"]-price, 4*math.Sqrt(want["variance"]/testDraws))
		q10 := want["q0.1"] / 1.25
		within(t, "highest price", r.HighestPrice, q10, 0.01*q10)

		in.Tax = Tax{Scheme: MarginTaxed, Rate: 0.2}
		taxed, err := Buy(in)
		if err != nil {
			t.Fatal(err)
		}
		payoff := want["E[max(X-K,0)]"] / 6
		within(t, "expected margin tax", r.ExpectedProfit-taxed.ExpectedProfit, payoff,
			4*math.Sqrt(want["variance"]/testDraws)/6)
		within(t, "tax among the costs", taxed.Costs[0].Mean, payoff, 4*math.Sqrt(want["variance"]/testDraws)/6)
	}
}

func within(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.8g, want %.8g ± %.2g", what, got, want, tolerance)
	}
}

// quantiles.csv: Student-t (SciPy).
func TestSaleAgainstStudentTable(t *testing.T) {
	checked := 0
	for _, r := range readTable(t, "quantiles.csv") {
		nu, ok := strings.CutPrefix(r["dist"], "t")
		if !ok {
			continue
		}
		dof, err := strconv.ParseFloat(nu, 64)
		if err != nil {
			t.Fatal(err)
		}
		p, want := number(t, r["p"]), number(t, r["value"])
		xs := Sale{LogScale: 1, DoF: dof}.draw(testDraws, stream(11, 1))
		got := math.Log(quantiles(xs, p)[0])
		density := math.Gamma((dof+1)/2) / (math.Sqrt(dof*math.Pi) * math.Gamma(dof/2)) * math.Pow(1+want*want/dof,
			-(dof+1)/2)
		within(t, r["dist"]+" at "+r["p"], got, want, 4*math.Sqrt(p*(1-p)/testDraws)/density+1e-9)
		checked++
	}
	if checked < 30 {
		t.Errorf("only %d quantiles checked", checked)
	}
}

// quantiles.csv: Weibull (SciPy).
func TestWeibullAgainstTable(t *testing.T) {
	checked := 0
	w := Weibull{Shape: 1.5, ScaleDays: 1}
	xs := w.draw(testDraws, stream(5, 2))
	for _, r := range readTable(t, "quantiles.csv") {
		if r["dist"] != "weibull_k1.5" {
			continue
		}
		p, want := number(t, r["p"]), number(t, r["value"])
		within(t, "quantile", w.Quantile(p), want, 1e-12*want)
		density := 1.5 * math.Sqrt(want) * math.Exp(-math.Pow(want, 1.5))
		within(t, "drawn quantile", daysPerYear*quantiles(slices.Clone(xs), p)[0], want,
			4*math.Sqrt(p*(1-p)/testDraws)/density)
		checked++
	}
	if checked < 9 {
		t.Errorf("only %d quantiles checked", checked)
	}
	// A worked example of days on the market: median 71.14·(ln 2)^(1/0.9456) = 48.28.
	within(t, "median", Weibull{0.9456, 71.14}.Quantile(0.5), 48.28, 0.01)
}

// Triangular: mean (a+b+c)/3, variance (a²+b²+c²−ab−ac−bc)/18, and a share
// (c−a)/(b−a) under the mode (textbook closed forms).
func TestTriangularCost(t *testing.T) {
	c := Cost{Low: 300, Mode: 400, High: 700}
	xs := c.draw(testDraws, stream(2, 16))
	variance := (300*300 + 400*400 + 700*700 - 300*400 - 300*700 - 400*700) / 18.0
	within(t, "mean", mean(xs), 1400.0/3, 4*math.Sqrt(variance/testDraws))
	within(t, "quantile at the mode", c.quantile(0.25), 400, 1e-9)
	within(t, "low end", c.quantile(0), 300, 1e-9)
	within(t, "high end", c.quantile(1), 700, 1e-9)
	if slices.Min(xs) < 300 || slices.Max(xs) > 700 {
		t.Error("drawn outside low and high")
	}
}

func TestCostThatMayNotArise(t *testing.T) {
	c := Cost{Low: 100, High: 100, Chance: 0.3}
	within(t, "mean", mean(c.draw(testDraws, stream(2, 16))), 30, 4*100*math.Sqrt(0.21/testDraws))
	within(t, "median", c.quantile(0.5), 0, 0)
	within(t, "80 % point", c.quantile(0.8), 100, 0)
}

func TestLogNormalCost(t *testing.T) {
	c := Cost{Low: 50, High: 200, Shape: LogNormal}
	xs := c.draw(testDraws, stream(2, 16))
	q := quantiles(xs, 0.05, 0.5, 0.95)
	within(t, "5 %", q[0], 50, 2)
	within(t, "median", q[1], 100, 2)
	within(t, "95 %", q[2], 200, 8)
	within(t, "5 % point", c.quantile(0.05), 50, 1e-9)
}

// Given quantiles of a lognormal, the draws are that lognormal.
func TestSaleByQuantiles(t *testing.T) {
	mu, sigma := math.Log(5000), 0.3
	var s Sale
	for _, p := range []float64{0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95} {
		s.Quantiles = append(s.Quantiles, Quantile{p, math.Exp(mu + sigma*quantileNormal(p))})
	}
	xs := s.draw(testDraws, stream(1, 1))
	want := Sale{LogMedian: mu, LogScale: sigma}.draw(testDraws, stream(1, 1))
	for i := range xs {
		within(t, "draw", xs[i], want[i], 1e-6*want[i])
	}
}

func TestCarryingCost(t *testing.T) {
	asked := 1000.0
	r, err := Buy(Input{Sale: Sale{LogMedian: math.Log(2000)}, Asked: &asked, CarryingRatePerYear: 0.1,
		TimeToSell: Weibull{1, 365.25}, Confidence: 0.5, Draws: testDraws})
	if err != nil {
		t.Fatal(err)
	}
	// One year on average, exponential: 1,000 × 10 %, standard deviation the same.
	within(t, "expected profit", r.ExpectedProfit, 900, 4*100/math.Sqrt(testDraws))
	within(t, "carrying", r.Costs[0].Mean, 100, 4*100/math.Sqrt(testDraws))
	within(t, "median months", r.MonthsToSell.Value, 12*math.Ln2, 1e-9)
	// Half of the draws take under ln 2 years: x = 2000/(1 + 0.1·ln 2).
	within(t, "highest price", r.HighestPrice, 2000/(1+0.1*math.Ln2), 4)
}
