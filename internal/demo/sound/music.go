package sound

import (
	"math"
	"math/rand/v2"
)

// hands is skin and strap on the case: hisses of a tenth to one second, low at heart.
func hands(n int, rate float64, seed uint64) []float64 {
	d := rng(seed, 8)
	out := make([]float64, n)
	for t := d.ExpFloat64() * 0.8; t*rate < float64(n); t += 0.2 + d.ExpFloat64()*0.8 {
		long := 0.1 + 0.9*d.Float64()
		level, low, cut := math.Exp(0.6*d.NormFloat64()), 0.0, 0.05+0.3*d.Float64()
		for i := range int(long * rate) {
			j := int(t*rate) + i
			if j >= n {
				break
			}
			low += cut * (d.NormFloat64() - low)
			out[j] += level * math.Sin(math.Pi*float64(i)/(long*rate)) * low
		}
	}
	return out
}

// Tune is a sound that keeps time and is no watch.
type Tune int

// What keeps time and is no watch.
const (
	DrumLoop  Tune = iota // a drum machine on an exact grid: low drum, snare, cymbals
	Alarm                 // an alarm that beeps in groups
	Ringtone              // notes of a synthesiser on a grid
	Metronome             // clicks of 20 ms, the first of four higher
	Drummer               // a person who drums on a table
	HeartBeat             // two dull beats, and a pause
	Tunes                 // how many there are
)

// Music is a tune at so many of its shortest steps a minute, 0 for a common one, and no watch.
func Music(t Tune, stepsPerMinute, seconds float64, sampleRate int, seed uint64) []float32 {
	return only(func(n int, rate float64, seed uint64) []float64 {
		d := rng(seed, 9+uint64(t))
		if stepsPerMinute == 0 {
			common := []float64{240, 270, 300, 330, 360, 420, 480, 600}
			stepsPerMinute = common[d.IntN(len(common))]
		}
		out := make([]float64, n)
		play(out, t, 60/stepsPerMinute, rate, d)
		for i := range out {
			out[i] += 0.0005 * d.NormFloat64()
		}
		return out
	}, seconds, sampleRate, seed)
}

// note adds a tone with overtones that falls away within about decay s.
func note(out []float64, at, hz, level, attack, decay, rate float64, overtones int) {
	first := int(at * rate)
	for i := max(first, 0); i < min(len(out), first+int(6*decay*rate)); i++ {
		t := float64(i)/rate - at
		s := 0.0
		for k := 1; k <= overtones && hz*float64(k) < 0.45*rate; k++ {
			s += math.Sin(2*math.Pi*hz*float64(k)*t) / float64(k)
		}
		out[i] += level * (1 - math.Exp(-t/attack)) * math.Exp(-t/decay) * s
	}
}

// strike adds a drum or a cymbal: a tone and a hiss.
func strike(out []float64, at, hz, hiss, level, decay, rate float64, d *rand.Rand) {
	voice{level: 1, attack: 0.0006, hiss: hiss, decay: decay, tones: []tone{{hz, 1, decay, 0},
		{hz * 1.6, 0.5, decay * 0.7, 1}}}.sound(out, at, level, rate, d)
}

func play(out []float64, t Tune, step, rate float64, d *rand.Rand) {
	switch t {
	case DrumLoop:
		drums(out, step, 0, rate, d)
	case Alarm:
		hz, of, rest := 1900+1500*d.Float64(), 2+d.IntN(4), d.IntN(5)
		for k := 0; float64(k)*step*rate < float64(len(out)); k++ {
			if k%(of+rest) < of {
				beep(out, float64(k)*step, hz, 0.5*step, rate)
			}
		}
	case Ringtone:
		scale := []float64{523.25, 587.33, 659.25, 783.99, 880, 1046.5}
		tune := make([]float64, 8)
		for i := range tune {
			tune[i] = scale[d.IntN(len(scale))] * float64(1+d.IntN(2))
		}
		for k := 0; float64(k)*step*rate < float64(len(out)); k++ {
			note(out, float64(k)*step, tune[k%len(tune)], 0.6, 0.002, 0.05+0.1*d.Float64(), rate, 8)
		}
	case Metronome:
		for k := 0; float64(k)*step*rate < float64(len(out)); k++ {
			hz := 1500.0
			if k%4 == 0 {
				hz = 2200
			}
			note(out, float64(k)*step, hz, 1, 0.0005, 0.006, rate, 3)
		}
	case Drummer:
		at := 0.1
		for k := 0; at*rate < float64(len(out)); k++ {
			strike(out, at, 300+100*d.Float64(), 0.6, math.Exp(0.25*d.NormFloat64()), 0.012, rate, d)
			at += step * (1 + 0.03*d.NormFloat64())
		}
	case HeartBeat:
		beat := 0.7 + 0.3*d.Float64()
		for at := 0.2; at*rate < float64(len(out)); at += beat * (1 + 0.03*d.NormFloat64()) {
			strike(out, at, 55, 0.02, 1, 0.05, rate, d)
			strike(out, at+0.32*beat, 75, 0.02, 0.7, 0.04, rate, d)
		}
	}
}

// beep is a square tone with hard ends.
func beep(out []float64, at, hz, long, rate float64) {
	first := int(at * rate)
	for i := first; i < min(len(out), first+int(long*rate)); i++ {
		s := 0.0
		for k := 1; k <= 7 && hz*float64(k) < 0.45*rate; k += 2 {
			s += math.Sin(2*math.Pi*hz*float64(k)*float64(i)/rate) / float64(k)
		}
		out[i] += 0.5 * s
	}
}

// drums plays a pattern of sixteen steps; played by a person the steps scatter by looseS.
func drums(out []float64, step, looseS, rate float64, d *rand.Rand) {
	var pattern [3][16]float64 // low drum, snare, cymbal
	for i := range 16 {
		if i%4 == 0 || d.Float64() < 0.12 {
			pattern[0][i] = 1
		}
		if i%8 == 4 || d.Float64() < 0.08 {
			pattern[1][i] = 0.8
		}
		if d.Float64() < 0.85 {
			pattern[2][i] = 0.15 + 0.25*d.Float64()
		}
	}
	ring := 0.01 + 0.05*d.Float64()
	for k := 0; float64(k)*step*rate < float64(len(out)); k++ {
		at := float64(k)*step + looseS*d.NormFloat64()
		for v, hz := range []float64{65, 220, 9000} {
			if g := pattern[v][k%16]; g > 0 {
				strike(out, at, hz, []float64{0.05, 0.7, 0.95}[v], g, []float64{0.08, 0.06, ring}[v], rate, d)
			}
		}
	}
}
