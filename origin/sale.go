package origin

import (
	"cmp"
	"math"
	"slices"
)

// Papers and receipt of one sale are one event. What is taken for granted of papers
// that were written after the first sale; common practice, no published source.
const (
	// oneSale is the share of later papers that were written within oneSaleMonths of
	// the first sale, as part of it; the others came laterPapers months later on average.
	oneSale       = 0.8
	oneSaleMonths = 2
	laterPapers   = 60
)

// saleGroup is one factor for all papers of the watch. The earliest paper that is right
// dates the first sale; what was written later says nothing more about the month.
func saleGroup(papers []Papers, g grid) group {
	order := make([]int, len(papers))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { // the same whatever their order in the file
		x, y := papers[a], papers[b]
		return cmp.Or(cmp.Compare(x.Last, y.Last), cmp.Compare(x.First, y.First),
			cmp.Compare(x.LagMonths, y.LagMonths), cmp.Compare(x.OutlierShare, y.OutlierShare))
	})
	on := make([]dated, len(papers))
	for k, i := range order {
		on[k] = papers[i].dated(g)
	}
	out := group{like: sale(on, nil, g)}
	out.items = make([]item, len(papers))
	for k, i := range order {
		d := on[k]
		it := item{id: papers[i].ID, kind: KindPapers, alone: d.likelihood(g),
			surprise: d.surprise}
		if len(on) > 1 {
			it.without = sale(append(append([]dated(nil), on[:k]...), on[k+1:]...), nil, g)
		}
		it.astray = sale(on, &k, g)
		out.items[i] = it
	}
	return out
}

// sale is the likelihood of papers in order of their dates; where wrong is given, that
// of all papers with that one saying nothing.
func sale(on []dated, wrong *int, g grid) []float64 {
	out := make([]float64, g.n)
	for i := range out {
		out[i] = 1
	}
	for k := len(on) - 1; k >= 0; k-- { // what follows if all papers up to k say nothing
		after := 1.0
		for j := k + 1; j < len(on); j++ {
			after *= written(on[j], on[k], wrong != nil && *wrong == j)
		}
		right := on[k].likelihood(g)
		for i := range out {
			right[i] -= on[k].stray()
			if wrong != nil && *wrong == k {
				right[i] = 0
			}
			out[i] = math.Max(0, right[i])*after + on[k].stray()*out[i]
		}
	}
	return out
}

// written is the probability of the period of a paper, if an earlier one dates the first
// sale, or if the paper says nothing.
func written(later, first dated, stray bool) float64 {
	if stray {
		return later.stray()
	}
	if later.eps >= 1 {
		return later.stray()
	}
	near := 0.0
	if gap := later.from - first.to; gap < oneSaleMonths {
		near = math.Min(1, (later.to-later.from)/(oneSaleMonths+later.to-later.from))
	}
	d := dated{from: later.from - first.from, to: later.to - first.from, lag: laterPapers}
	far := math.Max(0, d.below(d.to, 0)-d.below(d.from, 0))
	return (1-later.eps)*(oneSale*near+(1-oneSale)*far) + later.stray()
}
