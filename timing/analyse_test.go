package timing_test

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"midcase/internal/demo/sound"
	"midcase/timing"
)

// Worked by hand from A = λ/(2·sin(πft)) with f = beats an hour / 7200 (derived in
// the comment of Amplitude): five points, and the two checks of docs/methods.
func TestAmplitudeByHand(t *testing.T) {
	for _, c := range []struct{ lift, vph, ms, want float64 }{
		{52, 18000, 18.456, 180}, {52, 19800, 11.164, 270}, {52, 21600, 11.055, 250}, {52, 28800, 6.905, 300},
		{52, 36000, 7.541, 220},
		{52, 28800, 7.0, 295.95}, {52, 18000, 12, 276.28},
	} {
		if got := timing.Amplitude(c.lift, c.vph, c.ms/1000); math.Abs(got-c.want) > 0.03 {
			t.Errorf("%v° %v vph %v ms: %.3f°, want %v", c.lift, c.vph, c.ms, got, c.want)
		}
	}
}

func analyse(t *testing.T, pcm []float32, rate float64, o timing.Options) timing.Analysis {
	t.Helper()
	a, err := timing.Analyse(pcm, rate, o)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// The truth is a simulated balance (exact sine) of the project's own sound maker.
func TestRecoversMadeWatches(t *testing.T) {
	second := sound.Watch{BeatsPerHour: 28800, Loudness: 0.35}
	for _, c := range []struct {
		name string
		w    sound.Watch
		room sound.Room
		rate int
	}{
		{"slow, quiet room", sound.Watch{BeatsPerHour: 14400, RateSecPerDay: -35, AmplitudeDeg: 220, BeatErrorMS: 1.2},
			sound.Room{SNRdB: 20}, 44100},
		{"ordinary", sound.Watch{BeatsPerHour: 18000, RateSecPerDay: 4.2, AmplitudeDeg: 270, BeatErrorMS: 0.4,
			JitterMS: 0.03}, sound.Room{SNRdB: 10}, 44100},
		{"odd beat, noise as loud", sound.Watch{BeatsPerHour: 19800, RateSecPerDay: 18, AmplitudeDeg: 245,
			JitterMS: 0.03}, sound.Room{SNRdB: 0}, 44100},
		{"fast", sound.Watch{BeatsPerHour: 36000, RateSecPerDay: -3, AmplitudeDeg: 265, BeatErrorMS: 0.2},
			sound.Room{SNRdB: 10}, 48000},
		{"hum and talk", sound.Watch{BeatsPerHour: 21600, RateSecPerDay: 9, AmplitudeDeg: 230, BeatErrorMS: 0.7},
			sound.Room{SNRdB: 10, Hum: 3, Speech: 1, Clicks: 1}, 44100},
		{"gain control", sound.Watch{BeatsPerHour: 28800, RateSecPerDay: -12, AmplitudeDeg: 285, BeatErrorMS: 0.1},
			sound.Room{SNRdB: 10, AGC: true}, 44100},
		{"second watch", sound.Watch{BeatsPerHour: 18000, RateSecPerDay: 6, AmplitudeDeg: 250, BeatErrorMS: 0.3},
			sound.Room{SNRdB: 15, Second: &second}, 44100},
		{"telephone line", sound.Watch{BeatsPerHour: 18000, RateSecPerDay: 22, AmplitudeDeg: 255, BeatErrorMS: 0.9},
			sound.Room{SNRdB: 10}, 8000},
	} {
		a := analyse(t, sound.Record(c.w, c.room, 15, c.rate, 21), float64(c.rate), timing.Options{})
		if !a.Heard {
			t.Errorf("%s: %s", c.name, a.Reason)
			continue
		}
		if a.BeatsPerHour != c.w.BeatsPerHour {
			t.Errorf("%s: %v beats an hour, want %v", c.name, a.BeatsPerHour, c.w.BeatsPerHour)
			continue
		}
		if d := a.Rate.Value - c.w.RateSecPerDay; math.Abs(d) > 0.5 {
			t.Errorf("%s: rate %.2f ± %.2f s/d, want %.2f", c.name, a.Rate.Value, a.Rate.SE, c.w.RateSecPerDay)
		}
		if d := a.BeatError.Value - c.w.BeatErrorMS; math.Abs(d) > 0.1 {
			t.Errorf("%s: beat error %.3f ms, want %.3f", c.name, a.BeatError.Value, c.w.BeatErrorMS)
		}
		if a.Amplitude == nil || math.Abs(a.Amplitude.Value-c.w.AmplitudeDeg) > 6 {
			t.Errorf("%s: amplitude %v, want %.1f°", c.name, a.Amplitude, c.w.AmplitudeDeg)
		}
	}
}

func TestNoWatch(t *testing.T) {
	const rate = 22050
	for name, pcm := range map[string][]float32{
		"speech": sound.Speech(12, rate, 3), "hum": sound.Hum(12, rate, 3), "rain": sound.Rain(12, rate, 3),
		"silence": sound.Silence(12, rate, 3), "quartz": sound.Quartz(12, rate, 0, 20, 3),
		"zeros": make([]float32, 12*rate),
	} {
		a := analyse(t, pcm, rate, timing.Options{})
		if a.Heard || !strings.HasPrefix(string(a.Reason.Kind), "sound.") {
			t.Errorf("%s: heard %v, %q", name, a.Heard, a.Reason)
		}
	}
}

func TestClockCorrection(t *testing.T) {
	const rate = 16000
	q := sound.Quartz(60, rate, -30, 20, 5) // a reference 30 ppm slow looks like a recorder 30 ppm fast
	c, err := timing.Clock(q, rate, 2)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(c.PPM-30) > 3 || c.SE < 2 {
		t.Errorf("clock %.2f ± %.2f ppm, want 30", c.PPM, c.SE)
	}
	pcm := sound.Record(sound.Watch{RateSecPerDay: 5}, sound.Room{SNRdB: 15, ClockPPM: 30}, 20, rate, 4)
	raw, set := analyse(t, pcm, rate, timing.Options{}),
		analyse(t, pcm, rate, timing.Options{ClockPPM: 30, ClockPPMSE: 2})
	// 30 ppm are 2.592 s/d (86,400 s × 30e-6)
	if d := set.Rate.Value - raw.Rate.Value; math.Abs(d-2.592) > 0.01 {
		t.Errorf("the correction moves the rate by %.3f s/d, want 2.592", d)
	}
	if math.Abs(set.Rate.Value-5) > 0.4 || set.Rate.SE < 2*0.0864 {
		t.Errorf("rate %v, want 5", *set.Rate)
	}
	if _, err := timing.Clock(sound.Speech(30, rate, 1), rate, 0); err == nil {
		t.Error("speech passes for a clock")
	}
}

func TestPeriodicAndCourse(t *testing.T) {
	w := sound.Watch{BeatsPerHour: 18000, AmplitudeDeg: 260, Modulation: sound.Modulation{PeriodS: 20, SizeMS: 2}}
	a := analyse(t, sound.Record(w, sound.Room{SNRdB: 15}, 90, 16000, 3), 16000, timing.Options{})
	if a.Periodic == nil || math.Abs(a.Periodic.PeriodS-20) > 1 || math.Abs(a.Periodic.SizeMS-2) > 0.3 {
		t.Errorf("periodic part %v, want 2 ms over 20 s", a.Periodic)
	}
	if len(a.Course) < 7 {
		t.Errorf("course of %d stretches over 90 s", len(a.Course))
	}
	if a.Beats < 440 {
		t.Errorf("%d beats heard of 450", a.Beats)
	}
}

func TestBadInput(t *testing.T) {
	good := sound.Record(sound.Watch{}, sound.Room{SNRdB: 20}, 6, 16000, 1)
	bad := slices.Clone(good)
	bad[777] = float32(math.NaN())
	for name, c := range map[string]struct {
		pcm  []float32
		rate float64
		o    timing.Options
		want string
	}{
		"no samples":     {nil, 16000, timing.Options{}, "no samples"},
		"too short":      {good[:16000], 16000, timing.Options{}, "lasts 1.0 s"},
		"1 kHz":          {good, 1000, timing.Options{}, "sampled at 1000 Hz"},
		"not a number":   {bad, 16000, timing.Options{}, "sample 777"},
		"lift angle":     {good, 16000, timing.Options{LiftAngleDeg: 5}, "lift angle"},
		"beat rate":      {good, 16000, timing.Options{BeatsPerHour: 3600}, "beats an hour"},
		"rate not known": {good, math.NaN(), timing.Options{}, "sampled at"},
	} {
		_, err := timing.Analyse(c.pcm, c.rate, c.o)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q in it", name, err, c.want)
		}
	}
	stop := errors.New("disk gone")
	_, err := timing.AnalyseStream(func(yield func([]float32, error) bool) { yield(nil, stop) }, 16000,
		timing.Options{})
	if !errors.Is(err, stop) {
		t.Errorf("error of the stream lost: %v", err)
	}
	before := slices.Clone(good)
	analyse(t, good, 16000, timing.Options{})
	if !slices.Equal(good, before) {
		t.Error("the samples given were changed")
	}
}

