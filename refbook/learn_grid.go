package refbook

import (
	"fmt"
	"math"
	"sort"

	"midcase/edtf"
)

// transitionFit is the posterior of one transition over boundary × overlap × odd
// share, with what is needed to judge an example by it.
type transitionFit struct {
	from       edtf.Month
	sds        []float64   // standard deviations of the ogive, months
	p          [][]float64 // [boundary][sd], the odd share summed out
	oddShare   float64     // posterior mean
	cannotTell string
}

// overlapSDs are the ogive widths of the grid, in months: about equal steps of the
// logarithm, from a clean cut to a change over six years.
func overlapSDs() []float64 { return []float64{0.25, 0.75, 1.5, 2.5, 4, 6, 9, 13, 19} }

// oddShares are the shares of examples that do not belong, on the grid.
func oddShares() []float64 { return []float64{0.005, 0.015, 0.03, 0.05, 0.08, 0.12, 0.18, 0.27} }

// point is an example as one boundary sees it: when it was made, and how often its variant is seen before the boundary,
// after it, and among odd examples.
type point struct {
	month, sd          float64
	before, after, odd float64
}

// surely mixes in the chance that the variant was named wrong, which shows any alike.
func (p point) surely(sure float64) point {
	if sure > 0 {
		p.before, p.after = sure*p.before+(1-sure)*p.odd, sure*p.after+(1-sure)*p.odd
	}
	return p
}

// fitTransition computes the posterior for the boundary between the variants up to
// place k and those after it. Each example counts as earlier or later, which loses
// a little of what it says and keeps the posterior exact.
func fitTransition(examples []Example, place map[string]int, k, variants int, from, to edtf.Month,
	o LearnOptions) *transitionFit {
	// An odd example shows any variant alike, so it shows a later one this often.
	oddLater := float64(variants-1-k) / float64(variants)
	points := make([]point, len(examples))
	count := 0
	for i, e := range examples {
		p := point{month: float64(e.Month), sd: e.SDMonths, before: 1, odd: 1 - oddLater}
		if place[fold(e.Variant)] > k {
			p.before, p.after, p.odd = 0, 1, oddLater
			count++
		}
		points[i] = p.surely(e.Sure)
	}
	switch count {
	case len(examples):
		return &transitionFit{from: from, sds: overlapSDs(), cannotTell: "no example of an earlier variant"}
	case 0:
		return &transitionFit{from: from, sds: overlapSDs(), cannotTell: "no example of a later variant"}
	}
	return fitBoundary(points, from, to, o)
}

// farBelow is from how many units of the logarithm below the best a boundary month is left out: its weight is less
// than that of rounding.
const farBelow = 40

// fitBoundary is the posterior of one boundary over its months, overlaps and odd shares.
func fitBoundary(points []point, from, to edtf.Month, o LearnOptions) *transitionFit {
	f := &transitionFit{from: from, sds: overlapSDs()}
	shares := oddShares()
	logPrior := logPriors(f.sds, shares, o)
	months := int(to-from) + 1
	seen, odd := make([]float64, len(points)), make([]float64, len(points))
	for i, p := range points {
		odd[i] = p.odd
	}
	// A first pass at a middling overlap and odd share finds the months that count.
	rough, top := make([]float64, months), math.Inf(-1)
	for b := range rough {
		seenAt(seen, points, float64(int(from)+b), f.sds[4])
		rough[b] = logLikelihood(seen, odd, shares[4])
		top = math.Max(top, rough[b])
	}
	logs := make([][][]float64, months)
	best := math.Inf(-1)
	for b := range logs {
		logs[b] = make([][]float64, len(f.sds))
		if rough[b] < top-farBelow {
			continue
		}
		for s, sd := range f.sds {
			seenAt(seen, points, float64(int(from)+b), sd)
			row := make([]float64, len(shares))
			for c, share := range shares {
				row[c] = logPrior[s][c] + logLikelihood(seen, odd, share)
				best = math.Max(best, row[c])
			}
			logs[b][s] = row
		}
	}
	f.normalise(logs, shares, best)
	return f
}

// seenAt is how often each example's variant is seen among factory parts of its month, with a boundary and an overlap:
// a normal ogive around the boundary, averaged over the normal uncertainty of the month, which is a normal ogive again.
func seenAt(seen []float64, points []point, boundary, sd float64) {
	const monthVariance = 1.0 / 12 // a day within the month is not known
	for i, p := range points {
		later := ogive((p.month + 0.5 - boundary) / math.Sqrt(sd*sd+p.sd*p.sd+monthVariance))
		seen[i] = p.before + later*(p.after-p.before)
	}
}

// ogiveSteps and ogiveEnd make the table of the normal distribution: linear between steps of 1/512 it is good to
// 10⁻⁶, which is far below what a count of examples tells.
const (
	ogiveSteps = 512
	ogiveEnd   = 8
)

var ogiveTable = func() []float64 {
	out := make([]float64, 2*ogiveEnd*ogiveSteps+2)
	for i := range out {
		out[i] = normalCDF(float64(i)/ogiveSteps - ogiveEnd)
	}
	return out
}()

// ogive is the normal distribution by table.
func ogive(z float64) float64 {
	switch {
	case z <= -ogiveEnd:
		return 0
	case z >= ogiveEnd:
		return 1
	}
	at := (z + ogiveEnd) * ogiveSteps
	i := int(at)
	return ogiveTable[i] + (at-float64(i))*(ogiveTable[i+1]-ogiveTable[i])
}

