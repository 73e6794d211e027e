package market_test

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/mat"

	"midcase/market"
)

// checkFile reads an outside check file by column name.
func checkFile(t testing.TB, path string) (header map[string]int, rows [][]string) {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "checks", path))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	header = map[string]int{}
	for k, h := range all[0] {
		header[h] = k
	}
	return header, all[1:]
}

func figure(t testing.TB, s string) float64 {
	t.Helper()
	if s == "Infinity" {
		return math.Inf(1)
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// digits is the number of correct leading digits (LRE).
func digits(got, want float64) float64 {
	if got == want {
		return 15
	}
	if want == 0 {
		return -math.Log10(math.Abs(got))
	}
	return -math.Log10(math.Abs(got-want) / math.Abs(want))
}

// Source: NIST/ITL Statistical Reference Datasets, Linear Least Squares Regression,
// https://www.itl.nist.gov/div898/strd/lls/lls.shtml; certified values. The digits
// wanted are what plain float64 QR can give on these sets.
func TestNISTReferenceRegressions(t *testing.T) {
	for _, c := range []struct {
		name, file string
		degree     int // of a polynomial in x; 0 takes the columns as they are
		origin     bool
		digits     float64
	}{
		{"Longley", "longley", 0, false, 8}, {"Norris", "norris", 1, false, 12}, {"Pontius", "pontius", 2, false, 10},
		{"Wampler1", "wampler1", 5, false, 8}, {"Wampler2", "wampler2", 5, false, 10}, {"Wampler3", "wampler3", 5, false, 8},
		{"Wampler4", "wampler4", 5, false, 6}, {"Wampler5", "wampler5", 5, false, 5}, {"Filip", "filip", 10, false, 6},
		{"NoInt1", "noint1", 0, true, 12}, {"NoInt2", "noint2", 0, true, 12},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, rows := checkFile(t, "01_linear_regression/"+c.file+".csv")
			var y, x []float64
			for _, r := range rows {
				y = append(y, figure(t, r[0]))
				if !c.origin {
					x = append(x, 1)
				}
				for _, v := range r[1:] {
					x = append(x, figure(t, v))
				}
				for d := 2; d <= c.degree; d++ {
					x = append(x, math.Pow(figure(t, r[1]), float64(d)))
				}
			}
			g, err := market.Regress(mat.NewDense(len(y), len(x)/len(y), x), y, nil, !c.origin)
			if err != nil {
				t.Fatal(err)
			}
			checkCertified(t, c.name, g, c.digits)
		})
	}
}

func checkCertified(t *testing.T, name string, g *market.Regression, want float64) {
	t.Helper()
	_, rows := checkFile(t, "01_linear_regression/certified_coef.csv")
	k := 0
	for _, r := range rows {
		if r[0] != name {
			continue
		}
		if d := digits(g.Coef[k], figure(t, r[2])); d < want {
			t.Errorf("%s: %.15g, certified %s: %.1f digits, want %g", r[1], g.Coef[k], r[2], d, want)
		}
		if sd := figure(t, r[3]); sd == 0 {
			if g.SE[k] > 1e-6 {
				t.Errorf("%s: standard error %g of an exact fit", r[1], g.SE[k])
			}
		} else if d := digits(g.SE[k], sd); d < min(want, 5) {
			t.Errorf("%s: standard error %.15g, certified %s: %.1f digits", r[1], g.SE[k], r[3], d)
		}
		k++
	}
	if k != len(g.Coef) {
		t.Fatalf("%d certified coefficients, %d fitted", k, len(g.Coef))
	}
	_, stats := checkFile(t, "01_linear_regression/certified_stats.csv")
	for _, r := range stats {
		if r[0] == name && digits(g.R2, figure(t, r[2])) < 6 {
			t.Errorf("R² %.15g, certified %s", g.R2, r[2])
		}
	}
}

