package market

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/mat"
)

// Pair is one watch sold twice: log prices at two periods.
type Pair struct {
	First, Second int // periods, Second > First
	LogRatio      float64
	Gap           float64 // time between them, in any unit; used for the weights
}

// RepeatIndex is a repeat-sales index by period, the first 100.
type RepeatIndex struct {
	Index  []float64
	SE     []float64 // of the log index
	LogRSS float64
}

// RepeatSalesIndex estimates an index from pairs over periods 0…periods−1 by least
// squares on −1/+1 (Bailey, Muth and Nourse 1963). With weighted it follows with
// Case and Shiller's (1987) second and third stage: squared residuals on the gap,
// then weighted least squares. Periods without a link to the first are NaN. The
// pairs are not changed.
func RepeatSalesIndex(pairs []Pair, periods int, weighted bool) (RepeatIndex, error) {
	if len(pairs) == 0 {
		return RepeatIndex{}, errors.New("repeat sales: no watch sold twice")
	}
	for i, p := range pairs {
		if p.First < 0 || p.Second >= periods || p.First >= p.Second {
			return RepeatIndex{}, fmt.Errorf("repeat sales: pair %d goes from period %d to %d; want 0 ≤ first < second < %d", i, p.First, p.Second, periods)
		}
	}
	w := make([]float64, len(pairs))
	for i := range w {
		w[i] = 1
	}
	b, se, res, err := repeatFit(pairs, periods, w)
	if err != nil {
		return RepeatIndex{}, err
	}
	if weighted && len(pairs) > periods+2 {
		gap, sq := make([]float64, len(pairs)), make([]float64, len(pairs))
		var mg, ms float64
		for i, p := range pairs {
			gap[i], sq[i] = p.Gap, res[i]*res[i]
			mg += gap[i] / float64(len(pairs))
			ms += sq[i] / float64(len(pairs))
		}
		d := math.Max(0, slopeOf(gap, sq))
		for i := range w {
			// The fitted line is kept above a tenth of the mean, since it may cross zero.
			w[i] = 1 / math.Max(ms+d*(gap[i]-mg), ms/10+1e-12)
		}
		if b, se, res, err = repeatFit(pairs, periods, w); err != nil {
			return RepeatIndex{}, err
		}
	}
	out := RepeatIndex{Index: make([]float64, periods), SE: se}
	for t := range out.Index {
		out.Index[t] = 100 * math.Exp(b[t])
	}
	for _, r := range res {
		out.LogRSS += r * r
	}
	return out, nil
}

