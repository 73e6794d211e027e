package timing_test

import (
	"testing"

	"midcase/internal/demo/sound"
	"midcase/timing"
)

// Half a minute of sound; see the time of one round against 30 s.
func BenchmarkAnalyse30s(b *testing.B) {
	pcm := sound.Record(sound.Watch{BeatsPerHour: 21600}, sound.Room{SNRdB: 10}, 30, 44100, 1)
	for b.Loop() {
		if _, err := timing.Analyse(pcm, 44100, timing.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
