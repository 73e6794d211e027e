package refbook

import (
	"cmp"
	"fmt"
	"math"
	"math/bits"
	"slices"
	"strings"
)

// Stretch is a time in which the same variants were fitted, side by side where there is more than one.
type Stretch struct {
	Variants []string
	Examples int
}

// Stretches are the stretches of time of one slot, from the first to the last: variants that were supplied side by
// side, one that came back, several changes at once.
type Stretches struct {
	Learned
	All []Stretch
	// Plain says that each variant has one stretch and shares it with none: a row of steps, which Learn fits better.
	Plain bool
}

// mostVariants bounds the variants of one slot that stretches are looked for among; more make too many sets of them.
const mostVariants = 8

// LearnStretches finds in which stretches of time which variants of one slot were fitted, from examples seen. Variants
// need not follow one another: they may be fitted side by side, and come back. The stretches are those of the highest
// posterior (all sets of variants, all cuts between examples, by dynamic programming); the month of each change between
// two is then the posterior on the grid of Learn, the others held fixed. See docs/methods/windows.md.
func LearnStretches(examples []Example, o LearnOptions) (Stretches, error) {
	o = o.withDefaults()
	if err := checkExamples(examples, o); err != nil {
		return Stretches{}, err
	}
	w := newStretching(examples, o)
	if len(w.names) > mostVariants {
		return Stretches{}, fmt.Errorf("%d variants of one slot: learn at most %d together", len(w.names), mostVariants)
	}
	cuts, sets := w.best()
	out := Stretches{Learned: Learned{Slot: examples[0].Slot, Level: o.Level, Examples: len(examples)}}
	for k, set := range sets {
		out.All = append(out.All, Stretch{w.namesOf(set), cuts[k+1] - cuts[k]})
	}
	out.Plain = plain(sets)
	from, to := searchSpan(examples, o.Span)
	for k := 0; k+1 < len(sets); k++ {
		points := w.points(cuts, sets, k)
		low, high := from, to
		if k > 0 {
			low = w.sorted[cuts[k]].Month
		}
		if k+2 < len(sets) {
			high = w.sorted[cuts[k+2]-1].Month + 1
		}
		t := fitBoundary(points, min(low, high-1), high, o).summary(o.Level)
		t.From = strings.Join(w.namesOf(sets[k]&^sets[k+1]), ", ")
		t.To = strings.Join(w.namesOf(sets[k+1]&^sets[k]), ", ")
		out.Transitions = append(out.Transitions, t)
	}
	out.Misfits = w.misfits(cuts, sets)
	return out, nil
}

// plain reports whether no variant shares a stretch or has two.
func plain(sets []uint) bool {
	var before uint
	for _, s := range sets {
		if bits.OnesCount(s) > 1 || before&s != 0 {
			return false
		}
		before |= s
	}
	return true
}

// stretching is the work of LearnStretches: examples by month, with counts of each variant up to each cut.
type stretching struct {
	sorted []Example
	names  []string
	at     []int // which name an example has
	cuts   []int // places between examples at which a stretch may end, 0 and all among them
	counts [][]int
	odd    float64 // share of odd examples held to while stretches are looked for
	sets   []uint

	logFitted, logOdd float64 // of one example, by odd
}

// mostCuts bounds the places that are tried; with more examples than that several lie between two of them.
const mostCuts = 64

// leastOdd is the share of odd examples that is counted with at least.
const leastOdd = 0.08

// mostBeside is how many variants are looked for side by side.
const mostBeside = 4

func newStretching(examples []Example, o LearnOptions) *stretching {
	w := &stretching{sorted: slices.Clone(examples), odd: max(o.MeanOddShare, leastOdd)}
	slices.SortStableFunc(w.sorted, func(a, b Example) int {
		return cmp.Or(cmp.Compare(a.Month, b.Month), strings.Compare(a.ID, b.ID))
	})
	place := map[string]int{}
	for _, e := range w.sorted {
		if _, ok := place[fold(e.Variant)]; !ok {
			place[fold(e.Variant)] = len(w.names)
			w.names = append(w.names, e.Variant)
		}
		w.at = append(w.at, place[fold(e.Variant)])
	}
	w.logFitted, w.logOdd = math.Log(1-w.odd), math.Log(w.odd/float64(len(w.names)))
	n := len(w.sorted)
	w.cuts = []int{0}
	for i := 1; i < n; i++ {
		if w.sorted[i].Month != w.sorted[i-1].Month && i*mostCuts/n > w.cuts[len(w.cuts)-1]*mostCuts/n {
			w.cuts = append(w.cuts, i)
		}
	}
	w.cuts = append(w.cuts, n)
	running := make([]int, len(w.names))
	next := 0
	for i := 0; i <= n; i++ {
		if next < len(w.cuts) && w.cuts[next] == i {
			w.counts = append(w.counts, slices.Clone(running))
			next++
		}
		if i < n {
			running[w.at[i]]++
		}
	}
	if len(w.names) <= mostVariants {
		for s := uint(1); s < 1<<len(w.names); s++ {
			if bits.OnesCount(s) <= mostBeside {
				w.sets = append(w.sets, s)
			}
		}
	}
	return w
}

// evenly is the weight of the Dirichlet prior on the shares of variants that were fitted side by side: each of them is
// common, so that a few swapped parts make no variant of the stretch.
const evenly = 3

