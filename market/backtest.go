package market

import (
	"errors"
	"fmt"
	"math"
	"time"

	"midcase/market/table"
	"midcase/say"
)

// BacktestResult says how well the model foretold sales that it had not seen.
type BacktestResult struct {
	N        int             `json:"n"`
	MdAPE    float64         `json:"mdape"`    // median absolute error, % of the price
	Bias     float64         `json:"bias"`     // median error of the estimate, % of the price
	Coverage map[int]float64 `json:"coverage"` // share of prices within the 50, 80 and 90 % interval, %
	COD      float64         `json:"cod"`
	PRD      float64         `json:"prd"`
	PRB      float64         `json:"prb"`
	Ratios   Ratios          `json:"ratios"`
	Splits   []BacktestSplit `json:"splits"`
	Says     []say.Statement `json:"says"`
}

// BacktestSplit is one cut in time: fitted up to a day, tried on what followed.
type BacktestSplit struct {
	FittedTo string  `json:"fitted_to"`
	TriedTo  string  `json:"tried_to"`
	Fitted   int     `json:"fitted"`
	N        int     `json:"n"`
	MdAPE    float64 `json:"mdape"`
	Bias     float64 `json:"bias"`
	Within90 float64 `json:"within_90"` // share of prices within the 90 % interval, %
}

// The later half of the sales are foretold, about half a year at a time, each part from
// all sales before it.
const (
	backtestMonths               = 6
	leastSplits, mostSplits      = 4, 20
	backtestFirst, backtestParts = 1, 2 // the first half is only learned from
)

// Backtest cuts the sales by date several times, fits to what came before each cut
// and values what came after, up to the next. Opt.AsOf bounds the sales used.
func Backtest(t *table.Table, opt Options) (BacktestResult, error) {
	cuts, err := cutsOf(t, opt)
	if err != nil {
		return BacktestResult{}, err
	}
	out := BacktestResult{Coverage: map[int]float64{50: 0, 80: 0, 90: 0}}
	var est, price []float64
	for k := 0; k+1 < len(cuts); k++ {
		o := opt
		o.AsOf = table.DayTime(cuts[k])
		m, rep, err := Fit(t, o)
		if err != nil {
			return out, fmt.Errorf("back-test to %s: %w", o.AsOf.Format(time.DateOnly), err)
		}
		from, before := len(est), out.Coverage[90]
		est, price, err = m.foretell(t, opt, cuts[k], cuts[k+1], est, price, out.Coverage)
		if err != nil {
			return out, err
		}
		s := BacktestSplit{FittedTo: table.DateText(cuts[k], table.DayDate),
			TriedTo: table.DateText(cuts[k+1], table.DayDate), Fitted: rep.RowsUsed, N: len(est) - from}
		if s.N > 0 {
			s.MdAPE, s.Bias = pairErrors(est[from:], price[from:])
			s.Within90 = 100 * (out.Coverage[90] - before) / float64(s.N)
		}
		out.Splits = append(out.Splits, s)
	}
	out.N = len(est)
	if out.N == 0 {
		return out, errors.New("back-test: no sale after the first cut")
	}
	for l := range out.Coverage {
		out.Coverage[l] *= 100 / float64(out.N)
	}
	out.MdAPE, out.Bias = pairErrors(est, price)
	if out.Ratios, err = RatioStudy(est, price); err != nil {
		return out, err
	}
	out.COD, out.PRD, out.PRB = out.Ratios.COD, out.Ratios.PRD, out.Ratios.PRB
	out.Says = []say.Statement{say.That("market.ratios"), say.That("market.mistakes")}
	return out, nil
}

func pairErrors(est, price []float64) (mdape, bias float64) {
	abs, signed := make([]float64, len(est)), make([]float64, len(est))
	for i := range est {
		signed[i] = 100 * (est[i]/price[i] - 1)
		abs[i] = math.Abs(signed[i])
	}
	return middle(abs), middle(signed)
}

// cutsOf are the days at which the sales are cut, the last one included.
func cutsOf(t *table.Table, opt Options) ([]int32, error) {
	last := int32(math.MaxInt32)
	if !opt.AsOf.IsZero() {
		last = dayOf(opt.AsOf)
	}
	var days []int32
	for _, d := range t.Day {
		if d <= last {
			days = append(days, d)
		}
	}
	if len(days) < 20 {
		return nil, fmt.Errorf("back-test: %d sales are too few. Give 20 or more", len(days))
	}
	sortDays(days)
	var cuts []int32
	start := len(days) * backtestFirst / backtestParts
	months := float64(days[len(days)-1]-days[start-1]) / daysPerMonth
	splits := min(max(int(math.Round(months/backtestMonths)), leastSplits), mostSplits)
	for k := 0; k <= splits; k++ {
		at := start + (len(days)-start)*k/splits - 1
		if d := days[at]; len(cuts) == 0 || d > cuts[len(cuts)-1] {
			cuts = append(cuts, d)
		}
	}
	if len(cuts) < 2 {
		return nil, errors.New("back-test: the later half of the sales are all of one day. Give sales spread over time")
	}
	return cuts, nil
}

// foretell values the sales of (from, to] and counts how many intervals hold the
// price.
func (m *Model) foretell(t *table.Table, opt Options, from, to int32, est, price []float64,
	cover map[int]float64) ([]float64, []float64, error) {
	for i, d := range t.Day {
		if d <= from || d > to {
			continue
		}
		p, ok := converted(t, i, opt, m.currency)
		if !ok {
			continue
		}
		v, err := m.Predict(subjectAt(t, i), table.DayTime(d), "")
		if err != nil {
			return nil, nil, err
		}
		est, price = append(est, v.Median), append(price, p)
		for l, in := range v.Interval {
			if p >= in[0] && p <= in[1] {
				cover[l]++
			}
		}
	}
	return est, price, nil
}
