package sound_test

import (
	"bytes"
	"encoding/binary"
	"math"
	"slices"
	"testing"

	"midcase/internal/demo/sound"
)

// Times from unlocking to drop of the table in the project's methods: A = λ/(2·sin(πft)),
// λ = 52°, worked by hand; at five points.
func TestLiftTimesAgainstTable(t *testing.T) {
	for _, c := range []struct{ vph, amp, ms float64 }{
		{18000, 180, 18.456}, {18000, 270, 12.280}, {21600, 250, 11.055}, {28800, 300, 6.905}, {36000, 220, 7.541},
	} {
		w := sound.Watch{BeatsPerHour: c.vph, AmplitudeDeg: c.amp, LiftAngleDeg: 52}
		for _, b := range sound.Beats(w, 3, 1) {
			if got := (b.Drop - b.Unlock) * 1000; math.Abs(got-c.ms) > 0.0006 {
				t.Fatalf("%v vph, %v°: %.4f ms from unlocking to drop, want %.3f", c.vph, c.amp, got, c.ms)
			}
		}
	}
}

// The balance must really stand at -λ/2 and +λ/2 at these times.
func TestBeatsAgainstTheSineItself(t *testing.T) {
	w := sound.Watch{BeatsPerHour: 19800, AmplitudeDeg: 231, LiftAngleDeg: 49, StartS: 0.1}
	f := 19800.0 / 7200
	theta := func(at float64) float64 { return 231 * math.Sin(2*math.Pi*f*(at-0.1)) }
	for n, b := range sound.Beats(w, 2, 1) {
		sign := 1.0
		if n%2 == 1 {
			sign = -1
		}
		if d := theta(b.Unlock)*sign + 24.5; math.Abs(d) > 1e-6 {
			t.Fatalf("beat %d: balance %.6f° off at unlocking", n, d)
		}
		if d := theta(b.Drop)*sign - 24.5; math.Abs(d) > 1e-6 {
			t.Fatalf("beat %d: balance %.6f° off at drop", n, d)
		}
	}
}

func TestRateIsExact(t *testing.T) {
	w := sound.Watch{BeatsPerHour: 28800, RateSecPerDay: 12.5}
	b := sound.Beats(w, 600, 1)
	period := (b[len(b)-1].Unlock - b[0].Unlock) / float64(len(b)-1)
	if got := 86400 * (0.125/period - 1); math.Abs(got-12.5) > 1e-6 {
		t.Errorf("rate %.7f s/d, want 12.5", got)
	}
}

func TestBeatErrorIsExact(t *testing.T) {
	for _, ms := range []float64{0, 0.3, 2.5} {
		b := sound.Beats(sound.Watch{BeatErrorMS: ms}, 3, 1)
		t1, t2 := b[2].Unlock-b[1].Unlock, b[3].Unlock-b[2].Unlock
		if got := math.Abs(t1-t2) / 2 * 1000; math.Abs(got-ms) > 1e-6 {
			t.Errorf("beat error %.7f ms, want %v", got, ms)
		}
	}
}

func TestModulationAndDecay(t *testing.T) {
	plain := sound.Beats(sound.Watch{}, 130, 1)
	mod := sound.Beats(sound.Watch{Modulation: sound.Modulation{PeriodS: 60, SizeMS: 4}, AmplitudeDecayPerHour: 0.5},
		130, 1)
	low, high := 0.0, 0.0
	for i := range mod {
		d := (mod[i].Impulse - plain[i].Impulse) * 1000
		low, high = math.Min(low, d), math.Max(high, d)
	}
	if math.Abs(high-4) > 0.2 || math.Abs(low+4) > 0.2 {
		t.Errorf("modulation from %.2f to %.2f ms, want -4 to 4", low, high)
	}
	last := mod[len(mod)-1]
	if want := 270 * math.Exp(-0.5*last.Impulse/3600); math.Abs(last.AmplitudeDeg-want) > 0.01 {
		t.Errorf("amplitude %.3f° at the end, want %.3f", last.AmplitudeDeg, want)
	}
}

func TestWatchThatDoesNotRun(t *testing.T) {
	if b := sound.Beats(sound.Watch{AmplitudeDeg: 26, LiftAngleDeg: 52}, 5, 1); len(b) != 0 {
		t.Errorf("%d beats at an amplitude of half the lift", len(b))
	}
}

func power(v []float32) float64 {
	s := 0.0
	for _, x := range v {
		s += float64(x) * float64(x)
	}
	return s / float64(len(v))
}

// The noise is added to the same ticks, so noisy less clean, both brought to one
// scale, is the noise alone.
func TestSNRAsSaid(t *testing.T) {
	w := sound.Watch{BeatsPerHour: 18000}
	for _, db := range []float64{0, 10, 20} {
		clean := sound.Record(w, sound.Room{NoNoise: true}, 10, 44100, 5)
		noisy := sound.Record(w, sound.Room{SNRdB: db}, 10, 44100, 5)
		// least squares: noisy = k·clean + noise
		num := 0.0
		for i := range clean {
			num += float64(clean[i]) * float64(noisy[i])
		}
		k := num / (power(clean) * float64(len(clean)))
		noise := power(noisy) - k*k*power(clean)
		if got := 10 * math.Log10(k*k*power(clean)/noise); math.Abs(got-db) > 0.1 {
			t.Errorf("%.2f dB, want %v", got, db)
		}
	}
}

