package timing

import (
	"math"
	"slices"
)

// StandardBeats are the usual beat rates of mechanical watches, beats an hour.
func StandardBeats() []float64 {
	return []float64{14400, 16200, 18000, 19800, 21600, 25200, 28800, 36000}
}

// periodicity is the autocorrelation of a thinned envelope, corrected for the
// fewer pairs at long lags.
type periodicity struct {
	acf []float64
	hz  float64
}

// coarseHz is about how many values a second the thinned envelope has.
const coarseHz = 550

func periodicityOf(env []float64, envHz float64) periodicity {
	k := max(1, int(math.Round(envHz/coarseHz)))
	v := compressed(thin(smoothed(env, 3), k))
	// slow swells of speech and of gain control are taken off
	v = lessRunningMean(v, int(0.4*envHz/float64(k)))
	lag := int(0.62 * float64(len(v)))
	acf := autocorrelation(v, lag)
	for i := range acf {
		acf[i] *= float64(len(v)) / float64(len(v)-i)
	}
	return periodicity{acf: acf, hz: envHz / float64(k)}
}

func lessRunningMean(v []float64, width int) []float64 {
	out := make([]float64, len(v))
	h := max(width/2, 1)
	sum, n := 0.0, 0
	for i := -h; i < len(v); i++ {
		if j := i + h; j < len(v) {
			sum += v[j]
			n++
		}
		if j := i - h - 1; j >= 0 {
			sum -= v[j]
			n--
		}
		if i >= 0 {
			out[i] = v[i] - sum/float64(n)
		}
	}
	return out
}

// at is the autocorrelation at a lag in seconds, by a straight line between the two
// nearest values.
func (p periodicity) at(lag float64) float64 {
	x := lag * p.hz
	i := int(x)
	if i+1 >= len(p.acf) {
		return 0
	}
	u := x - float64(i)
	return p.acf[i]*(1-u) + p.acf[i+1]*u
}

// comb gathers the autocorrelation at (k+phase)·T for all lags up to reach.
func (p periodicity) comb(T, phase, reach float64, into []float64) []float64 {
	into = into[:0]
	for k := 1; ; k++ {
		lag := (float64(k) + phase) * T
		if lag > reach {
			return into
		}
		into = append(into, p.at(lag))
	}
}

// teeth gathers the autocorrelation at the multiples of a beat period, even and odd ones
// apart. A beat error e splits each odd peak into two of half the height, at ± e: the two
// are put together again for the e at which they come out highest, so that a watch out of
// beat is heard as well as one in beat. Where the two overlap, by as much as the even
// peaks are wide, they are not counted twice.
func (p periodicity) teeth(T, reach float64) (even, odd []float64) {
	var buf []float64
	even = p.comb(2*T, 0, reach, nil)
	peak := mean(even)
	best := math.Inf(-1)
	for e := 0.0; e <= math.Min(0.012, 0.09*T); e += 0.5 / p.hz {
		overlap := 1.0
		if e > 0 && peak > 0 {
			overlap = clamp(mean(p.comb(2*T, e/T, reach, buf))/peak, 0, 1)
		}
		var at []float64
		for k := 1; float64(k)*T+e <= reach; k += 2 {
			lag := float64(k) * T
			at = append(at, (p.at(lag-e)+p.at(lag+e))/(1+overlap))
		}
		if m := mean(at); m > best {
			best, odd = m, at
		}
	}
	return even, odd
}

// strength is how far the peaks at the multiples of a beat period stand above the highest
// comb between the beats. Speech has no peaks at long lags; hum and faster beats
// have peaks between, too.
func (p periodicity) strength(T, reach float64) float64 {
	even, odd := p.teeth(T, reach)
	if len(even) < 1 || len(even)+len(odd) < 3 {
		return 0
	}
	var buf []float64
	between := math.Inf(-1)
	for phase := 0.16; phase < 0.845; phase += math.Min(0.02, 0.002/T) {
		buf = p.comb(T, phase, reach, buf)
		between = math.Max(between, median(buf))
	}
	return median(append(even, odd...)) - math.Max(between, 0)
}

// tune finds the period near T0 (within a share) with the highest mean comb.
func (p periodicity) tune(T0, share, reach float64) float64 {
	var buf []float64
	best, at := math.Inf(-1), T0
	step := T0 / reach * 0.4 / p.hz // moves the last tooth by 0.4 of a value
	for T := T0 * (1 - share); T <= T0*(1+share); T += step {
		buf = p.comb(T, 0, reach, buf)
		if s := mean(buf); s > best {
			best, at = s, T
		}
	}
	return at
}

// beatGuess is a beat period heard in a sound.
type beatGuess struct {
	nominal  float64 // beats an hour; 0 for a period off all standards
	period   float64 // s
	strength float64
	second   float64 // strength of the best other rate
	other    float64 // that rate
	rival    float64 // strength of the best rate that is no half or double of the first
	rivalAt  float64 // that rate
}