// laterShare is the expected share of later variants in the month of an example.
func laterShare(e Example, boundary, sd float64) float64 {
	const monthVariance = 1.0 / 12
	return normalCDF((float64(e.Month) + 0.5 - boundary) / math.Sqrt(sd*sd+e.SDMonths*e.SDMonths+monthVariance))
}

func normalCDF(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }

// logLikelihood sums log[(1−c)·seen + c·odd] over the examples. It multiplies first
// and takes few logarithms, since those cost the most.
func logLikelihood(seen, odd []float64, c float64) float64 {
	sum, product := 0.0, 1.0
	for i := range seen {
		product *= (1-c)*seen[i] + c*odd[i]
		if product < 1e-200 {
			sum += math.Log(product)
			product = 1
		}
	}
	return sum + math.Log(product)
}

// logPriors is the prior over overlap and odd share: an exponential over the overlap
// and a Beta(1, 1/mean − 1) over the odd share, each point weighed by the room
// around it. The boundary is equally likely in every month.
func logPriors(sds, shares []float64, o LearnOptions) [][]float64 {
	out := make([][]float64, len(sds))
	mean := o.MeanOverlapMonths / overlapPerSD
	beta := 1/o.MeanOddShare - 1
	for s := range sds {
		out[s] = make([]float64, len(shares))
		for c := range shares {
			out[s][c] = -sds[s]/mean + math.Log(room(sds, s)) + (beta-1)*math.Log(1-shares[c]) +
				math.Log(room(shares, c))
		}
	}
	return out
}

// room is the part of the line that the i-th point of a rising grid stands for.
func room(grid []float64, i int) float64 {
	low, high := 0.0, grid[i]
	if i > 0 {
		low = (grid[i-1] + grid[i]) / 2
	}
	if i+1 < len(grid) {
		high = (grid[i] + grid[i+1]) / 2
	} else if i > 0 {
		high = grid[i] + (grid[i]-grid[i-1])/2
	}
	return high - low
}

func (f *transitionFit) normalise(logs [][][]float64, shares []float64, best float64) {
	var total, odd float64
	f.p = make([][]float64, len(logs))
	for b := range logs {
		f.p[b] = make([]float64, len(logs[b]))
		for s := range logs[b] {
			for c, l := range logs[b][s] {
				w := math.Exp(l - best)
				f.p[b][s] += w
				total += w
				odd += w * shares[c]
			}
		}
	}
	for b := range f.p {
		for s := range f.p[b] {
			f.p[b][s] /= total
		}
	}
	f.oddShare = odd / total
}

func (f *transitionFit) summary(level float64) Transition {
	t := Transition{CannotTell: f.cannotTell}
	if f.cannotTell != "" {
		return t
	}
	months := make([]float64, len(f.p))
	widths := make([]float64, len(f.sds))
	for b := range f.p {
		for s, p := range f.p[b] {
			months[b] += p
			widths[s] += p
		}
		t.Posterior = append(t.Posterior, BoundaryChance{f.from + edtf.Month(b), months[b]})
	}
	tail := (1 - level) / 2
	at := func(q float64) edtf.Month { return f.from + edtf.Month(quantile(months, q)) }
	t.Month = at(0.5)
	t.MonthInterval = [2]edtf.Month{at(tail), at(1 - tail)}
	width := func(q float64) float64 { return f.sds[quantile(widths, q)] * overlapPerSD }
	t.OverlapMonths = width(0.5)
	t.OverlapInterval = [2]float64{width(tail), width(1 - tail)}
	t.OddShare = f.oddShare
	return t
}

// quantile is the first place at which the running sum of p reaches q.
func quantile(p []float64, q float64) int {
	sum := 0.0
	for i, x := range p {
		sum += x
		if sum >= q {
			return i
		}
	}
	return len(p) - 1
}

// later is the posterior mean of laterShare.
func (f *transitionFit) later(e Example) float64 {
	sum := 0.0
	for b := range f.p {
		for s, p := range f.p[b] {
			if p > 1e-9 {
				sum += p * laterShare(e, float64(int(f.from)+b), f.sds[s])
			}
		}
	}
	return sum
}

// misfits lists the examples that are more likely odd than not, the worst first.
func misfits(examples []Example, place map[string]int, order []string, fits []*transitionFit) []Misfit {
	var out []Misfit
	for _, e := range examples {
		k := place[fold(e.Variant)]
		share, odd, edges := 1.0, 0.0, 0
		if k > 0 && fits[k-1].cannotTell == "" {
			share, odd, edges = fits[k-1].later(e), odd+fits[k-1].oddShare, edges+1
		}
		if k < len(fits) && fits[k].cannotTell == "" {
			share, odd, edges = share-fits[k].later(e), odd+fits[k].oddShare, edges+1
		}
		if edges == 0 {
			continue
		}
		c := odd / float64(edges)
		q := c / float64(len(order))
		p := q / (q + (1-c)*math.Max(share, 0))
		if p >= misfitAt {
			out = append(out, Misfit{e, p, why(e, share)})
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].P > out[j].P })
	return out
}

func why(e Example, share float64) string {
	percent := "under 1 %"
	if share >= 0.01 {
		percent = fmt.Sprintf("about %.0f %%", 100*share)
	}
	return fmt.Sprintf("about %s the factory fitted %s to %s of watches", e.Month, e.Variant, percent)
}
