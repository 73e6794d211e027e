package photo

import "math"

// edgeSpot is a steep place on a short way across an expected edge.
type edgeSpot struct {
	t     float64 // px from the middle of the way
	slope float64 // rise of encoded lightness per px, signed
}

// edgesAcross lists the steep places on the way from p−half·n to p+half·n. A lens blurs
// light, not the numbers of a file, so an edge lies where linear light changes fastest.
// Which places are edges, and how strong, is judged by encoded lightness, which gives dark
// and bright parts the same say; each then climbs to the peak in linear light, refined by
// a parabola. side averages that many px to both sides along the edge.
func (l light) edgesAcross(p, n Point, half float64, side int) []edgeSpot {
	const margin = 8 // samples beyond the way, for peaks that climb
	count := int(math.Ceil(half/edgeStep))*2 + 1
	t0 := -edgeStep * float64(count/2)
	seen, lit := l.slopesAcross(p, n, t0-edgeStep*margin, count+2*margin, side)
	var out []edgeSpot
	for i := margin + 1; i < margin+count-1; i++ {
		a, b, c := math.Abs(seen[i-1]), math.Abs(seen[i]), math.Abs(seen[i+1])
		if b < a || b <= c || b < 0.004 {
			continue
		}
		e := edgeSpot{t0 + edgeStep*(climb(lit, i, seen[i] > 0)-margin), seen[i]}
		if k := len(out) - 1; k >= 0 && math.Abs(out[k].t-e.t) < 0.25 {
			if b > math.Abs(out[k].slope) {
				out[k] = e
			}
			continue
		}
		if math.Abs(e.t) <= half {
			out = append(out, e)
		}
	}
	return out
}

const (
	edgeStep  = 0.5 // px between samples across an edge
	edgeReach = 4   // samples on either side that the smoothing takes
)

// slopesAcross is the smoothed slope per px of encoded lightness and of linear light at
// count places from t0 on.
func (l light) slopesAcross(p, n Point, t0 float64, count, side int) (seen, lit []float64) {
	along := Point{-n[1], n[0]}
	size := count + 2*edgeReach
	buf := make([]float64, 2*size+2*count)
	enc, lin := buf[:size], buf[size:2*size]
	seen, lit = buf[2*size:2*size+count], buf[2*size+count:]
	k := 1 / float64(2*side+1)
	for i := range enc {
		at := p.add(n.times(t0 + edgeStep*float64(i-edgeReach)))
		for j := -side; j <= side; j++ {
			e, v := l.lightsAt(at.add(along.times(float64(j))))
			enc[i] += k * e
			lin[i] += k * v
		}
	}
	for i := range seen {
		for j, w := range slopeKernel {
			seen[i] += w * (enc[i+edgeReach+j+1] - enc[i+edgeReach-j-1])
			lit[i] += w * (lin[i+edgeReach+j+1] - lin[i+edgeReach-j-1])
		}
	}
	return seen, lit
}

// climb walks from place i uphill to the next peak of slope, and refines it.
func climb(slope []float64, i int, up bool) float64 {
	at := func(k int) float64 {
		if up {
			return slope[k]
		}
		return -slope[k]
	}
	last := len(slope) - 1
	for i > 0 && at(i-1) > at(i) {
		i--
	}
	for i < last && at(i+1) > at(i) {
		i++
	}
	if i == 0 || i == last {
		return float64(i)
	}
	a, b, c := at(i-1), at(i), at(i+1)
	if d := a - 2*b + c; d < 0 {
		return float64(i) + 0.5*(a-c)/d
	}
	return float64(i)
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
