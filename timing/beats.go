package timing

import (
	"math"
	"slices"
)

// beat is one beat as it was heard.
type beat struct {
	k    int     // number of the beat; odd and even are tick and tock
	at   float64 // s from the start of the recording, to the template's reference
	fits float64 // correlation with the template, -1 to 1
}

// listener follows the beats through one stretch of envelope after another.
type listener struct {
	hz       float64      // values of the envelope a second
	period   float64      // s, of a beat, as known so far
	phase    float64      // s, of beat 0
	skew     float64      // s, by which odd beats come late against even ones
	reach    float64      // s, half width of the template
	template [2][]float64 // of even and odd beats: the two pallets sound unlike
	beats    []beat
}

// fold averages the envelope over the full swing, two beats, of n values.
func fold(y []float64, swing float64, n int) []float64 {
	sum, count := make([]float64, n), make([]float64, n)
	at := 0.0 // within the swing
	for _, v := range y {
		j := int(at/swing*float64(n)) % n
		sum[j] += v
		count[j]++
		if at++; at >= swing {
			at -= swing
		}
	}
	for j := range sum {
		if count[j] > 0 {
			sum[j] /= count[j]
		}
	}
	return sum
}

// loudest is the middle of the loudest stretch of width values, looked for
// between from and to on a ring.
func loudest(ring []float64, from, to, width int) int {
	n := len(ring)
	at := func(i int) float64 { return ring[((i%n)+n)%n] }
	s := 0.0
	for i := from - width/2; i < from-width/2+width; i++ {
		s += at(i)
	}
	best, where := math.Inf(-1), from
	for i := from; i < to; i++ {
		if s > best {
			best, where = s, i
		}
		s += at(i-width/2+width) - at(i-width/2)
	}
	return where
}

// start finds the phase of even and odd beats and a first template from the
// folded envelope.
func (l *listener) start(y []float64) {
	swing := 2 * l.period * l.hz
	n := int(math.Round(swing))
	ring := fold(y, swing, n)
	half := make([]float64, n/2)
	for i := range half {
		half[i] = ring[i] + ring[(i+n/2)%n]
	}
	width := max(3, int(0.004*l.hz))
	p := loudest(half, 0, len(half), width)
	near := int(math.Min(0.012, 0.1*l.period) * l.hz)
	even := loudest(ring, p-near, p+near, width)
	if other := loudest(ring, p+n/2-near, p+n/2+near, width) - n/2; level(ring, other+n/2, width) > level(ring, even,
		width) {
		even = other // the louder of the two serves as the mark
		ring = append(slices.Clone(ring[n/2:]), ring[:n/2]...)
		l.phase += l.period
	}
	h := int(l.reach * l.hz)
	cut := func(at int) []float64 {
		out := make([]float64, 2*h+1)
		for i := range out {
			out[i] = ring[((at+i-h)%n+n)%n]
		}
		centre(out)
		return out
	}
	l.template[0] = cut(even)
	best, odd := math.Inf(-1), even+n/2
	for at := even + n/2 - near; at <= even+n/2+near; at++ {
		if c := likeness(l.template[0], cut(at)); c > best {
			best, odd = c, at
		}
	}
	l.template[1] = cut(odd)
	toS := 2 * l.period / float64(n)
	l.phase += float64(even) * toS
	l.skew = float64(odd-even)*toS - l.period
}

// level is the mean of width values of a ring about a place.
func level(ring []float64, at, width int) float64 {
	n, s := len(ring), 0.0
	for i := at - width/2; i < at-width/2+width; i++ {
		s += ring[((i%n)+n)%n]
	}
	return s / float64(width)
}

// likeness is the correlation of two centred stretches.
func likeness(a, b []float64) float64 {
	var ab, aa, bb float64
	for i := range a {
		ab, aa, bb = ab+a[i]*b[i], aa+a[i]*a[i], bb+b[i]*b[i]
	}
	return ab / math.Sqrt(math.Max(aa*bb, 1e-300))
}

func centre(v []float64) {
	m := mean(v)
	for i := range v {
		v[i] -= m
	}
}

// expected is the time of beat k by what is known.
func (l *listener) expected(k int) float64 {
	t := l.phase + float64(k)*l.period
	if k%2 != 0 {
		t += l.skew
	}
	return t
}