// Source: Anglin and Gencay (1996), J. Applied Econometrics 11, 633-648, by way of
// the R package AER 1.2-10; reference values by R 4.2.2.
func TestHousePriceRegression(t *testing.T) {
	h, rows := checkFile(t, "02_hedonic/house_prices.csv")
	attributes := []string{"lotsize", "bedrooms", "bathrooms", "stories", "driveway", "recreation", "fullbase", "gasheat", "aircon", "garage", "prefer"}
	var y, x []float64
	var fold []int
	for _, r := range rows {
		y = append(y, math.Log(figure(t, r[h["price"]])))
		x = append(x, 1)
		for _, a := range attributes {
			switch v := r[h[a]]; v {
			case "yes":
				x = append(x, 1)
			case "no":
				x = append(x, 0)
			default:
				x = append(x, figure(t, v))
			}
		}
		fold = append(fold, int(figure(t, r[h["fold"]])))
	}
	p := 1 + len(attributes)
	g, err := market.Regress(mat.NewDense(len(y), p, x), y, nil, true)
	if err != nil {
		t.Fatal(err)
	}
	_, coef := checkFile(t, "02_hedonic/ref_coef.csv")
	k := 0
	for _, r := range coef {
		if r[0] == "A_level_lotsize" {
			near(t, r[1], g.Coef[k], figure(t, r[2]), 1e-8)
			near(t, r[1]+" se", g.SE[k], figure(t, r[3]), 1e-8)
			k++
		}
	}
	near(t, "sigma", g.Sigma, 0.213712052372362, 1e-8)
	near(t, "R²", g.R2, 0.676591006371343, 1e-8)
	_, pred := checkFile(t, "02_hedonic/ref_predict_model_A_90pc.csv")
	for _, r := range pred {
		i := int(figure(t, r[0])) - 1
		fit, low, high := g.Predict(x[i*p:(i+1)*p], 0.9)
		near(t, "fit", fit, figure(t, r[1]), 1e-8)
		near(t, "low", low, figure(t, r[2]), 1e-8)
		near(t, "high", high, figure(t, r[3]), 1e-8)
	}
	var ss float64
	for f := 1; f <= 5; f++ {
		var ty, tx []float64
		for i := range y {
			if fold[i] != f {
				ty, tx = append(ty, y[i]), append(tx, x[i*p:(i+1)*p]...)
			}
		}
		g, err := market.Regress(mat.NewDense(len(ty), p, tx), ty, nil, true)
		if err != nil {
			t.Fatal(err)
		}
		for i := range y {
			if fold[i] == f {
				fit, _, _ := g.Predict(x[i*p:(i+1)*p], 0.9)
				ss += (y[i] - fit) * (y[i] - fit)
			}
		}
	}
	near(t, "cross-validated RMSE", math.Sqrt(ss/float64(len(y))), 0.2153703969608, 1e-8)
}

// Source: a sample of the Lucas County house sales (LeSage and Pace, by way of the
// R package spData 2.2.1); time dummies and Kennedy's correction by R 4.2.2.
func TestTimeDummyIndex(t *testing.T) {
	h, rows := checkFile(t, "10_price_index/lucas_hedonic_sample.csv")
	_, want := checkFile(t, "10_price_index/lucas_hedonic_coef.csv")
	var y, x []float64
	for _, r := range rows {
		v := func(name string) float64 { return figure(t, r[h[name]]) }
		y = append(y, math.Log(v("price")))
		x = append(x, 1, math.Log(v("TLA")), math.Log(v("lotsize")), v("rooms"), v("beds"), v("baths"), v("halfbaths"), v("age"), v("age")*v("age"), v("garagesqft"))
		for year := 1994.0; year <= 1998; year++ {
			if v("syear") == year {
				x = append(x, 1)
			} else {
				x = append(x, 0)
			}
		}
	}
	g, err := market.Regress(mat.NewDense(len(y), len(want), x), y, nil, true)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "sigma", g.Sigma, 0.410413664545126, 1e-8)
	near(t, "R²", g.R2, 0.73385815988942, 1e-8)
	if g.DF != 619 {
		t.Errorf("%d degrees of freedom, want 619", g.DF)
	}
	for k, r := range want {
		near(t, r[0], g.Coef[k], figure(t, r[1]), 1e-8)
		near(t, r[0]+" se", g.SE[k], figure(t, r[2]), 1e-8)
		if r[4] != "NA" {
			near(t, r[0]+" index", market.Kennedy(g.Coef[k], 0), figure(t, r[3]), 1e-8)
			near(t, r[0]+" Kennedy", market.Kennedy(g.Coef[k], g.SE[k]), figure(t, r[4]), 1e-8)
		}
	}
}

// Kennedy (1981), American Economic Review 71, 801; worked figures: δ = 0.10 with
// standard error 0.05.
func TestKennedy(t *testing.T) {
	if got := math.Round(100*market.Kennedy(0.10, 0.05)) / 100; got != 110.38 {
		t.Errorf("corrected %g, want 110.38", got)
	}
	if got := math.Round(100*market.Kennedy(0.10, 0)) / 100; got != 110.52 {
		t.Errorf("without correction %g, want 110.52", got)
	}
}