// besideCosts is what each further variant of a stretch costs, in units of the logarithm.
const besideCosts = 2

// likelihood is the log probability of what lies between two cuts, if a set of variants was fitted: their shares
// summed out, every other example odd.
func (w *stretching) likelihood(from, to int, set uint) float64 {
	sum, inside, all := 0.0, 0, 0
	for v := range w.names {
		n := w.counts[to][v] - w.counts[from][v]
		all += n
		if set>>v&1 == 1 {
			inside += n
			sum += logGamma(n+evenly) - logGamma(evenly)
		}
	}
	m := bits.OnesCount(set)
	sum += logGamma(m*evenly) - logGamma(inside+m*evenly) - besideCosts*float64(m-1)
	return sum + float64(inside)*w.logFitted + float64(all-inside)*w.logOdd
}

// logGamma is the logarithm of the gamma function of a whole number.
func logGamma(n int) float64 {
	if n < len(logGammas) {
		return logGammas[n]
	}
	v, _ := math.Lgamma(float64(n))
	return v
}

var logGammas = func() (out [1024]float64) {
	for n := 2; n < len(out); n++ {
		out[n] = out[n-1] + math.Log(float64(n-1))
	}
	return out
}()

// best finds the cuts and sets of the highest posterior. A change costs what it takes to say where it is and what comes
// after it.
func (w *stretching) best() (cuts []int, sets []uint) {
	type step struct {
		value     float64
		cut, from int // of the stretch before; which set it had
	}
	price := math.Log(float64(len(w.cuts))) + math.Log(float64(len(w.sets))) + 1
	table := make([][]step, len(w.cuts))
	for j := 1; j < len(w.cuts); j++ {
		table[j] = make([]step, len(w.sets))
		for s, set := range w.sets {
			bestStep := step{w.likelihood(0, j, set), 0, -1}
			for i := 1; i < j; i++ {
				gain := w.likelihood(i, j, set) - price
				if gain+table[i][0].value < bestStep.value && table[i][len(w.sets)].value+gain < bestStep.value {
					continue
				}
				for f := range w.sets {
					if v := table[i][f].value + gain; f != s && v > bestStep.value+1e-9 {
						bestStep = step{v, i, f}
					}
				}
			}
			table[j][s] = bestStep
		}
		top := step{value: math.Inf(-1)}
		for _, x := range table[j] {
			top.value = max(top.value, x.value)
		}
		table[j] = append(table[j], top) // the best of all, to pass over what cannot be better
	}
	j := len(w.cuts) - 1
	s := 0
	for k := range w.sets {
		if table[j][k].value > table[j][s].value {
			s = k
		}
	}
	cuts = []int{w.cuts[j]}
	for j > 0 {
		x := table[j][s]
		cuts, sets = append(cuts, w.cuts[x.cut]), append(sets, w.sets[s])
		j, s = x.cut, x.from
	}
	slices.Reverse(cuts)
	slices.Reverse(sets)
	return cuts, sets
}

func (w *stretching) namesOf(set uint) []string {
	var out []string
	for v, name := range w.names {
		if set>>v&1 == 1 {
			out = append(out, name)
		}
	}
	return out
}

// share is how often a variant is fitted in a stretch.
func (w *stretching) share(from, to, v int, set uint) float64 {
	if set>>v&1 == 0 {
		return 0
	}
	inside, of := 0.5, 0.0
	for i := from; i < to; i++ {
		if w.at[i] == v {
			inside++
		}
		if set>>w.at[i]&1 == 1 {
			of++
		}
	}
	return inside / (of + 0.5*float64(bits.OnesCount(set)))
}

// points are the examples of the stretches on both sides of a change.
func (w *stretching) points(cuts []int, sets []uint, k int) []point {
	var before, after []float64
	for v := range w.names {
		before = append(before, w.share(cuts[k], cuts[k+1], v, sets[k]))
		after = append(after, w.share(cuts[k+1], cuts[k+2], v, sets[k+1]))
	}
	var out []point
	for i := cuts[k]; i < cuts[k+2]; i++ {
		e := w.sorted[i]
		out = append(out, point{month: float64(e.Month), sd: e.SDMonths, before: before[w.at[i]], after: after[w.at[i]],
			odd: 1 / float64(len(w.names))}.surely(e.Sure))
	}
	return out
}

// misfits are the examples whose variant is not of their stretch, nor of the next one within two standard deviations
// of their month.
func (w *stretching) misfits(cuts []int, sets []uint) []Misfit {
	var out []Misfit
	for k, set := range sets {
		for i := cuts[k]; i < cuts[k+1]; i++ {
			near := set
			reach := 2*w.sorted[i].SDMonths + 3
			if k > 0 && float64(w.sorted[i].Month-w.sorted[cuts[k]].Month) < reach {
				near |= sets[k-1]
			}
			if k+1 < len(sets) && float64(w.sorted[cuts[k+1]-1].Month-w.sorted[i].Month) < reach {
				near |= sets[k+1]
			}
			if near>>w.at[i]&1 == 1 {
				continue
			}
			// One fitted beside the others and seen no second time would have about this share.
			k, n := float64(len(w.names)), float64(cuts[k+1]-cuts[k])
			odd, stray := w.odd/k, (1-w.odd)*0.5/(n+1)/k
			out = append(out, Misfit{Example: w.sorted[i], P: odd / (odd + stray),
				Why: "not fitted at that time by all other examples"})
		}
	}
	return out
}
