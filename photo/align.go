package photo

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// plane is a square picture of one channel; place (i, j) has unit coordinates
// (2(i+½)/side − 1, 2(j+½)/side − 1).
type plane struct {
	side int
	v    []float32
}

func newPlane(side int) plane { return plane{side, make([]float32, side*side)} }

func (p plane) at(x, y float64) float64 {
	u, v := (x+1)/2*float64(p.side)-0.5, (y+1)/2*float64(p.side)-0.5
	i, j := int(math.Floor(u)), int(math.Floor(v))
	if i < 0 || j < 0 || i >= p.side-1 || j >= p.side-1 {
		return math.NaN()
	}
	a, b := float32(u-float64(i)), float32(v-float64(j))
	q := p.v[j*p.side+i:]
	r := p.v[(j+1)*p.side+i:]
	return float64((q[0]*(1-a)+q[1]*a)*(1-b) + (r[0]*(1-a)+r[1]*a)*b)
}

func (p plane) unit(i, j int) (x, y float64) {
	return (2*float64(i)+1)/float64(p.side) - 1, (2*float64(j)+1)/float64(p.side) - 1
}

// render reads the light of a picture through a map from unit coordinates to px,
// averaging where the picture is finer than the plane.
func (l light) render(toPx Homography, side int) plane {
	out := newPlane(side)
	j := toPx.jacobian(Point{})
	fine := math.Sqrt(math.Abs(j[0]*j[3]-j[1]*j[2])) * 2 / float64(side)
	k := min(max(int(math.Ceil(fine-0.3)), 1), 4)
	for y := range side {
		for x := range side {
			s := 0.0
			for b := range k {
				for a := range k {
					u := 2*(float64(x)+(float64(a)+0.5)/float64(k))/float64(side) - 1
					v := 2*(float64(y)+(float64(b)+0.5)/float64(k))/float64(side) - 1
					s += l.lumaAt(toPx.Apply(Point{u, v}))
				}
			}
			out.v[y*side+x] = float32(s / float64(k*k))
		}
	}
	return out
}

// half averages blocks of two by two.
func (p plane) half() plane {
	out := newPlane(p.side / 2)
	for j := range out.side {
		for i := range out.side {
			k := 2*j*p.side + 2*i
			out.v[j*out.side+i] = (p.v[k] + p.v[k+1] + p.v[k+p.side] + p.v[k+p.side+1]) / 4
		}
	}
	return out
}

// normal takes the local mean out and divides by the local spread, so that light that
// falls differently does not count. least keeps the grain of bare ground small.
func (p plane) normal(window int, least float64) plane {
	sum, sq := p.sums()
	out := newPlane(p.side)
	n := p.side + 1
	for j := range p.side {
		y0, y1 := max(j-window, 0), min(j+window+1, p.side)
		for i := range p.side {
			x0, x1 := max(i-window, 0), min(i+window+1, p.side)
			c := float64((x1 - x0) * (y1 - y0))
			box := func(t []float64) float64 { return (t[y1*n+x1] - t[y0*n+x1] - t[y1*n+x0] + t[y0*n+x0]) / c }
			m := box(sum)
			s := math.Sqrt(max(0, box(sq)-m*m))
			out.v[j*p.side+i] = float32((float64(p.v[j*p.side+i]) - m) / (s + least))
		}
	}
	return out
}

// sums are summed-area tables of values and squares (Crow 1984).
func (p plane) sums() (sum, sq []float64) {
	n := p.side + 1
	sum, sq = make([]float64, n*n), make([]float64, n*n)
	for j := range p.side {
		a, b := 0.0, 0.0
		for i := range p.side {
			v := float64(p.v[j*p.side+i])
			a, b = a+v, b+v*v
			sum[(j+1)*n+i+1] = sum[j*n+i+1] + a
			sq[(j+1)*n+i+1] = sq[j*n+i+1] + b
		}
	}
	return sum, sq
}

const (
	alignReach = 0.93 // of the dial; the edge has the shadow of the bezel
	// minWidth is the residual, in local spreads, up to which a place has weight. Most of
	// a dial is bare; its small residuals must not shut out print that is still off.
	minWidth = 2
)

