package sound

import "math"

// Watch is a ticking watch.
type Watch struct {
	BeatsPerHour          float64    // 0 is 18,000
	RateSecPerDay         float64    // plus gains
	AmplitudeDeg          float64    // from rest to the turning point; 0 is 270
	LiftAngleDeg          float64    // 0 is 52
	BeatErrorMS           float64    // |t1 − t2|/2 of successive intervals between unlockings
	AmplitudeDecayPerHour float64    // share of the amplitude lost in an hour
	Modulation            Modulation // of the rate, by the gear train
	JitterMS              float64    // standard deviation of each beat, independent
	Loudness              float64    // of the whole watch, 0 is 1
	Weakness              [3]float64 // quiets unlocking, impulse, drop: 0 full, 1 silent
	StartS                float64    // time of the first passage through rest; 0 is a fifth of a beat
	// Unlike is how differently tick and tock sound: at 0 both have one voice, at 1 each has
	// its own tones, attacks and loudness, as the two pallets of a real watch have.
	Unlike float64
}

// Modulation is a periodic error of the gear train: the time shown runs ahead by
// SizeMS·sin(2πt/PeriodS).
type Modulation struct{ PeriodS, SizeMS float64 }

// Beat holds the true times of one beat, in seconds of true time.
type Beat struct {
	Unlock, Impulse, Drop float64
	AmplitudeDeg          float64
	Odd                   bool // the tock, by the other pallet
}

func (w Watch) complete() Watch {
	or := func(v *float64, d float64) {
		if *v == 0 {
			*v = d
		}
	}
	or(&w.BeatsPerHour, 18000)
	or(&w.AmplitudeDeg, 270)
	or(&w.LiftAngleDeg, 52)
	or(&w.Loudness, 1)
	if w.StartS == 0 {
		w.StartS = 0.2 * 3600 / w.BeatsPerHour
	}
	return w
}

// frequency is that of the balance in Hz: two beats a swing, at the true rate.
func (w Watch) frequency() float64 {
	return w.BeatsPerHour / 7200 * (1 + w.RateSecPerDay/86400)
}

// restOffset is the angle (degrees) by which the fork's middle stands off the
// balance's rest, that gives the beat error. Unlockings then lie, from swing to
// swing, by passage(θ0-λ/2) and passage(-θ0-λ/2) about the even beat, and half the
// difference of successive intervals is the difference of the two. For small
// angles that is asin(θ0/A)/(πf).
func (w Watch) restOffset() float64 {
	f, half := w.frequency(), w.LiftAngleDeg/2
	lo, hi := 0.0, w.AmplitudeDeg-half
	for range 80 {
		mid := (lo + hi) / 2
		if passage(mid-half, w.AmplitudeDeg, f)-passage(-mid-half, w.AmplitudeDeg, f) < w.BeatErrorMS/1000 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

// passage is the time after the middle of a swing at which the balance, moving as
// A·sin(2πft), comes to an angle. It is the exact solution near rest.
func passage(angleDeg, amplitudeDeg, f float64) float64 {
	return math.Asin(math.Max(-1, math.Min(1, angleDeg/amplitudeDeg))) / (2 * math.Pi * f)
}

// impulseShare is where in the lift the tooth meets the impulse face: the balance
// gives up a little of the lift to unlock.
const impulseShare = 0.22

// Beats gives the beats that begin within the first seconds, in order, with
// jitter by the seed. A watch whose amplitude is no greater than half the lift
// angle does not run: none.
func Beats(w Watch, seconds float64, seed uint64) []Beat {
	w = w.complete()
	f := w.frequency()
	half := w.LiftAngleDeg / 2
	offset := w.restOffset()
	d := rng(seed, 0xbea7)
	var out []Beat
	for n := 0; ; n++ {
		rest := w.StartS + float64(n)/(2*f)
		if rest > seconds+1/f {
			return out
		}
		a := w.AmplitudeDeg * math.Exp(-w.AmplitudeDecayPerHour*rest/3600)
		if a <= half {
			return out
		}
		// even beats swing one way, odd the other: the offset changes sign
		off := offset
		if n%2 == 1 {
			off = -off
		}
		if m := w.Modulation; m.PeriodS > 0 {
			rest -= m.SizeMS / 1000 * math.Sin(2*math.Pi*rest/m.PeriodS)
		}
		if w.JitterMS > 0 {
			rest += w.JitterMS / 1000 * d.NormFloat64()
		}
		b := Beat{
			Unlock:       rest + passage(off-half, a, f),
			Impulse:      rest + passage(off-half+impulseShare*w.LiftAngleDeg, a, f),
			Drop:         rest + passage(off+half, a, f),
			AmplitudeDeg: a,
			Odd:          n%2 == 1,
		}
		if b.Unlock >= 0 && b.Unlock < seconds {
			out = append(out, b)
		}
	}
}