// repeatFit solves the weighted normal equations over the periods linked to the
// first.
func repeatFit(pairs []Pair, periods int, w []float64) (b, se, res []float64, err error) {
	linked := linkedPeriods(pairs, periods)
	at, p := make([]int, periods), 0
	for t := range at {
		at[t] = -1
		if t > 0 && linked[t] {
			at[t] = p
			p++
		}
	}
	if p == 0 {
		return nil, nil, nil, errors.New("repeat sales: no pair starts in the first period or is linked to it")
	}
	a, r := mat.NewSymDense(p, nil), mat.NewVecDense(p, nil)
	for i, x := range pairs {
		f, s := at[x.First], at[x.Second]
		if !linked[x.First] {
			continue
		}
		put := func(k int, sign float64) {
			if k >= 0 {
				a.SetSym(k, k, a.At(k, k)+w[i])
				r.SetVec(k, r.AtVec(k)+sign*w[i]*x.LogRatio)
			}
		}
		put(f, -1)
		put(s, 1)
		if f >= 0 && s >= 0 {
			a.SetSym(f, s, a.At(f, s)-w[i])
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(a) {
		return nil, nil, nil, errors.New("repeat sales: the pairs do not determine the index")
	}
	var x mat.VecDense
	if err := chol.SolveVecTo(&x, r); err != nil {
		return nil, nil, nil, fmt.Errorf("repeat sales: %w", err)
	}
	var inv mat.SymDense
	if err := chol.InverseTo(&inv); err != nil {
		return nil, nil, nil, fmt.Errorf("repeat sales: %w", err)
	}
	b, se = make([]float64, periods), make([]float64, periods)
	for t := range b {
		switch {
		case t == 0:
		case at[t] < 0:
			b[t], se[t] = math.NaN(), math.NaN()
		default:
			b[t] = x.AtVec(at[t])
		}
	}
	var rss, n float64
	res = make([]float64, len(pairs))
	for i, y := range pairs {
		if linked[y.First] {
			res[i] = y.LogRatio - b[y.Second] + b[y.First]
			rss += w[i] * res[i] * res[i]
			n++
		}
	}
	s2 := rss / math.Max(1, n-float64(p))
	for t := range b {
		if at[t] >= 0 {
			se[t] = math.Sqrt(s2 * inv.At(at[t], at[t]))
		}
	}
	return b, se, res, nil
}

func linkedPeriods(pairs []Pair, periods int) []bool {
	linked := make([]bool, periods)
	linked[0] = true
	for changed := true; changed; {
		changed = false
		for _, p := range pairs {
			if linked[p.First] != linked[p.Second] {
				linked[p.First], linked[p.Second], changed = true, true, true
			}
		}
	}
	return linked
}

// RepeatSales is the repeat-sales index of the watches that sold more than once,
// known by maker, reference and serial: a cross-check of Model.Index. A watch whose
// condition or originality differs by more than a grade or a tenth between the
// sales was worked on and is no pair; nor is one sold on another venue or basis, or
// whose price moved by more than a factor of five.
func RepeatSales(t *Table, opt Options) ([]IndexPoint, int, error) {
	to := opt.Currency
	if to == "" {
		to = t.commonCurrency()
	}
	rows, _ := t.usable(opt, to)
	byWatch := map[string][]prepared{}
	for _, r := range rows {
		if s := t.serial.at(int(r.row)); s != "" {
			k := fold(t.maker.at(int(r.row))) + "\x1f" + fold(t.reference.at(int(r.row))) + "\x1f" + fold(s)
			byWatch[k] = append(byWatch[k], r)
		}
	}
	type dated struct {
		q1, q2 int
		p      Pair
	}
	var all []dated
	low, high := math.MaxInt, math.MinInt
	for _, sales := range byWatch {
		sort.Slice(sales, func(i, j int) bool {
			a, b := sales[i].row, sales[j].row
			return t.day[a] < t.day[b] || (t.day[a] == t.day[b] && t.id[a] < t.id[b])
		})
		for i := 1; i < len(sales); i++ {
			a, b := int(sales[i-1].row), int(sales[i].row)
			q1, q2 := quarterOf(t.day[a]), quarterOf(t.day[b])
			d := sales[i].y - sales[i-1].y
			if q1 == q2 || !t.sameState(a, b) || math.Abs(d) > math.Log(5) {
				continue
			}
			all = append(all, dated{q1, q2, Pair{LogRatio: d, Gap: float64(q2 - q1)}})
			low, high = min(low, q1), max(high, q2)
		}
	}
	if len(all) == 0 {
		return nil, 0, errors.New("repeat sales: no watch with a serial sold twice in different quarters")
	}
	pairs := make([]Pair, len(all))
	for i, d := range all {
		d.p.First, d.p.Second = d.q1-low, d.q2-low
		pairs[i] = d.p
	}
	slices.SortFunc(pairs, comparePairs)
	x, err := RepeatSalesIndex(pairs, high-low+1, true)
	if err != nil {
		return nil, len(pairs), err
	}
	var out []IndexPoint
	for k, v := range x.Index {
		if v != v {
			continue
		}
		out = append(out, IndexPoint{Quarter: quarterText(low + k), Index: v, Interval: [2]float64{v * math.Exp(-1.645*x.SE[k]), v * math.Exp(1.645*x.SE[k])}})
	}
	return out, len(pairs), nil
}

// comparePairs orders pairs by content, so that sums do not depend on how the rows
// came.
func comparePairs(a, b Pair) int {
	return cmp.Or(cmp.Compare(a.First, b.First), cmp.Compare(a.Second, b.Second), cmp.Compare(a.LogRatio, b.LogRatio))
}

// sameState reports whether nothing that is recorded changed between two sales.
func (t *Table) sameState(a, b int) bool {
	if math.Abs(float64(t.cond[a]-t.cond[b])) > 1 || math.Abs(float64(t.orig[a]-t.orig[b])) > 0.1 {
		return false
	}
	same := func(w *words) bool { return fold(w.at(a)) == fold(w.at(b)) }
	return same(&t.venue) && same(&t.basis) && same(&t.completeness) && same(&t.dial)
}