// align finds the homography of unit coordinates that carries the fixed plane onto the
// moving one: inverse compositional Gauss–Newton (Baker and Matthews 2004) with biweight
// weights, so that hands at another time do not pull. Both must be normalised.
func align(fixed, moving plane, h Homography, rounds int) (Homography, bool) {
	side := fixed.side
	for range rounds {
		var info [36]float64
		var rhs [8]float64
		res := residuals(fixed, moving, h)
		width := max(4.685*spreadOf(res), minWidth)
		for j := 1; j < side-1; j++ {
			for i := 1; i < side-1; i++ {
				k := j*side + i
				r := float64(res[k])
				w := tukey(r, width)
				if r != r || w == 0 {
					continue
				}
				x, y := fixed.unit(i, j)
				g := float64(side) / 4
				gx, gy := float64(fixed.v[k+1]-fixed.v[k-1])*g, float64(fixed.v[k+side]-fixed.v[k-side])*g
				q := gx*x + gy*y
				d := [8]float64{gx * x, gx * y, gx, gy * x, gy * y, gy, -q * x, -q * y}
				at := 0
				for a := range 8 {
					wd := w * d[a]
					rhs[a] += wd * r
					for b := a; b < 8; b++ {
						info[at] += wd * d[b]
						at++
					}
				}
			}
		}
		step, ok := solve8(info, rhs)
		if !ok {
			return h, false
		}
		delta := Homography{1 + step[0], step[1], step[2], step[3], 1 + step[4], step[5], step[6], step[7], 1}
		h = h.Times(delta.Inverse()).scaled()
		size := 0.0
		for _, s := range step {
			size = max(size, math.Abs(s))
		}
		if !finite(size) || size > 0.5 {
			return h, false
		}
		if size < 0.01/float64(side) {
			break
		}
	}
	return h, true
}

// residuals are moving at the mapped place less fixed; NaN outside.
func residuals(fixed, moving plane, h Homography) []float32 {
	out := make([]float32, len(fixed.v))
	nan := float32(math.NaN())
	for j := range fixed.side {
		for i := range fixed.side {
			k := j*fixed.side + i
			x, y := fixed.unit(i, j)
			out[k] = nan
			if x*x+y*y > alignReach*alignReach {
				continue
			}
			q := h.Apply(Point{x, y})
			out[k] = float32(moving.at(q[0], q[1])) - fixed.v[k]
		}
	}
	return out
}

func spreadOf(res []float32) float64 {
	step := max(1, len(res)/20000)
	var v []float64
	for k := 0; k < len(res); k += step {
		if r := float64(res[k]); r == r {
			v = append(v, math.Abs(r))
		}
	}
	if len(v) == 0 {
		return 0
	}
	return 1.4826 * median(v)
}

func solve8(info [36]float64, rhs [8]float64) (x [8]float64, ok bool) {
	a := mat.NewSymDense(8, nil)
	k := 0
	for i := range 8 {
		for j := i; j < 8; j++ {
			a.SetSym(i, j, info[k])
			k++
		}
	}
	var ch mat.Cholesky
	if !ch.Factorize(a) || ch.Cond() > 1e12 {
		return x, false
	}
	var v mat.VecDense
	if ch.SolveVecTo(&v, mat.NewVecDense(8, rhs[:])) != nil {
		return x, false
	}
	copy(x[:], v.RawVector().Data)
	return x, true
}

// agreement is the correlation of two normalised planes under a map.
func agreement(fixed, moving plane, h Homography) float64 {
	var sab, saa, sbb float64
	for k, r := range residuals(fixed, moving, h) {
		if r != r {
			continue
		}
		a := float64(fixed.v[k])
		b := a + float64(r)
		sab, saa, sbb = sab+a*b, saa+a*a, sbb+b*b
	}
	if !(saa*sbb > 0) {
		return 0
	}
	return sab / math.Sqrt(saa*sbb)
}

// blockShifts measures how far each of n × n blocks is still off, in units: one
// Gauss–Newton step of a shift. Blocks without print are left out.
func blockShifts(fixed, moving plane, h Homography, n int) []float64 {
	res := residuals(fixed, moving, h)
	width := max(4.685*spreadOf(res), minWidth)
	type sums struct{ xx, xy, yy, x, y float64 }
	blocks := make([]sums, n*n)
	g := float64(fixed.side) / 4
	for j := 1; j < fixed.side-1; j++ {
		for i := 1; i < fixed.side-1; i++ {
			k := j*fixed.side + i
			r := float64(res[k])
			w := tukey(r, width)
			if r != r || w == 0 {
				continue
			}
			gx, gy := float64(fixed.v[k+1]-fixed.v[k-1])*g, float64(fixed.v[k+fixed.side]-fixed.v[k-fixed.side])*g
			b := &blocks[j*n/fixed.side*n+i*n/fixed.side]
			b.xx, b.xy, b.yy, b.x, b.y = b.xx+w*gx*gx, b.xy+w*gx*gy, b.yy+w*gy*gy, b.x+w*gx*r, b.y+w*gy*r
		}
	}
	best := 0.0
	for _, b := range blocks {
		best = max(best, b.xx+b.yy)
	}
	var out []float64
	for _, b := range blocks {
		det := b.xx*b.yy - b.xy*b.xy
		if b.xx+b.yy < 0.1*best || det < 0.02*(b.xx+b.yy)*(b.xx+b.yy) {
			continue
		}
		out = append(out, math.Hypot(b.yy*b.x-b.xy*b.y, b.xx*b.y-b.xy*b.x)/det)
	}
	return out
}