func TestGivenBeatRate(t *testing.T) {
	pcm := sound.Record(sound.Watch{BeatsPerHour: 18000}, sound.Room{SNRdB: 15}, 10, 16000, 2)
	if a := analyse(t, pcm, 16000, timing.Options{BeatsPerHour: 18000}); !a.Heard || a.BeatsPerHour != 18000 {
		t.Errorf("given its beat rate: %v %v", a.Heard, a.BeatsPerHour)
	}
	if a := analyse(t, pcm, 16000, timing.Options{BeatsPerHour: 25200}); a.Heard {
		t.Error("a watch of 18,000 is heard as one of 25,200")
	}
	odd := sound.Record(sound.Watch{BeatsPerHour: 17280}, sound.Room{SNRdB: 15}, 10, 16000, 2)
	a := analyse(t, odd, 16000, timing.Options{Free: true})
	if !a.Heard || math.Abs(a.BeatsPerHour-17280) > 5 || a.Rate != nil {
		t.Errorf("17,280 beats: heard %v, %v beats, rate %v", a.Heard, a.BeatsPerHour, a.Rate)
	}
}

// Whatever the samples are, the analysis must answer and not panic.
func FuzzAnalyse(f *testing.F) {
	f.Add([]byte{1, 2, 3}, 16000.0, 3)
	f.Add([]byte{255, 0, 128, 7}, 8000.0, 400)
	f.Fuzz(func(t *testing.T, data []byte, rate float64, repeat int) {
		if len(data) == 0 || len(data) > 4096 || repeat < 0 || repeat > 2000 {
			return
		}
		pcm := make([]float32, 40000)
		for i := range pcm {
			pcm[i] = (float32(data[(i*(repeat+1))%len(data)]) - 128) / 128
		}
		a, err := timing.Analyse(pcm, rate, timing.Options{})
		if err == nil && a.Heard && (a.BeatError == nil || a.BeatsPerHour <= 0) {
			t.Errorf("heard without figures: %+v", a)
		}
	})
}
