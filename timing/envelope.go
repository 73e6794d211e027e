package timing

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
)

// band is one band of hearing with its running filter and the envelope so far.
type band struct {
	lo, hi float64
	sos    []section
	step   int // samples to one value of the envelope
	sum    float64
	n      int
	work   []float64
	env    []float64 // root of the mean square over step samples
}

// envelopeHz is about how many values a second an envelope has.
const envelopeHz = 11000

// bandsFor offers the bands that a sampling rate can carry. Below 1 kHz lie
// voices and hum; the escapement sounds above.
func bandsFor(rate float64) []*band {
	var out []*band
	for _, e := range [][2]float64{{1000, 3400}, {2000, 6000}, {4000, 10000}, {6500, 16000}} {
		hi := math.Min(e[1], 0.45*rate)
		if hi < e[0]*1.5 {
			break
		}
		step := max(1, int(math.Round(rate/envelopeHz)))
		// room for what is heard before a band is chosen
		env := make([]float64, 0, int((earlyS+1)*rate)/step)
		out = append(out, &band{lo: e[0], hi: hi, sos: butterBand(3, e[0], hi, rate), step: step, env: env})
	}
	return out
}

// feed filters a block and lengthens the envelope. The block is not changed.
func (b *band) feed(block []float32) {
	b.work = b.work[:0]
	for _, v := range block {
		b.work = append(b.work, float64(v))
	}
	filter(b.sos, b.work)
	for _, v := range b.work {
		b.sum += v * v
		b.n++
		if b.n == b.step {
			b.env = append(b.env, math.Sqrt(b.sum/float64(b.step)))
			b.sum, b.n = 0, 0
		}
	}
}

// smoothing is the width over which an envelope of so many values a second is
// smoothed: the odd number nearest to 0.27 ms, at least 3. The time is the same for all
// sampling rates, or the onsets would come out differently.
func smoothing(hz float64) int { return max(3, 2*int(0.00027*hz/2)+1) }

// smoothed is the running root mean square over about width values (odd).
func smoothed(env []float64, width int) []float64 {
	out := make([]float64, len(env))
	h := width / 2
	sum, scale := 0.0, 1/float64(2*h+1)
	for i := -h; i < len(env); i++ {
		if j := i + h; j < len(env) {
			sum += env[j] * env[j]
		}
		if j := i - h - 1; j >= 0 {
			sum -= env[j] * env[j]
		}
		if i >= 0 && sum > 0 {
			out[i] = math.Sqrt(sum * scale)
		}
	}
	return out
}

// thin averages groups of n values.
func thin(v []float64, n int) []float64 {
	out := make([]float64, 0, len(v)/n)
	for i := 0; i+n <= len(v); i += n {
		s := 0.0
		for _, x := range v[i : i+n] {
			s += x
		}
		out = append(out, s/float64(n))
	}
	return out
}

// compressed is log(1 + v/median), so that one loud knock does not outweigh a
// hundred ticks and gain control matters little.
func compressed(v []float64) []float64 {
	// every so-manieth value is enough for the level
	step := len(v)/8192 + 1
	some := make([]float64, 0, len(v)/step+1)
	for i := 0; i < len(v); i += step {
		some = append(some, v[i])
	}
	m := median(some)
	if m <= 0 {
		m = mean(v)
	}
	if m <= 0 {
		m = 1
	}
	out := make([]float64, len(v))
	for i, x := range v {
		out[i] = math.Log1p(x / m)
	}
	return out
}

func median(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	s := slices.Clone(v)
	slices.Sort(s)
	n := len(s)
	return (s[(n-1)/2] + s[n/2]) / 2
}

// autocorrelation is the biased autocorrelation of v less its mean, 1 at lag 0,
// up to maxLag, by the fast Fourier transform.
func autocorrelation(v []float64, maxLag int) []float64 {
	n := 1
	for n < len(v)+maxLag+1 {
		n *= 2
	}
	m := mean(v)
	x := make([]float64, n)
	for i, a := range v {
		x[i] = a - m
	}
	f := fourier.NewFFT(n)
	c := f.Coefficients(nil, x)
	for i, a := range c {
		c[i] = complex(real(a)*real(a)+imag(a)*imag(a), 0)
	}
	r := f.Sequence(nil, c)
	out := make([]float64, maxLag+1)
	if r[0] <= 0 {
		return out
	}
	for i := range out {
		out[i] = r[i] / r[0]
	}
	return out
}
