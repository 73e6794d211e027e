package timing_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"midcase/internal/demo/sound"
	"midcase/timing"
)

// Do the stated errors hold? Over made recordings of random watches, 90 % intervals
// should hold the truth about 90 times in a hundred. With 60 recordings, chance
// alone moves the count by 2.3 either way (binomial), so the bounds are three such steps.
func TestStatedErrorsAreHonest(t *testing.T) {
	const n = 60
	d := rand.New(rand.NewPCG(11, 12))
	var rate, beat, amp []float64
	held := map[string]int{}
	count := func(name string, got timing.Figure, want float64) float64 {
		if math.Abs(got.Value-want) < 1.645*got.SE {
			held[name]++
		}
		return math.Abs(got.Value - want)
	}
	for i := range n {
		rates := timing.StandardBeats()
		w := sound.Watch{BeatsPerHour: rates[i%len(rates)], RateSecPerDay: 80*d.Float64() - 40,
			AmplitudeDeg: 190 + 120*d.Float64(),
			LiftAngleDeg: 46 + 8*d.Float64(), BeatErrorMS: 0.1 + 1.5*d.Float64(), JitterMS: 0.03, Unlike: 1}
		pcm := sound.Record(w, sound.Room{SNRdB: 10}, 10, 22050, uint64(i)+500)
		a := analyse(t, pcm, 22050, timing.Options{LiftAngleDeg: w.LiftAngleDeg})
		if !a.Heard || a.BeatsPerHour != w.BeatsPerHour {
			t.Fatalf("recording %d: heard %v, %v beats an hour, want %v", i, a.Heard, a.BeatsPerHour, w.BeatsPerHour)
		}
		rate = append(rate, count("rate", *a.Rate, w.RateSecPerDay))
		beat = append(beat, count("beat error", *a.BeatError, w.BeatErrorMS))
		if a.Amplitude == nil {
			t.Errorf("recording %d: no amplitude", i)
			continue
		}
		amp = append(amp, count("amplitude", *a.Amplitude, w.AmplitudeDeg))
	}
	for name, h := range held {
		t.Logf("%s: %d of %d 90 %% intervals hold the truth", name, h, n)
		if h < 47 {
			t.Errorf("%s: only %d of %d 90 %% intervals hold the truth", name, h, n)
		}
	}
	for _, c := range []struct {
		name  string
		v     []float64
		limit float64
	}{{"rate, s/d", rate, 0.5}, {"beat error, ms", beat, 0.12}, {"amplitude, °", amp, 5}} {
		slices.Sort(c.v)
		p95 := c.v[len(c.v)*95/100]
		t.Logf("%s: 95 of 100 errors below %.3f", c.name, p95)
		if p95 > c.limit {
			t.Errorf("%s: 95 of 100 errors below %.3f only, want %v", c.name, p95, c.limit)
		}
	}
}
