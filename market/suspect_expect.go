package market

import (
	"math"
	"strconv"
	"strings"

	"midcase/market/algebra"
	"midcase/money"
)

// expected is what the other sales say of one: over a grid of what its reference may be
// worth, their weight, and how far the price lies above.
type expected struct {
	weight, above   []float64
	u               float64 // above the middle
	scale, variance float64
}

// density of the price less a shift of its logarithm.
func (x *expected) density(d *doubts, shift float64) float64 {
	var sum float64
	for k, w := range x.weight {
		if w > 1e-12 {
			sum += w * d.density(x.above[k]-shift, x.scale)
		}
	}
	return sum
}

// References and variants with more sales are moved so little by one that the fit itself
// will do; a variant with fewer than ownSales says less than its reference.
const exactSales, ownSales, expectSteps = 60, 5, 240

// expect says what is expected of a sale without it: from the other sales of its variant,
// or of its reference, and what the rest says of that.
func (d *doubts) expect(i int) expected {
	m := d.m
	o := &m.obs[i]
	node := o.leaf
	if m.nodes.count[node] < ownSales {
		node = m.sys.Parent[node]
	}
	x := expected{scale: d.scaleWithout(i)}
	if m.nodes.count[node] > exactSales {
		x.variance = m.sys.Variance(m.sys.PathOf(o.leaf), m.columns(o))
		x.u, x.weight, x.above = d.u[i], []float64{1}, []float64{d.u[i]}
		x.scale = math.Hypot(x.scale, math.Sqrt(x.variance))
		return x
	}
	from, to := m.start[node], m.start[node+1]
	if node != o.leaf {
		x.scale = math.Hypot(x.scale, 1/math.Sqrt(m.sys.Link[algebra.LevelVariant]))
		from, to = m.start[m.child[node]], m.start[m.child[node+1]]
	}
	mid, sd := d.without(node)
	var at []float64 // what each sale says that the node is worth
	low, high := mid-4*sd, mid+4*sd
	for j := from; j < to; j++ {
		v := d.u[j] + m.theta[m.obs[j].leaf]
		at = append(at, v)
		if int(j) != i {
			low, high = math.Min(low, v-0.5), math.Max(high, v+0.5)
		}
	}
	step, best := (high-low)/expectSteps, math.Inf(-1)
	own := at[int32(i)-from]
	share := math.Max(m.wild, leastMistakes)
	for k := 0; k <= expectSteps; k++ {
		theta := low + float64(k)*step
		l := -(theta - mid) * (theta - mid) / (2 * sd * sd)
		for j, v := range at {
			if from+int32(j) != int32(i) {
				l += math.Log((1-share)*d.density(v-theta, math.Hypot(m.scaleOf(&m.obs[from+int32(j)]), step/2)) +
					share*wildDensity)
			}
		}
		x.weight, x.above = append(x.weight, l), append(x.above, own-theta)
		best = math.Max(best, l)
	}
	x.settle(best)
	x.scale = math.Hypot(x.scale, step/2)
	return x
}

// settle turns log weights, less the best of which they are taken, into weights, with the
// middle and the variance.
func (x *expected) settle(best float64) {
	var sum, mean, square, half float64
	for k, l := range x.weight {
		w := math.Exp(l - best)
		x.weight[k] = w
		sum, mean, square = sum+w, mean+w*x.above[k], square+w*x.above[k]*x.above[k]
	}
	for k := range x.weight {
		x.weight[k] /= sum
		if half < 0.5 {
			x.u = x.above[k]
		}
		half += x.weight[k]
	}
	mean /= sum
	x.variance = math.Max(0, square/sum-mean*mean)
}

// scaleWithout is the scale of a sale's errors, less what the sale itself did to it.
func (d *doubts) scaleWithout(i int) float64 {
	m := d.m
	o := &m.obs[i]
	ref, s := m.sys.Parent[o.leaf], m.scaleOf(o)
	zz := d.u[i] * d.u[i] / (s * s)
	fair := (1 - m.wild) * d.density(d.u[i], s)
	fair /= fair + m.wild*wildDensity
	score := fair * ((m.dof+1)*zz/(m.dof+zz) - 1)
	return s * math.Exp(-math.Max(0, score)/math.Max(m.scaleN[ref], 1))
}

// without is what all but its own sales say that a node is worth: its parent less what
// the node itself told it.
func (d *doubts) without(node int32) (mid, sd float64) {
	m := d.m
	parent, link := m.sys.Parent[node], m.sys.Link[m.sys.Level[node]]
	own := m.sys.D[node] - link
	told := link * own / m.sys.D[node] // precision of what the node tells its parent
	precision := 1/m.sys.PathOf(parent).Noise - told
	if own <= 0 || precision <= 1e-9 {
		return m.theta[parent], math.Sqrt(1/link + 1/math.Max(precision, 1e-2))
	}
	alone := (m.sys.D[node]*m.theta[node] - link*m.theta[parent]) / own
	mid = ((precision+told)*m.theta[parent] - told*alone) / precision
	return mid, math.Sqrt(1/link + 1/precision)
}

// otherCurrencies are the shifts of the log price that each other currency would explain:
// the price noted was in it.
func (d *doubts) otherCurrencies(i int) map[string]float64 {
	if d.rates == nil {
		return nil
	}
	t, row := d.m.table, int(d.m.row[i])
	noted, err := d.rates.factor(money.Currency(t.Currency.At(row)), d.m.currency, t.Day[row])
	if err != nil {
		return nil
	}
	out := map[string]float64{}
	for _, c := range d.rates.currencies() {
		f, err := d.rates.factor(c, d.m.currency, t.Day[row])
		if err == nil && string(c) != t.Currency.At(row) {
			out[string(c)] = math.Log(noted / f)
		}
	}
	return out
}

// cutPoint splits a decimal at its point.
func cutPoint(s string) (whole, fraction string, ok bool) { return strings.Cut(s, ".") }

func figureOf(s string) float64 {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return 0
	}
	return v
}
