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

// at is the autocorrelation at a lag in seconds: the greatest of the two nearest
// values, so that a beat error does not hide the peak.
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

// strength is how far the median comb of a beat period stands above the highest
// comb between the beats. Speech has no peaks at long lags; hum and faster beats
// have peaks between, too.
func (p periodicity) strength(T, reach float64) float64 {
	var buf []float64
	buf = p.comb(T, 0, reach, buf)
	if len(buf) < 3 {
		return 0
	}
	peak := median(buf)
	between := math.Inf(-1)
	for phase := 0.16; phase < 0.845; phase += math.Min(0.02, 0.002/T) {
		buf = p.comb(T, phase, reach, buf)
		between = math.Max(between, median(buf))
	}
	return peak - math.Max(between, 0)
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