const rateRange = 0.0075 // the watch runs true within this share: 650 s/d

// guess weighs the beat rates given.
func (p periodicity) guess(rates []float64) beatGuess {
	all := float64(len(p.acf)-1) / p.hz
	reach := math.Min(6, all)
	var out beatGuess
	strengths := make([]float64, len(rates))
	for i, r := range rates {
		T := p.tune(3600/r, rateRange, reach)
		s := p.strength(T, reach)
		strengths[i] = s
		if s > out.strength {
			out.second, out.other = out.strength, out.nominal
			out.nominal, out.period, out.strength = r, T, s
		} else if s > out.second {
			out.second, out.other = s, r
		}
	}
	for i, r := range rates {
		if q := r / out.nominal; q != 1 && q != 2 && q != 0.5 && strengths[i] > out.rival {
			out.rival, out.rivalAt = strengths[i], r
		}
	}
	if out.period > 0 {
		out.period = p.tune(out.period, 1.2/p.hz/reach, all)
	}
	return out
}

// doubled takes the beat as twice as fast where a second noise lies half way between two
// beats, as the tock of a watch out of beat does, or one whose tick and tock sound unlike. y is
// the compressed envelope, hz its values a second.
func (g beatGuess) doubled(y []float64, hz float64, rates []float64) beatGuess {
	if g.nominal == 0 || !slices.Contains(rates, 2*g.nominal) || !halfWay(y, g.period*hz, hz) {
		return g
	}
	g.nominal, g.period = 2*g.nominal, g.period/2
	// the two rates explain the same noises: what is left of the other is no rival
	g.second, g.other = math.Min(g.second, 0.5*g.strength), g.nominal/2
	return g
}

const (
	// halfShare is how high the second noise must be against the first, on the
	// logarithmic scale. In made recordings of slow watches nothing there passes 0.1.
	halfShare = 0.2
	halfSigma = 6.0
)

// halfWay reports whether the envelope folded over n values has a noise near the middle
// between two of its loudest.
func halfWay(y []float64, n, hz float64) bool {
	ring := fold(y, n, int(n))
	width := max(3, int(0.004*hz))
	first := loudest(ring, 0, len(ring), width)
	near := int(math.Min(0.012*hz, 0.06*n))
	middle := first + len(ring)/2
	return another(ring, first, middle-near, middle+near, [][2]float64{{0.22, 0.38}, {0.62, 0.78}}, hz)
}

// another reports whether a second noise stands out of a ring between two places, beside
// the first; quiet are parts of the ring after the first that say how high chance comes.
func another(ring []float64, first, from, to int, quiet [][2]float64, hz float64) bool {
	n, width := float64(len(ring)), max(3, int(0.004*hz))
	rise := func(i int) float64 { return stands(ring, i, width, hz) }
	second := math.Inf(-1)
	for i := from; i <= to; i++ {
		second = math.Max(second, rise(i))
	}
	var chance []float64
	for _, part := range quiet {
		for i := first + int(part[0]*n); i < first+int(part[1]*n); i += width {
			chance = append(chance, rise(i))
		}
	}
	level := median(chance)
	for i, v := range chance {
		chance[i] = math.Abs(v - level)
	}
	return second-level > halfShare*rise(first) && second-level > halfSigma*1.4826*median(chance)
}

// stands is how far a place of a ring stands above what lies 20 to 40 ms before it.
func stands(ring []float64, at, width int, hz float64) float64 {
	n := len(ring)
	part := func(from, to int) float64 {
		s := 0.0
		for i := from; i < to; i++ {
			s += ring[((i%n)+n)%n]
		}
		return s / float64(to-from)
	}
	return part(at-width/2, at-width/2+width) - part(at-int(0.040*hz), at-int(0.020*hz))
}

// free looks for any beat between 12,000 and 45,000 an hour.
func (p periodicity) free() beatGuess {
	reach := math.Min(6, float64(len(p.acf)-1)/p.hz)
	type peak struct{ T, s float64 }
	var peaks []peak
	var buf []float64
	for T := 0.080; T < 0.300; T += T / reach * 0.5 / p.hz {
		buf = p.comb(T, 0, reach, buf)
		peaks = append(peaks, peak{T, mean(buf)})
	}
	slices.SortFunc(peaks, func(a, b peak) int {
		switch {
		case a.s > b.s:
			return -1
		case a.s < b.s:
			return 1
		}
		return 0
	})
	var out beatGuess
	for _, q := range peaks[:min(40, len(peaks))] {
		if s := p.strength(q.T, reach); s > out.strength {
			out.period, out.strength = q.T, s
		}
	}
	return out
}
