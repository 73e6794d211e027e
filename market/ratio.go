package market

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// Ratios are the figures of a ratio study: estimates beside prices.
type Ratios struct {
	N      int     `json:"n"`
	Median float64 `json:"median_ratio"`
	COD    float64 `json:"cod"` // coefficient of dispersion, % of the median ratio
	PRD    float64 `json:"prd"` // price-related differential
	PRB    float64 `json:"prb"` // price-related bias, by doubling of value
	// Within reports whether each figure lies in the range that mass appraisal of
	// houses works to; those ranges are a benchmark only.
	Within map[string]bool `json:"within"`
}

// Ranges of the mass-appraisal standard for single-family houses (as published
// summaries of it give them): a benchmark only.
const (
	ratioLow, ratioHigh = 0.90, 1.10
	codLow, codHigh     = 5, 15
	prdLow, prdHigh     = 0.98, 1.03
	prbMost             = 0.05
)

// RatioStudy compares estimates with prices. With R = estimate/price and M the
// median of R: COD = 100·mean|R−M|/M; PRD = mean R / (Σ estimate / Σ price); PRB is
// the slope of (R−M)/M on ln(½(price + estimate/M))/ln 2. The arguments are not
// changed.
func RatioStudy(estimate, price []float64) (Ratios, error) {
	if len(estimate) != len(price) {
		return Ratios{}, fmt.Errorf("ratio study: %d estimates and %d prices", len(estimate), len(price))
	}
	n := len(price)
	if n == 0 {
		return Ratios{}, errors.New("ratio study: no pair of estimate and price")
	}
	r := make([]float64, n)
	var sumR, sumV, sumS float64
	for i := range price {
		if !(price[i] > 0) || !(estimate[i] > 0) || math.IsInf(price[i], 0) || math.IsInf(estimate[i], 0) {
			return Ratios{}, fmt.Errorf("ratio study: pair %d (%g, %g): want both above zero", i, estimate[i], price[i])
		}
		r[i] = estimate[i] / price[i]
		sumR += r[i]
		sumV += estimate[i]
		sumS += price[i]
	}
	m := middle(r)
	var off float64
	y, x := make([]float64, n), make([]float64, n)
	for i := range r {
		off += math.Abs(r[i] - m)
		y[i] = (r[i] - m) / m
		x[i] = math.Log2((price[i] + estimate[i]/m) / 2)
	}
	out := Ratios{N: n, Median: m, COD: 100 * off / float64(n) / m, PRD: sumR / float64(n) / (sumV / sumS),
		PRB: slopeOf(x, y)}
	out.Within = map[string]bool{
		"median_ratio": m >= ratioLow && m <= ratioHigh, "cod": out.COD >= codLow && out.COD <= codHigh,
		"prd": out.PRD >= prdLow && out.PRD <= prdHigh, "prb": math.Abs(out.PRB) <= prbMost,
	}
	return out, nil
}

// middle is the median; the mean of the two middle values of an even number.
func middle(x []float64) float64 {
	s := slices.Clone(x)
	slices.Sort(s)
	n := len(s)
	if n%2 == 1 {
		return s[n/2]
	}
	return (s[n/2-1] + s[n/2]) / 2
}

// slopeOf is the least-squares slope of y on x; 0 where x does not vary.
func slopeOf(x, y []float64) float64 {
	var mx, my, sxy, sxx float64
	for i := range x {
		mx += x[i] / float64(len(x))
		my += y[i] / float64(len(x))
	}
	for i := range x {
		sxy += (x[i] - mx) * (y[i] - my)
		sxx += (x[i] - mx) * (x[i] - mx)
	}
	if sxx < 1e-18 {
		return 0
	}
	return sxy / sxx
}
