package market

import "midcase/market/algebra"

import "math"

// updateScales takes a scoring step for the log scales: of each reference, drawn
// to their mean by the variance between them, and of each class of sale. It returns
// the largest step that matters.
func (f *fitter) updateScales() float64 {
	unit := 2 * f.dof / (f.dof + 3) // information on a log scale from one residual
	moved := f.updateClasses(unit)
	var sum, n, ss, free float64
	for v, l := range f.nodes.level {
		if l != algebra.LevelReference {
			continue
		}
		info := f.grad.scaleRefN[v] * unit
		drawn := info + 1/f.scaleVar
		step := (f.grad.scaleRef[v] - (f.logScale[v]-f.scaleMid)/f.scaleVar) / drawn
		step = math.Min(math.Max(step, -1), 1)
		f.logScale[v] += step
		f.logScale[v] = math.Min(math.Max(f.logScale[v], -7), 2)
		f.scaleN[v] = drawn
		moved = math.Max(moved, math.Abs(step)*math.Min(1, info/20))
		w := info / (1 + info*f.scaleVar)
		sum += w * f.logScale[v]
		n += w
		free += 1 - 1/(f.scaleVar*drawn)
	}
	if n > 0 {
		f.scaleMid, f.scaleMidVar = f.centreScale(unit)
	}
	for v, l := range f.nodes.level {
		if l == algebra.LevelReference {
			x := f.logScale[v] - f.scaleMid
			ss += x * x
		}
	}
	const a, s0 = 2, 0.3
	f.scaleVar = math.Min(math.Max((ss+a*s0*s0)/(free+a), 1e-4), 1)
	return moved
}

// The prior of the mean scale: log-normal, the spread of prices of like watches in
// like state. With few sales it keeps the fit from taking all that is left over for
// an effect of something; a hundred residuals outweigh it.
const (
	scaleMean = 0.12
	scaleSD   = 0.25
)

// centreScale is the mean log scale, each reference weighing by what is known of
// its own: the scored value before it was drawn to the mean; and its variance.
func (f *fitter) centreScale(unit float64) (mean, variance float64) {
	var sum, n float64
	for v, l := range f.nodes.level {
		if l != algebra.LevelReference {
			continue
		}
		info := f.grad.scaleRefN[v] * unit
		if info <= 0 {
			continue
		}
		own := f.scaleMid + (f.logScale[v]-f.scaleMid)*(info+1/f.scaleVar)/info
		w := 1 / (f.scaleVar + 1/info)
		sum += w * math.Min(math.Max(own, -8), 3)
		n += w
	}
	const prior = 1 / (scaleSD * scaleSD)
	return (sum + prior*math.Log(scaleMean)) / (n + prior), 1 / (n + prior)
}

// updateClasses moves the factors of scale by pattern and by channel; both are
// drawn to 1.
func (f *fitter) updateClasses(unit float64) float64 {
	const drawn = 1 / (0.2 * 0.2)
	w := f.channel.width()
	var moved float64
	by := func(groups int, of func(c int) int) {
		score, info := make([]float64, groups), make([]float64, groups)
		for c := range f.class {
			score[of(c)] += f.grad.scaleCls[c]
			info[of(c)] += f.grad.scaleClsN[c] * unit
		}
		// Steps are relative to the mean, which belongs to the references.
		var all, total float64
		step := make([]float64, groups)
		for g := range step {
			if info[g] > 0 {
				step[g] = score[g] / (info[g] + drawn)
				all += info[g] * step[g]
				total += info[g]
			}
		}
		for g := range step {
			if total > 0 {
				step[g] = math.Min(math.Max(step[g]-all/total, -0.3), 0.3)
			}
			if info[g] > 50 {
				moved = math.Max(moved, math.Abs(step[g]))
			}
		}
		for c := range f.class {
			if info[of(c)] > 0 {
				f.class[c] = math.Min(math.Max(f.class[c]+step[of(c)]*0.7, -1.5), 1.5)
			}
		}
	}
	by(4, func(c int) int { return c / w })
	by(w, func(c int) int { return c % w })
	copy(f.classN, f.grad.scaleClsN)
	return moved
}

// bestDoF estimates the degrees of freedom from the histogram of standardised
// residuals, a common factor of scale profiled out.
func (f *fitter) bestDoF() float64 {
	if f.dofGiven {
		return f.dof
	}
	const low, high = 0.45, 4.0 // log of 1.6 and 55
	h := newTails(&f.grad.hist)
	best := goldenMax(low, high, func(l float64) float64 {
		x := (l - math.Log(dofMean)) / dofSD
		return h.profile(math.Exp(l)) - x*x/2
	})
	return math.Exp(best)
}

// The prior of the degrees of freedom: log-normal. Prices at sale commonly have
// tails of three to eight; with few sales the heavier are the safer. Our choice.
const (
	dofMean = 4
	dofSD   = 0.5
)

// tails is the histogram of squared standardised residuals without its empty bins,
// with the scale found last, squared.
type tails struct {
	q, count []float64
	n, scale float64
}

func newTails(hist *[histBins]float64) *tails {
	h := &tails{scale: 1}
	for b, c := range hist {
		if c > 0 {
			h.q, h.count = append(h.q, histMid(b)), append(h.count, c)
			h.n += c
		}
	}
	return h
}

// profile is the log likelihood of the histogram at its best scale, which is sought
// from the last one.
func (h *tails) profile(dof float64) float64 {
	for k := 0; k < 30; k++ {
		var num float64
		for b, q := range h.q {
			num += h.count[b] * (dof + 1) * q / (dof*h.scale + q)
		}
		next := h.scale * num / h.n // EM step: mean of w·q
		if !(next > 0) {
			break
		}
		done := math.Abs(next-h.scale) < 1e-6*h.scale
		h.scale = next
		if done {
			break
		}
	}
	var ll float64
	for b, q := range h.q {
		ll += h.count[b] * math.Log1p(q/(h.scale*dof))
	}
	return h.n*(logT(dof)-math.Log(h.scale)/2) - (dof+1)/2*ll
}

// goldenMax finds the maximum of a function with one peak.
func goldenMax(a, b float64, f func(float64) float64) float64 {
	const r = 0.6180339887498949
	c, d := b-r*(b-a), a+r*(b-a)
	fc, fd := f(c), f(d)
	for b-a > 1e-4 {
		if fc >= fd {
			b, d, fd = d, c, fc
			c = b - r*(b-a)
			fc = f(c)
		} else {
			a, c, fc = c, d, fd
			d = a + r*(b-a)
			fd = f(d)
		}
	}
	return (a + b) / 2
}
