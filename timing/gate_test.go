package timing_test

import (
	"math"
	"strings"
	"testing"

	"midcase/internal/demo/sound"
	"midcase/timing"
)

// A watch out of beat whose tick and tock sound unlike was read at half its beat rate, in
// beat and with all confidence. 2.2 ms is what such a watch was found with.
func TestOutOfBeatIsNotHalfTheBeat(t *testing.T) {
	seeds, kinds := []uint64{7000, 7003, 7005, 7008}, []float64{28800, 36000}
	for _, bph := range kinds {
		for i, seed := range seeds {
			w := sound.Watch{BeatsPerHour: bph, RateSecPerDay: -20, AmplitudeDeg: 250,
				BeatErrorMS: 2.2 + 0.4*float64(i), JitterMS: 0.03, Unlike: 1}
			pcm := sound.Record(w, sound.Room{SNRdB: 10 - 10*float64(i%2), HallS: 0.3}, 12, 44100, seed)
			a := analyse(t, pcm, 44100, timing.Options{})
			if !a.Heard || a.BeatsPerHour != bph || math.Abs(a.BeatError.Value-w.BeatErrorMS) > 0.15 {
				t.Errorf("%v, seed %d: heard %v, %v beats an hour, beat error %v; want %.1f", bph, seed, a.Heard,
					a.BeatsPerHour, a.BeatError, w.BeatErrorMS)
			}
		}
	}
	for i, bph := range []float64{14400, 18000} { // slow ones stay slow
		w := sound.Watch{BeatsPerHour: bph, AmplitudeDeg: 250, BeatErrorMS: 1, JitterMS: 0.03, Unlike: 1}
		pcm := sound.Record(w, sound.Room{SNRdB: 20, HallS: 0.6}, 12, 44100, 60+uint64(i))
		if a := analyse(t, pcm, 44100, timing.Options{}); a.BeatsPerHour != bph {
			t.Errorf("%v beats an hour are read as %v", bph, a.BeatsPerHour)
		}
	}
}

// Tick and tock sound unlike in every watch: the stated range of the beat error must hold all
// the same. With 40 recordings chance alone moves the count by 1.9 (binomial).
func TestTickAndTockSoundUnlike(t *testing.T) {
	const n = 40
	held := 0
	for i := range n {
		w := sound.Watch{BeatsPerHour: timing.StandardBeats()[i%8], RateSecPerDay: 5, AmplitudeDeg: 200 + 2*float64(i),
			BeatErrorMS: 0.08 * float64(i), JitterMS: 0.03, Unlike: 1}
		room := sound.Room{SNRdB: 10}
		switch i % 3 {
		case 1:
			room.HallS = 0.5
		case 2:
			room.Hands = 1
		}
		a := analyse(t, sound.Record(w, room, 12, 44100, 900+uint64(i)), 44100, timing.Options{LiftAngleDeg: 52})
		if !a.Heard || a.BeatError == nil {
			t.Errorf("recording %d is not heard: %v", i, a.Reason)
			continue
		}
		if math.Abs(a.BeatError.Value-w.BeatErrorMS) < a.BeatError.Half() {
			held++
		}
	}
	if held < 31 {
		t.Errorf("%d of %d ranges of 90 %% hold the beat error", held, n)
	}
}

// Music on the very grid of a watch's beats, alarms and people who drum are no watches.
func TestWhatKeepsTimeAndIsNoWatch(t *testing.T) {
	for k := range sound.Tunes {
		for i, steps := range []float64{300, 480} {
			pcm := sound.Music(k, steps, 12, 44100, 300+uint64(i))
			a := analyse(t, pcm, 44100, timing.Options{})
			if a.Heard {
				t.Errorf("tune %d at %v a minute: a watch of %v beats an hour is heard, amplitude %v", k, steps,
					a.BeatsPerHour, a.Amplitude)
			}
			if c, err := timing.Clock(sound.Music(k, steps, 25, 22050, 300+uint64(i)), 22050, 4); err == nil {
				t.Errorf("tune %d at %v a minute is taken as a clock's second: %v", k, steps, c)
			}
		}
	}
}

func TestClockDoubtsItself(t *testing.T) {
	c, err := timing.Clock(sound.Quartz(40, 22050, -300, 20, 4), 22050, 2)
	if err != nil {
		t.Fatal(err)
	}
	if c.Of != "ticks" || len(c.Notes) != 1 || !strings.Contains(c.Notes[0].String(), "parts in a million") {
		t.Errorf("%+v; 300 parts in a million ask for doubt", c)
	}
	if _, err := timing.Clock(sound.Hum(40, 22050, 1), 22050, 2); err == nil ||
		!strings.Contains(err.Error(), "mains hum") {
		t.Errorf("hum: %v", err)
	}
}

// A telephone carries nothing above 4 kHz: said, and the ranges are wider.
func TestBandLimited(t *testing.T) {
	w := sound.Watch{BeatsPerHour: 21600, BeatErrorMS: 0.4, JitterMS: 0.02, Unlike: 1}
	wide := sound.Record(w, sound.Room{SNRdB: 10}, 12, 44100, 5)
	narrow := lowPassed(wide, 44100, 4000)
	a, b := analyse(t, wide, 44100, timing.Options{}), analyse(t, narrow, 44100, timing.Options{})
	if b.BeatError == nil || b.BeatError.SE < 1.5*a.BeatError.SE {
		t.Errorf("beat error %v, of the narrow recording %v", a.BeatError, b.BeatError)
	}
	if b.Amplitude != nil && b.Amplitude.SE < 1.5*a.Amplitude.SE {
		t.Errorf("amplitude %v, of the narrow recording %v", a.Amplitude, b.Amplitude)
	}
	said := func(a timing.Analysis) bool {
		for _, n := range a.Notes {
			if n.Kind == "sound.narrow" {
				return true
			}
		}
		return false
	}
	if said(a) || !said(b) {
		t.Errorf("said of the wide one %v, of the narrow one %v", said(a), said(b))
	}
}

// lowPassed keeps what lies under a frequency, by a windowed sinc of 401 values.
func lowPassed(v []float32, rate, hz float64) []float32 {
	const h = 200
	var kernel [2*h + 1]float64
	for i := range kernel {
		x := float64(i - h)
		k := 2 * hz / rate
		if x != 0 {
			k = math.Sin(2*math.Pi*hz*x/rate) / (math.Pi * x)
		}
		kernel[i] = k * (0.42 + 0.5*math.Cos(math.Pi*x/h) + 0.08*math.Cos(2*math.Pi*x/h)) // Blackman
	}
	out := make([]float32, len(v))
	for i := range out {
		s := 0.0
		for j, k := range kernel {
			if q := i + j - h; q >= 0 && q < len(v) {
				s += k * float64(v[q])
			}
		}
		out[i] = float32(s)
	}
	return out
}
