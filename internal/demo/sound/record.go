package sound

import (
	"math"
	"math/rand/v2"
)

// Room is where and how a watch is recorded. Hum, Speech and Clicks are levels
// against the watch: root-mean-square of the disturbance over that of the clean
// watch, both over the whole recording. 0 leaves a disturbance out.
type Room struct {
	// SNRdB is ten times the decimal logarithm of the mean power of the clean watch,
	// reverberation included, over the mean power of the white microphone noise, both
	// over the whole recording and the full band up to half the sampling rate. A
	// watch is silent most of the time, so its noises stand well above the mean. 0 is
	// a true 0 dB; NoNoise leaves the noise out.
	SNRdB    float64
	NoNoise  bool
	Hum      float64 // mains hum, 50 Hz and overtones
	Speech   float64 // somebody talks nearby
	Clicks   float64 // knocks on the table, one or two a second
	Second   *Watch  // another watch nearby; its Loudness is against the first
	AGC      bool    // the recorder regulates its gain
	ClockPPM float64 // the recorder's clock is fast by so much: it takes more samples a second
	Reverb   float64 // 0 to 1, 0 is 0.3; below 0 none
	Peak     float64 // highest sample of the finished recording; 0 is 0.5, above 1 clips
	// HallS is the time in s in which a bare room's sound falls by 60 dB; 0 is none.
	HallS float64
	Hands float64 // a hand moves on the case, the strap rubs: level as of Hum
}

func rng(seed, stream uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, stream)) }

// Record makes a recording, mono, samples from -1 to 1. The same arguments give
// the same samples.
func Record(w Watch, r Room, seconds float64, sampleRate int, seed uint64) []float32 {
	n := int(math.Round(seconds * float64(sampleRate)))
	if n <= 0 || sampleRate <= 0 {
		return nil
	}
	trueRate := float64(sampleRate) * (1 + r.ClockPPM*1e-6) // samples in a true second
	ticks := ticking(w, n, trueRate, seed)
	if r.Second != nil {
		other := ticking(*r.Second, n, trueRate, seed+0x2e)
		k := r.Second.complete().Loudness * rms(ticks) / math.Max(rms(other), 1e-12)
		for i := range ticks {
			ticks[i] += k * other[i]
		}
	}
	reverberate(ticks, r.Reverb, trueRate, seed)
	hall(ticks, r.HallS, trueRate, seed)
	level := rms(ticks)
	disturb(ticks, r, level, trueRate, seed)
	if r.AGC {
		regulate(ticks, trueRate)
	}
	return scaled(ticks, r.Peak)
}

func rms(v []float64) float64 {
	s := 0.0
	for _, x := range v {
		s += x * x
	}
	return math.Sqrt(s / math.Max(float64(len(v)), 1))
}

func scaled(v []float64, peak float64) []float32 {
	if peak == 0 {
		peak = 0.5
	}
	top := 0.0
	for _, x := range v {
		top = math.Max(top, math.Abs(x))
	}
	k := 0.0
	if top > 0 {
		k = peak / top
	}
	out := make([]float32, len(v))
	for i, x := range v {
		out[i] = float32(math.Max(-1, math.Min(1, x*k)))
	}
	return out
}

// tone is one resonance of the case that a noise of the escapement rings.
type tone struct{ hz, level, decay, phase float64 }

// voice is the sound of one of the three noises.
type voice struct {
	level  float64
	attack float64 // s
	hiss   float64 // share of noise in it
	decay  float64 // s, of the hiss
	tones  []tone
}

// voices gives a watch its own three noises: unlocking short and sharp, impulse
// softer, drop loudest and longest.
func voices(seed uint64) [3]voice {
	d := rng(seed, 0x701ce)
	out := [3]voice{
		{level: 0.55, attack: 0.00004, hiss: 0.35, decay: 0.0005},
		{level: 0.30, attack: 0.00015, hiss: 0.55, decay: 0.0007},
		{level: 1.00, attack: 0.00005, hiss: 0.40, decay: 0.0010},
	}
	for v := range out {
		for _, hz := range []float64{2600, 4300, 6100, 8800, 12500} {
			out[v].tones = append(out[v].tones, tone{
				hz: hz * (0.85 + 0.3*d.Float64()), level: 0.4 + 0.6*d.Float64(),
				decay: out[v].decay * (0.6 + 1.2*d.Float64()), phase: 2 * math.Pi * d.Float64(),
			})
		}
	}
	return out
}

