package deal

import (
	"math"
	"slices"
)

// searchDraws are enough to choose an ask by: all asks share them.
const searchDraws = 1000

// month is the step in which a watch unsold is thought over.
const month = 30

// chooser looks for the ask that earns the most for the money and the time it binds.
type chooser struct {
	in    Input
	offer *offer // a sample, not yet on sale
	asks  []float64
	now   int // index of the present ask; −1 where there is none
}

// askedAt is the list of asks, in currency, with the present one among them.
func (in Input) askedAt() (asks []float64, now int) {
	l := in.Listing
	if asks = l.Asks; len(asks) == 0 {
		asks = asksAround(in.medianValue())
	}
	if l.CurrentAsk == 0 {
		return asks, -1
	}
	asks = slices.Clone(asks)
	at, _ := slices.BinarySearch(asks, l.CurrentAsk*(1-sameAsk))
	if at < len(asks) && asks[at] <= l.CurrentAsk*(1+sameAsk) {
		asks[at] = l.CurrentAsk
		return asks, at
	}
	return slices.Insert(asks, at, l.CurrentAsk), at
}

// sameAsk is the share by which two asks may differ and be the same.
const sameAsk = 1e-6

func asksAround(value float64) []float64 {
	var out []float64
	for share := 0.75; share < 1.501; share += 0.025 {
		out = append(out, share*value)
	}
	return out
}

// earning gives what a price brings for the money and the days it binds, up to what all
// asks have in common. Tax is counted as on one more unit of price, so that the ask does
// not depend on what was paid.
func (in Input) earning() func(price, fees, days float64) float64 {
	keep, daily := 1-in.Tax.inside(), in.wanted()*in.bound()/daysPerYear
	return func(price, fees, days float64) float64 { return keep*price - fees - daily*days }
}

// score is what an ask is expected to earn; weights of draws may be nil.
func (c *chooser) score(o *offer, ask float64, weights []float64) float64 {
	a, leave, earned := o.asking(ask/o.unit), c.in.parting(), c.in.earning()
	sum, all := 0.0, 0.0
	for i := range o.value {
		w := 1.0
		if weights != nil {
			w = weights[i]
		}
		f := o.fate(i, &a)
		price := f.price * o.unit
		sum += w * earned(price, leave.costs(price, 1, f.givenUp), f.leaves)
		all += w
	}
	return sum / math.Max(all, math.SmallestNonzeroFloat64)
}

// best is the index of the ask to choose for a watch that has been on offer for some
// days: the lowest of those of its months, since nobody raises the price of a watch that
// did not sell. Asks that earn nearly as much as the best count as equal: the lowest of
// them sells sooner and surer.
func (c *chooser) best(days float64) int {
	fresh := c.offer.after(0)
	at := c.search(once(func(k int) float64 { return c.score(fresh, c.asks[k], nil) }))
	for m := month; float64(m) <= days; m += month {
		at = c.lower(float64(m), at)
	}
	return at
}

// lower is the ask after so many whole months unsold, from that of the month before.
func (c *chooser) lower(days float64, at int) int {
	at, _ = c.below(days, at)
	return at
}

// below is the ask to choose of those not above one, after so many days unsold, and what
// the best of them earns.
func (c *chooser) below(days float64, at int) (int, float64) {
	if c.now >= 0 {
		at = min(at, c.now)
	}
	o, w := c.seen(days)
	const tries = 3 // asks in a row that do not earn more
	best, top, worse := math.Inf(-1), at, 0
	score := once(func(k int) float64 { return c.score(o, c.asks[k], w) })
	for k := at; k >= 0 && worse < tries; k-- {
		worse++
		if s := score(k); s > best {
			best, top, worse = s, k, 0
		}
	}
	return c.equal(top, best, score), best
}

// once computes each score once.
func once(score func(int) float64) func(int) float64 {
	known := map[int]float64{}
	return func(k int) float64 {
		s, ok := known[k]
		if !ok {
			s = score(k)
			known[k] = s
		}
		return s
	}
}

// equal is the lowest ask, from the best downward, that earns nearly as much.
func (c *chooser) equal(at int, best float64, score func(int) float64) int {
	for at > 0 && score(at-1) >= best-nearBest*c.offer.unit {
		at--
	}
	return at
}

// seen is the offer after so many days unsold, with the weights of its draws.
func (c *chooser) seen(days float64) (*offer, []float64) {
	o := c.offer.after(days)
	if days == 0 || c.now < 0 {
		return o, nil
	}
	return o, o.unsold(c.asks[c.now] / o.unit)
}

// search finds the best of all asks, from coarse to fine and from the middle outward: the
// score rises to the best and falls from it, but for a ripple between neighbours.
func (c *chooser) search(score func(int) float64) int {
	n, stride := len(c.asks), 1
	const few = 12
	if n > few {
		stride = 4
	}
	at := n / 2 / stride * stride
	best := score(at)
	for middle, step := at, -stride; step <= stride; step += 2 * stride {
		for k, worse := middle+step, 0; k >= 0 && k < n && worse < 2; k += step {
			worse++
			if s := score(k); s > best {
				best, at, worse = s, k, 0
			}
		}
	}
	for middle, k := at, max(0, at-stride+1); k < min(n, middle+stride); k++ {
		if k == middle {
			continue
		}
		if s := score(k); s > best {
			best, at = s, k
		}
	}
	return c.equal(at, best, score)
}
