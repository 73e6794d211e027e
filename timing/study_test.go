package timing_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"testing"
	"time"

	"midcase/internal/demo/sound"
	"midcase/timing"
)

func TestStudy(t *testing.T) {
	if os.Getenv("STUDY") == "" {
		t.Skip("set STUDY=1")
	}
	d := rand.New(rand.NewPCG(1, 2))
	for _, snr := range []float64{20, 10, 0} {
		n, bad, noAmp := 0, 0, 0
		var er, eb, ea []float64
		cr, cb, ca := 0, 0, 0
		var dt time.Duration
		for i := range 40 {
			rates := timing.StandardBeats()
			w := sound.Watch{BeatsPerHour: rates[i%len(rates)], RateSecPerDay: 60*d.Float64() - 30, AmplitudeDeg: 190 + 120*d.Float64(), LiftAngleDeg: 44 + 10*d.Float64(), BeatErrorMS: 2 * d.Float64() * d.Float64(), JitterMS: 0.03}
			pcm := sound.Record(w, sound.Room{SNRdB: snr}, 30, 44100, uint64(i)+77)
			t0 := time.Now()
			a, err := timing.Analyse(pcm, 44100, timing.Options{LiftAngleDeg: w.LiftAngleDeg})
			dt += time.Since(t0)
			if err != nil {
				t.Fatal(err)
			}
			n++
			if !a.Heard || a.BeatsPerHour != w.BeatsPerHour {
				bad++
				fmt.Println("bad", w, a.Heard, a.Reason, a.BeatsPerHour)
				continue
			}
			x := a.Rate.Value - w.RateSecPerDay
			er = append(er, math.Abs(x))
			if math.Abs(x) < 1.645*a.Rate.SE {
				cr++
			}
			y := a.BeatError.Value - w.BeatErrorMS
			eb = append(eb, math.Abs(y))
			if math.Abs(y) < 1.645*a.BeatError.SE {
				cb++
			}
			if a.Amplitude == nil {
				noAmp++
				continue
			}
			z := a.Amplitude.Value - w.AmplitudeDeg
			ea = append(ea, math.Abs(z))
			if math.Abs(z) < 1.645*a.Amplitude.SE {
				ca++
			}
			if math.Abs(z) > 5 {
				fmt.Printf("  amp off %.1f at %v vph A %.0f lift %.0f se %.2f\n", z, w.BeatsPerHour, w.AmplitudeDeg, w.LiftAngleDeg, a.Amplitude.SE)
			}
		}
		q := func(v []float64) string {
			s := append([]float64(nil), v...)
			for i := range s {
				for j := i + 1; j < len(s); j++ {
					if s[j] < s[i] {
						s[i], s[j] = s[j], s[i]
					}
				}
			}
			if len(s) == 0 {
				return "-"
			}
			return fmt.Sprintf("med %.3f p95 %.3f max %.3f", s[len(s)/2], s[len(s)*95/100], s[len(s)-1])
		}
		fmt.Printf("snr %v: n %d bad %d noAmp %d\n rate %s cover %d/%d\n beat %s cover %d\n amp %s cover %d/%d  %v each\n", snr, n, bad, noAmp, q(er), cr, len(er), q(eb), cb, q(ea), ca, len(ea), dt/time.Duration(n))
	}
	no := map[string]func(seed uint64) []float32{
		"speech": func(s uint64) []float32 { return sound.Speech(30, 44100, s) }, "hum": func(s uint64) []float32 { return sound.Hum(30, 44100, s) },
		"rain": func(s uint64) []float32 { return sound.Rain(30, 44100, s) }, "silence": func(s uint64) []float32 { return sound.Silence(30, 44100, s) },
		"quartz": func(s uint64) []float32 { return sound.Quartz(30, 44100, 0, 20, s) },
	}
	for name, f := range no {
		heard := 0
		for s := range uint64(8) {
			a, err := timing.Analyse(f(s), 44100, timing.Options{})
			if err != nil {
				t.Fatal(err)
			}
			if a.Heard {
				heard++
				fmt.Println(name, a.BeatsPerHour, a.Confidence)
			}
		}
		fmt.Println(name, "heard", heard, "of 8")
	}
}
