package timing

import (
	"math"
	"slices"

	"midcase/say"
)

// character is what tells the beats of a balance from other sounds that keep time.
type character struct {
	scatter float64 // s, of a beat against the last of its direction, robust
	lasts   float64 // s, how long a beat is louder than 15 % of its peak
	pattern float64 // share of the differences in loudness that a pattern of several beats explains
	uneven  float64 // dB by which one beat in ten at least is louder or quieter than its like
	same    float64 // dB by which the middle beat differs in loudness from its like
}

// Limits of a character. In made recordings of watches from 0 to 30 dB, in bare rooms, under
// moving hands and through coders the figures stay under half of these; what is played on
// a grid, drummed by hand, beeps or rings passes at least one several times over.
const (
	mostScatterS = 0.0012
	mostLastsS   = 0.032
	mostPattern  = 0.5
	mostUnevenDB = 12.0
	// a machine plays each beat exactly like the last
	leastDB       = 0.05
	leastScatterS = 0.000015
)

// characterOf measures the beats of one stretch of the smoothed envelope.
func (e *ear) characterOf(sm, at []float64, bs []beat, f lineFit) character {
	c := character{scatter: between(bs, f)}
	loud := e.loudness(sm, at, bs)
	off := make([]float64, len(loud))
	for i, v := range loud {
		off[i] = math.Abs(v)
	}
	slices.Sort(off)
	c.same, c.uneven = off[len(off)/2], off[len(off)*9/10]
	for _, n := range []int{4, 6, 8, 12, 16, 32} {
		c.pattern = math.Max(c.pattern, explained(loud, bs, n))
	}
	whole := aligned(sm, e.l.hz, e.from, at, int(0.5*e.l.period*e.l.hz))
	sorted := slices.Clone(whole)
	slices.Sort(sorted)
	low, top := sorted[len(sorted)/5], sorted[len(sorted)-1]
	for _, v := range whole {
		if v > low+0.15*(top-low) {
			c.lasts += 1 / e.l.hz
		}
	}
	return c
}

// between is the scatter of single beats by the differences of neighbours of one direction:
// a rate that swings slowly does not enter.
func between(bs []beat, f lineFit) float64 {
	var diffs []float64
	for i := 2; i < len(bs); i++ {
		if bs[i].k == bs[i-2].k+2 {
			diffs = append(diffs, math.Abs(f.residuals[i]-f.residuals[i-2]))
		}
	}
	return 1.4826 * median(diffs) / math.Sqrt2
}

// loudness is that of each beat in dB, less the middle one of its direction.
func (e *ear) loudness(sm, at []float64, bs []beat) []float64 {
	const around = 0.010 // s
	out := make([]float64, len(at))
	var of [2][]float64
	for i, t := range at {
		mid, h := int((t-e.from)*e.l.hz), int(around*e.l.hz)
		s := 0.0
		for _, v := range sm[clampInt(mid-h, 0, len(sm)):clampInt(mid+h, 0, len(sm))] {
			s += v * v
		}
		out[i] = 10 * math.Log10(s/float64(2*h)+1e-30)
		of[bs[i].k&1] = append(of[bs[i].k&1], out[i])
	}
	middle := [2]float64{median(of[0]), median(of[1])}
	for i := range out {
		out[i] -= middle[bs[i].k&1]
	}
	return out
}

func clampInt(v, lo, hi int) int { return max(lo, min(hi, v)) }

// explained is the share of the variance that a pattern of n beats explains, adjusted for
// the number of its places; 0 where it is not heard four times over.
func explained(loud []float64, bs []beat, n int) float64 {
	if len(loud) < 4*n {
		return 0
	}
	sum, count := make([]float64, n), make([]float64, n)
	total, by := 0.0, 0.0
	for i, v := range loud {
		j := ((bs[i].k % n) + n) % n
		sum[j] += v
		count[j]++
		total += v * v
	}
	for j, s := range sum {
		if count[j] > 0 {
			by += s * s / count[j]
		}
	}
	if total == 0 {
		return 0
	}
	m := float64(len(loud))
	return 1 - (1-by/total)*(m-1)/math.Max(m-float64(n)-1, 1)
}

// balance reports whether what beats is a balance, and else why not: by the middle one of
// the stretches.
func (e *ear) balance() (why say.Statement, is bool) {
	middle := func(of func(character) float64) float64 {
		all := make([]float64, len(e.parts))
		for i, p := range e.parts {
			all[i] = of(p.is)
		}
		return median(all)
	}
	scatter := middle(func(c character) float64 { return c.scatter })
	lasts := middle(func(c character) float64 { return c.lasts })
	pattern := middle(func(c character) float64 { return c.pattern })
	uneven := middle(func(c character) float64 { return c.uneven })
	same := middle(func(c character) float64 { return c.same })
	switch {
	case scatter > mostScatterS:
		return say.That("sound.loose", milliseconds("scatter", scatter*1000)), false
	case lasts > mostLastsS:
		return say.That("sound.lasts", milliseconds("length", lasts*1000)), false
	case pattern > mostPattern || uneven > mostUnevenDB || same < leastDB && scatter < leastScatterS && !e.anyOnsets():
		return say.That("sound.music"), false
	}
	return say.Statement{}, true
}

func (e *ear) anyOnsets() bool {
	return slices.ContainsFunc(e.parts, func(p part) bool { return p.onsets.ok })
}
