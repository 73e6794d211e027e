package photo

import "math"

// edgeSpot is a steep place on a short way across an expected edge.
type edgeSpot struct {
	t     float64 // px from the middle of the way
	slope float64 // rise of encoded lightness per px, signed
}

// edgesAcross lists the steep places on the way from p−half·n to p+half·n: the peaks of
// the slope of a Gaussian-smoothed profile, each refined by a parabola. side averages
// that many px to both sides along the edge.
func (l light) edgesAcross(p, n Point, half float64, side int) []edgeSpot {
	const step = 0.5
	const reach = 4 // samples on either side that the smoothing takes
	count := int(math.Ceil(half/step))*2 + 1
	t0 := -step * float64(count/2)
	along := Point{-n[1], n[0]}
	profile := make([]float64, count+2*reach)
	for i := range profile {
		t := t0 + step*float64(i-reach)
		for k := -side; k <= side; k++ {
			profile[i] += l.lumaAt(p.add(n.times(t)).add(along.times(float64(k))))
		}
		profile[i] /= float64(2*side + 1)
	}
	slope := make([]float64, count)
	for i := range slope {
		for k, w := range slopeKernel {
			slope[i] += w * (profile[i+reach+k+1] - profile[i+reach-k-1])
		}
	}
	var out []edgeSpot
	for i := 1; i < count-1; i++ {
		a, b, c := math.Abs(slope[i-1]), math.Abs(slope[i]), math.Abs(slope[i+1])
		if b < a || b <= c || b < 0.004 {
			continue
		}
		off := 0.0
		if d := a - 2*b + c; d < 0 {
			off = 0.5 * (a - c) / d
		}
		out = append(out, edgeSpot{t0 + step*(float64(i)+off), slope[i]})
	}
	return out
}

// slopeKernel is the derivative of a Gaussian of 1 px at distances 0.5, 1, 1.5 and
// 2 px, scaled so that a straight ramp gives its slope per px.
var slopeKernel = func() (w [4]float64) {
	sum := 0.0
	for i := range w {
		d := 0.5 * float64(i+1)
		w[i] = d * math.Exp(-d*d/2)
		sum += 2 * d * w[i]
	}
	for i := range w {
		w[i] /= sum
	}
	return w
}()

// edgeNear is where an edge lies that was picked with standard error se, along n, px,
// and the standard error of that. Each edge seen close by may be the one meant, the
// nearer and clearer the likelier, or none may; the answer is their mean.
func (l light) edgeNear(p, n Point, se float64) (t, after float64) {
	const none = 2.0   // weight of the pick itself: the edge meant may show no slope, or another may be nearer
	const found = 1.2  // px, of an edge that is seen: few pixels, and it may lean
	const clear = 0.06 // slope per px from which an edge is clear
	density := func(t, s float64) float64 { return math.Exp(-0.5*t*t/s/s) / s }
	weights, spots := []float64{none * density(0, math.Sqrt2*se)}, []edgeSpot{{}}
	for _, e := range l.edgesAcross(p, n, 3*se, 1) {
		s := math.Abs(e.slope)
		weights, spots = append(weights, s/(s+clear)*density(e.t, se)), append(spots, e)
	}
	sum := 0.0
	for i, w := range weights {
		sum += w
		t += w * spots[i].t
	}
	t /= sum
	v := 0.0
	for i, w := range weights {
		own := found
		if i == 0 {
			own = se
		}
		d := spots[i].t - t
		v += w / sum * (own*own + d*d)
	}
	return t, math.Sqrt(v)
}