// A tick must begin in the sound where Beats says, by a plain threshold on the
// clean recording.
func TestSoundBeginsAtUnlocking(t *testing.T) {
	const rate = 96000
	for _, ppm := range []float64{0, 500} {
		w := sound.Watch{BeatsPerHour: 18000}
		v := sound.Record(w, sound.Room{NoNoise: true, Reverb: -1, ClockPPM: ppm}, 5, rate, 9)
		for _, b := range sound.Beats(w, 4.9, 9) {
			at := b.Unlock * rate * (1 + ppm*1e-6)
			i := int(at) - 40
			for i < len(v) && math.Abs(float64(v[i])) < 0.002 {
				i++
			}
			if d := (float64(i) - at) / rate * 1000; d < 0 || d > 0.08 {
				t.Fatalf("ppm %v: sound begins %.3f ms after the unlocking", ppm, d)
			}
		}
	}
}

func TestReproducible(t *testing.T) {
	second := sound.Watch{BeatsPerHour: 28800, Loudness: 0.5}
	r := sound.Room{SNRdB: 6, Hum: 1, Speech: 0.5, Clicks: 0.5, Second: &second, AGC: true, ClockPPM: 20}
	a := sound.Record(sound.Watch{JitterMS: 0.05}, r, 2, 22050, 3)
	if !slices.Equal(a, sound.Record(sound.Watch{JitterMS: 0.05}, r, 2, 22050, 3)) {
		t.Error("the same seed gives other samples")
	}
	if slices.Equal(a, sound.Record(sound.Watch{JitterMS: 0.05}, r, 2, 22050, 4)) {
		t.Error("another seed gives the same samples")
	}
	for _, rate := range []int{8000, 192000} {
		if v := sound.Record(sound.Watch{}, r, 1, rate, 1); len(v) != rate {
			t.Errorf("%d samples at %d Hz for one second", len(v), rate)
		}
	}
	if second.Loudness != 0.5 || second.AmplitudeDeg != 0 {
		t.Error("the second watch was changed")
	}
}

func TestOtherSounds(t *testing.T) {
	for name, v := range map[string][]float32{
		"speech": sound.Speech(2, 16000, 1), "hum": sound.Hum(2, 16000, 1), "rain": sound.Rain(2, 16000, 1),
		"silence": sound.Silence(2, 16000, 1), "quartz": sound.Quartz(2, 16000, 10, 20, 1),
	} {
		if len(v) != 32000 {
			t.Errorf("%s: %d samples", name, len(v))
		}
		loud := power(v) > 1e-4
		if loud == (name == "silence") {
			if name != "quartz" {
				t.Errorf("%s: mean power %g", name, power(v))
			}
		}
		for i, x := range v {
			if x != x || x > 1 || x < -1 {
				t.Fatalf("%s: sample %d is %v", name, i, x)
			}
		}
	}
}

// The header is read back field by field as the RIFF WAVE format lays it down.
func TestWAVHeader(t *testing.T) {
	in := []float32{0, 0.5, -0.5, 1, -1, 2, 0.25}
	for _, bits := range []int{8, 16, 24, 32, -32} {
		var b bytes.Buffer
		if err := sound.WriteWAV(&b, in, 22050, bits); err != nil {
			t.Fatal(err)
		}
		p := b.Bytes()
		le16, le32 := binary.LittleEndian.Uint16, binary.LittleEndian.Uint32
		width, tag := bits/8, uint16(1)
		if bits < 0 {
			width, tag = 4, 3
		}
		data := len(in) * width
		if string(p[:4]) != "RIFF" || string(p[8:16]) != "WAVEfmt " || string(p[36:40]) != "data" {
			t.Fatalf("%d bits: chunk names wrong", bits)
		}
		if int(le32(p[4:])) != len(p)-8 || len(p)%2 != 0 || int(le32(p[40:])) != data {
			t.Errorf("%d bits: sizes %d and %d in a file of %d", bits, le32(p[4:]), le32(p[40:]), len(p))
		}
		if le16(p[20:]) != tag || le16(p[22:]) != 1 || le32(p[24:]) != 22050 || int(le32(p[28:])) != 22050*width ||
			int(le16(p[32:])) != width || int(le16(p[34:])) != 8*width {
			t.Errorf("%d bits: format chunk wrong", bits)
		}
		second := p[44+width : 44+2*width]
		var got float64
		switch bits {
		case 8:
			got = (float64(second[0]) - 128) / 127
		case 16:
			got = float64(int16(le16(second))) / 32767
		case 24:
			got = float64(int32(uint32(second[0])<<8|uint32(second[1])<<16|uint32(second[2])<<24)>>8) / (1<<23 - 1)
		case 32:
			got = float64(int32(le32(second))) / (1<<31 - 1)
		case -32:
			got = float64(math.Float32frombits(le32(second)))
		}
		if math.Abs(got-0.5) > 0.005 {
			t.Errorf("%d bits: second sample %v, want 0.5", bits, got)
		}
	}
	if err := sound.WriteWAV(&bytes.Buffer{}, in, 22050, 12); err == nil {
		t.Error("12 bits were accepted")
	}
	if err := sound.WriteWAV(&bytes.Buffer{}, in, 0, 16); err == nil {
		t.Error("a rate of 0 was accepted")
	}
}