// match finds every beat in a stretch that begins at t0 s, within search s of
// where it is expected, to a fraction of a value of the envelope.
func (l *listener) match(y []float64, t0, search float64) []beat {
	h := len(l.template[0]) / 2
	m := max(2, int(search*l.hz))
	var norms [2]float64
	for i, t := range l.template {
		for _, v := range t {
			norms[i] += v * v
		}
	}
	var out []beat
	cov := make([]float64, 2*m+1)
	first := int(math.Ceil((t0-l.phase)/l.period)) - 1
	for k := first; ; k++ {
		x := (l.expected(k) - t0) * l.hz
		c := int(math.Round(x))
		if c-h-m < 0 {
			continue
		}
		if c+h+m >= len(y) {
			return out
		}
		template, norm := l.template[k&1], norms[k&1]
		best := 0
		for s := range cov {
			w := y[c-h+s-m : c+h+1+s-m]
			sum := 0.0
			for i, v := range template {
				sum += v * w[i]
			}
			cov[s] = sum
			if sum > cov[best] {
				best = s
			}
		}
		d := 0.0
		if best > 0 && best < 2*m {
			a, b, e := cov[best-1], cov[best], cov[best+1]
			if q := a - 2*b + e; q < 0 {
				d = 0.5 * (a - e) / q
			}
		}
		w := y[c-h+best-m : c+h+1+best-m]
		mw, ss := mean(w), 0.0
		for _, v := range w {
			ss += (v - mw) * (v - mw)
		}
		fits := 0.0
		if ss > 0 && norm > 0 {
			fits = cov[best] / math.Sqrt(ss*norm)
		}
		// the envelope's value i stands for the middle of its samples
		out = append(out, beat{k: k, at: t0 + (float64(c+best-m)+d+0.5)/l.hz, fits: fits})
	}
}

// learn averages the envelope about the beats anew: by median, so that a knock or
// a word does not enter the template.
func (l *listener) learn(y []float64, t0 float64, bs []beat, at []float64) {
	for odd := range l.template {
		var some []float64
		for i, t := range at {
			if bs[i].k&1 == odd {
				some = append(some, t)
			}
		}
		if len(some) < 3 {
			continue // too few of a very short stretch: the template stays
		}
		l.template[odd] = aligned(y, l.hz, t0, some, int(l.reach*l.hz))
		centre(l.template[odd])
	}
}

// aligned is the median over beats of the envelope about each time, h values to
// both sides, read between values by straight lines.
func aligned(y []float64, hz, t0 float64, at []float64, h int) []float64 {
	rows := make([][]float64, 2*h+1)
	for _, t := range at {
		x := (t-t0)*hz - 0.5 - float64(h)
		i := int(math.Floor(x))
		u := x - float64(i)
		if i < 0 || i+2*h+2 > len(y) {
			continue
		}
		for j := range rows {
			rows[j] = append(rows[j], y[i+j]*(1-u)+y[i+j+1]*u)
		}
	}
	out := make([]float64, 2*h+1)
	for j, r := range rows {
		if len(r) > 0 {
			slices.Sort(r)
			// the mean of the middle half: steadier than the median, as sturdy
			out[j] = mean(r[len(r)/4 : len(r)-len(r)/4])
		}
	}
	return out
}

// steady gives each beat's time with the scatter of single beats taken off: the
// fitted line plus the running median of what is left, so that a wandering rate
// is followed.
func steady(bs []beat, f lineFit) []float64 {
	res := make([]float64, len(bs))
	for i, b := range bs {
		res[i] = b.at - f.at(b.k)
	}
	out := make([]float64, len(bs))
	for i, b := range bs {
		lo, hi := max(0, i-12), min(len(bs), i+13)
		out[i] = f.at(b.k) + median(res[lo:hi])
	}
	return out
}

// follow takes in one stretch: match, fit, learn, twice over at the first.
func (l *listener) follow(y []float64, t0 float64, first bool) []beat {
	rounds, search := 1, 0.004
	if first {
		rounds = 3
	}
	var bs []beat
	for r := range rounds {
		bs = l.match(y, t0, math.Min(search, 0.2*l.period))
		if len(bs) < 6 {
			return nil
		}
		f := fitLine(bs)
		l.phase, l.period, l.skew = f.a, f.period, f.skew
		at := steady(bs, f)
		if r < rounds-1 || !first {
			l.learn(y, t0, bs, at)
		}
		search = math.Max(0.0015, math.Min(0.004, 6*f.sigma))
	}
	l.beats = append(l.beats, bs...)
	return bs
}
