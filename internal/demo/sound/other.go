package sound

import "math"

// Speech is somebody talking, and no watch.
func Speech(seconds float64, sampleRate int, seed uint64) []float32 {
	return only(speech, seconds, sampleRate, seed)
}

// Hum is mains hum with a little noise, and no watch.
func Hum(seconds float64, sampleRate int, seed uint64) []float32 {
	return only(func(n int, rate float64, seed uint64) []float64 {
		v := hum(n, rate, seed)
		d := rng(seed, 1)
		for i := range v {
			v[i] += 0.02 * d.NormFloat64()
		}
		return v
	}, seconds, sampleRate, seed)
}

// Rain falls on a window sill.
func Rain(seconds float64, sampleRate int, seed uint64) []float32 {
	return only(rain, seconds, sampleRate, seed)
}

// Silence is a quiet room: the microphone's own noise, 70 dB under full scale.
func Silence(seconds float64, sampleRate int, seed uint64) []float32 {
	n := int(math.Round(seconds * float64(sampleRate)))
	d := rng(seed, 2)
	out := make([]float32, max(n, 0))
	for i := range out {
		out[i] = float32(0.0003 * d.NormFloat64())
	}
	return out
}

// Quartz is a quartz watch: one step a second, to the parts in a million given
// (plus: the watch gains). It serves to measure the recorder's clock.
func Quartz(seconds float64, sampleRate int, ppm, snrDB float64, seed uint64) []float32 {
	return only(func(n int, rate float64, seed uint64) []float64 {
		out := make([]float64, n)
		v := voice{level: 1, attack: 0.0001, hiss: 0.2, decay: 0.003, tones: voices(seed)[2].tones}
		d := rng(seed, 3)
		for k := 0; ; k++ {
			at := 0.31 + float64(k)/(1+ppm*1e-6)
			if at*rate >= float64(n) {
				break
			}
			v.sound(out, at, 1, rate, d)
		}
		sd := rms(out) * math.Pow(10, -snrDB/20)
		for i := range out {
			out[i] += sd * d.NormFloat64()
		}
		return out
	}, seconds, sampleRate, seed)
}

func only(build func(int, float64, uint64) []float64, seconds float64, sampleRate int, seed uint64) []float32 {
	n := int(math.Round(seconds * float64(sampleRate)))
	if n <= 0 {
		return nil
	}
	return scaled(build(n, float64(sampleRate), seed), 0.4)
}

func hum(n int, rate float64, seed uint64) []float64 {
	d := rng(seed, 4)
	out := make([]float64, n)
	for k := 1; k <= 9; k++ {
		a, ph := d.Float64()/float64(k), 2*math.Pi*d.Float64()
		for i := range out {
			out[i] += a * math.Sin(2*math.Pi*50.01*float64(k)*float64(i)/rate+ph)
		}
	}
	return out
}

// resonator is a two-pole filter about a frequency.
type resonator struct{ a1, a2, g, y1, y2 float64 }

func (r *resonator) tune(hz, width, rate float64) {
	p := math.Exp(-math.Pi * width / rate)
	r.a1, r.a2 = 2*p*math.Cos(2*math.Pi*hz/rate), -p*p
	r.g = 1 - p
}

func (r *resonator) step(x float64) float64 {
	y := r.g*x + r.a1*r.y1 + r.a2*r.y2
	r.y1, r.y2 = y, r.y1
	return y
}

// speech is a voice in a rough way: a buzz or a hiss through three formants that
// change from syllable to syllable, with pauses.
func speech(n int, rate float64, seed uint64) []float64 {
	d := rng(seed, 5)
	out := make([]float64, n)
	var f [3]resonator
	phase, i := 0.0, 0
	for i < n {
		long := int(rate * (0.09 + 0.2*d.Float64()))
		pitch := 95 + 70*d.Float64()
		voiced, pause := d.Float64() < 0.7, d.Float64() < 0.18
		centre := [3]float64{300 + 500*d.Float64(), 900 + 1300*d.Float64(), 2300 + 700*d.Float64()}
		if !voiced {
			centre = [3]float64{2500, 4200 + 1500*d.Float64(), 6000}
		}
		for k := range f {
			if centre[k] < 0.45*rate {
				f[k].tune(centre[k], 90+60*float64(k), rate)
			}
		}
		for j := 0; j < long && i < n; j, i = j+1, i+1 {
			x := 0.25 * d.NormFloat64()
			if voiced {
				phase += pitch * (1 + 0.1*math.Sin(float64(j)/rate*20)) / rate
				x = 0.02 * d.NormFloat64()
				if phase >= 1 {
					phase--
					x = 6
				}
			}
			if pause {
				x *= 0.01
			}
			env := math.Sin(math.Pi * float64(j) / float64(long))
			out[i] = env * (f[0].step(x) + 0.7*f[1].step(x) + 0.4*f[2].step(x))
		}
	}
	return out
}

// clicks are knocks at random times.
func clicks(n int, rate float64, seed uint64) []float64 {
	d := rng(seed, 6)
	out := make([]float64, n)
	for t := d.ExpFloat64() / 1.5; t*rate < float64(n); t += d.ExpFloat64() / 1.5 {
		v := voice{attack: 0.0002, hiss: 0.5, decay: 0.002 + 0.004*d.Float64(),
			tones: []tone{{400 + 1500*d.Float64(), 1, 0.008, 0}, {2500 + 3000*d.Float64(), 0.6, 0.003, 1}}}
		v.sound(out, t, math.Exp(0.5*d.NormFloat64()), rate, d)
	}
	return out
}

// rain is many small drops over a steady hiss.
func rain(n int, rate float64, seed uint64) []float64 {
	d := rng(seed, 7)
	out := make([]float64, n)
	low := 0.0
	for i := range out {
		x := d.NormFloat64()
		low += 0.08 * (x - low)
		out[i] = 0.10*x + 0.35*low
	}
	for t := 0.0; t*rate < float64(n); t += d.ExpFloat64() / 60 {
		v := voice{attack: 0.0003, hiss: 0.8, decay: 0.001 + 0.003*d.Float64(),
			tones: []tone{{1200 + 5000*d.Float64(), 0.8, 0.003, 0}}}
		v.sound(out, t, 0.8*math.Exp(0.8*d.NormFloat64()), rate, d)
	}
	return out
}