// unlike gives the other pallet a voice of its own, to the share given.
func unlike(of [3]voice, seed uint64, share float64) [3]voice {
	if share <= 0 {
		return of
	}
	out := voices(seed + 0x70c)
	d := rng(seed, 0x70c)
	blend := func(a, b float64) float64 { return a * math.Pow(b/a, share) }
	for v := range out {
		q, p := &out[v], of[v]
		q.level = p.level * math.Exp(0.5*share*d.NormFloat64())
		q.attack = p.attack * math.Exp(0.6*share*d.NormFloat64())
		q.decay = p.decay * math.Exp(0.4*share*d.NormFloat64())
		for i := range q.tones {
			t, o := &q.tones[i], p.tones[i]
			t.hz, t.level, t.decay = blend(o.hz, t.hz), blend(o.level, t.level), blend(o.decay, t.decay)
			t.phase = o.phase + share*(t.phase-o.phase)
		}
	}
	return out
}

// ticking renders the noises of a watch, sample k at the true time k/rate.
func ticking(w Watch, n int, rate float64, seed uint64) []float64 {
	out := make([]float64, n)
	tick := voices(seed)
	tock := unlike(tick, seed, w.Unlike)
	d := rng(seed, 0x71c)
	for _, b := range Beats(w, float64(n)/rate, seed) {
		vs := tick
		if b.Odd {
			vs = tock
		}
		for k, at := range []float64{b.Unlock, b.Impulse, b.Drop} {
			level := vs[k].level * (1 - w.Weakness[k])
			if k == 1 {
				level *= 0.6 + 0.8*d.Float64() // the impulse is the irregular one
			} else {
				level *= math.Exp(0.12 * d.NormFloat64())
			}
			vs[k].sound(out, at, level, rate, d)
		}
	}
	return out
}

// sound adds one noise that begins at a time between samples.
func (v voice) sound(out []float64, at, level, rate float64, d *rand.Rand) {
	first := int(math.Ceil(at * rate))
	last := min(len(out)-1, first+int(v.decay*9*rate))
	for i := max(first, 0); i <= last; i++ {
		t := float64(i)/rate - at
		rise := 1 - math.Exp(-t/v.attack)
		s := v.hiss * d.NormFloat64() * math.Exp(-t/v.decay)
		for _, q := range v.tones {
			if q.hz < 0.45*rate {
				s += (1 - v.hiss) * q.level * math.Exp(-t/q.decay) * math.Sin(2*math.Pi*q.hz*t+q.phase)
			}
		}
		out[i] += level * rise * s
	}
}

// reverberate adds reflections: sixteen within 40 ms, growing weaker.
func reverberate(v []float64, amount, rate float64, seed uint64) {
	if amount == 0 {
		amount = 0.3
	}
	if amount < 0 {
		return
	}
	d := rng(seed, 0x4ef)
	dry := append([]float64(nil), v...)
	for range 16 {
		t := 0.0008 + 0.04*d.Float64()*d.Float64()
		g := amount * 0.45 * math.Exp(-t/0.012) * (2*d.Float64() - 1)
		lag := int(t * rate)
		for i := lag; i < len(v); i++ {
			v[i] += g * dry[i-lag]
		}
	}
}

// hall is a bare room: reflections so many that they are a hiss, falling by 60 dB in
// fallS, some 12 dB under the direct sound at first.
func hall(v []float64, fallS, rate float64, seed uint64) {
	if fallS <= 0 {
		return
	}
	d := rng(seed, 0x4a11)
	dry := append([]float64(nil), v...)
	for range int(600 * math.Min(fallS, 0.6)) {
		t := 0.004 + fallS*0.7*d.Float64()
		g := 0.04 * math.Exp(-6.9*t/fallS) * d.NormFloat64()
		lag := int(t * rate)
		for i := lag; i < len(v); i++ {
			v[i] += g * dry[i-lag]
		}
	}
}

// disturb adds what else the microphone hears.
func disturb(v []float64, r Room, level, rate float64, seed uint64) {
	n := len(v)
	if !r.NoNoise {
		d := rng(seed, 0x115e)
		sd := level * math.Pow(10, -r.SNRdB/20)
		for i := range v {
			v[i] += sd * d.NormFloat64()
		}
	}
	mix := func(share float64, build func() []float64) {
		if share <= 0 {
			return
		}
		o := build()
		k := share * level / math.Max(rms(o), 1e-12)
		for i := range v {
			v[i] += k * o[i]
		}
	}
	mix(r.Hum, func() []float64 { return hum(n, rate, seed) })
	mix(r.Speech, func() []float64 { return speech(n, rate, seed) })
	mix(r.Hands, func() []float64 { return hands(n, rate, seed) })
	mix(r.Clicks, func() []float64 { return clicks(n, rate, seed) })
}

// regulate is the gain control of a telephone: quick down, slow up.
func regulate(v []float64, rate float64) {
	env, up, down := 0.0, math.Exp(-1/(0.004*rate)), math.Exp(-1/(0.25*rate))
	ref := 2 * rms(v)
	for i, x := range v {
		a := math.Abs(x)
		if a > env {
			env = a + (env-a)*up
		} else {
			env = a + (env-a)*down
		}
		v[i] = x / math.Pow(0.2+env/math.Max(ref, 1e-12), 0.6)
	}
}
