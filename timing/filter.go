package timing

import (
	"math"
	"math/cmplx"
)

// section is one second-order section of a filter, a0 = 1, in transposed direct
// form II, with its state.
type section struct {
	b0, b1, b2, a1, a2 float64
	z1, z2             float64
}

// butterBand designs a digital Butterworth band-pass of the given order (of the
// low-pass prototype, so 2·order poles) between lo and hi Hz at a sampling rate,
// by the bilinear transform with both edges prewarped (Oppenheim and Schafer,
// Discrete-Time Signal Processing). It needs 0 < lo < hi < rate/2.
func butterBand(order int, lo, hi, rate float64) []section {
	warp := func(f float64) float64 { return 2 * rate * math.Tan(math.Pi*f/rate) }
	w1, w2 := warp(lo), warp(hi)
	bw, w0 := w2-w1, math.Sqrt(w1*w2)
	var poles []complex128
	for k := range order {
		p := cmplx.Exp(complex(0, math.Pi*(2*float64(k)+1+float64(order))/(2*float64(order))))
		half := p * complex(bw/2, 0)
		root := cmplx.Sqrt(half*half - complex(w0*w0, 0))
		poles = append(poles, half+root, half-root)
	}
	c := complex(2*rate, 0)
	gain := complex(math.Pow(bw, float64(order)), 0)
	for range order { // each of the order zeros at s = 0 gives a factor 2·rate
		gain *= c
	}
	var upper []complex128
	for _, p := range poles {
		gain /= c - p
		z := (c + p) / (c - p)
		if imag(z) > 0 {
			upper = append(upper, z)
		}
	}
	// Poles come in conjugate pairs, as the band is narrow against its middle
	// frequency; zeros lie order times at z = 1 and at z = -1, one of each a section.
	out := make([]section, 0, order)
	for _, z := range upper {
		out = append(out, section{b0: 1, b1: 0, b2: -1, a1: -2 * real(z), a2: real(z)*real(z) + imag(z)*imag(z)})
	}
	if len(out) != order { // a very wide band gives real poles: pair those two by two
		out = realPairs(poles, c, order)
	}
	g := real(gain)
	out[0].b0, out[0].b2 = g, -g
	return out
}

// realPairs forms the sections where some poles are real.
func realPairs(poles []complex128, c complex128, order int) []section {
	out := make([]section, 0, order)
	var reals []float64
	for _, p := range poles {
		z := (c + p) / (c - p)
		switch {
		case math.Abs(imag(z)) < 1e-12:
			reals = append(reals, real(z))
		case imag(z) > 0:
			out = append(out, section{b0: 1, b2: -1, a1: -2 * real(z), a2: real(z)*real(z) + imag(z)*imag(z)})
		}
	}
	for i := 0; i+1 < len(reals); i += 2 {
		out = append(out, section{b0: 1, b2: -1, a1: -reals[i] - reals[i+1], a2: reals[i] * reals[i+1]})
	}
	return out
}

// filter runs samples through the sections, in place, keeping the state.
func filter(sos []section, x []float64) {
	if len(sos) == 3 {
		filterThree(&sos[0], &sos[1], &sos[2], x)
		return
	}
	for s := range sos {
		q := &sos[s]
		z1, z2 := q.z1, q.z2
		for i, v := range x {
			y := q.b0*v + z1
			z1 = q.b1*v - q.a1*y + z2
			z2 = q.b2*v - q.a2*y
			x[i] = y
		}
		q.z1, q.z2 = z1, z2
	}
}

// filterThree is filter for three sections in one pass: the processor works on one
// section of a sample while the next sample is in the section before.
func filterThree(p, q, r *section, x []float64) {
	p1, p2, q1, q2, r1, r2 := p.z1, p.z2, q.z1, q.z2, r.z1, r.z2
	pb0, pb1, pb2, pa1, pa2 := p.b0, p.b1, p.b2, p.a1, p.a2
	qb0, qb1, qb2, qa1, qa2 := q.b0, q.b1, q.b2, q.a1, q.a2
	rb0, rb1, rb2, ra1, ra2 := r.b0, r.b1, r.b2, r.a1, r.a2
	for i, v := range x {
		y := pb0*v + p1
		p1 = pb1*v - pa1*y + p2
		p2 = pb2*v - pa2*y
		w := qb0*y + q1
		q1 = qb1*y - qa1*w + q2
		q2 = qb2*y - qa2*w
		u := rb0*w + r1
		r1 = rb1*w - ra1*u + r2
		r2 = rb2*w - ra2*u
		x[i] = u
	}
	p.z1, p.z2, q.z1, q.z2, r.z1, r.z2 = p1, p2, q1, q2, r1, r2
}

// response is the complex gain of the sections at a frequency.
func response(sos []section, hz, rate float64) complex128 {
	z := cmplx.Exp(complex(0, -2*math.Pi*hz/rate))
	h := complex(1, 0)
	for _, q := range sos {
		num := complex(q.b0, 0) + complex(q.b1, 0)*z + complex(q.b2, 0)*z*z
		den := 1 + complex(q.a1, 0)*z + complex(q.a2, 0)*z*z
		h *= num / den
	}
	return h
}
