package timing_test

import (
	"fmt"

	"midcase/internal/demo/sound"
	"midcase/timing"
)

func ExampleAnalyse() {
	watch := sound.Watch{BeatsPerHour: 18000, RateSecPerDay: 6, AmplitudeDeg: 268}
	pcm := sound.Record(watch, sound.Room{SNRdB: 20}, 10, 22050, 1)
	a, err := timing.Analyse(pcm, 22050, timing.Options{LiftAngleDeg: 52})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f beats an hour, gains %.0f s/d\n", a.BeatsPerHour, a.Rate.Value)
	// Output: 18000 beats an hour, gains 6 s/d
}

func ExamplePositions() {
	r, err := timing.Positions([]timing.PositionReading{
		{Position: "CH", SecPerDay: 5, AmplitudeDeg: 284},
		{Position: "6H", SecPerDay: -3, AmplitudeDeg: 251},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("mean %+.1f s/d, greatest difference %.1f s/d\n", *r.Mean, *r.Delta)
	fmt.Println(r.Says[0])
	// Output:
	// mean +1.0 s/d, greatest difference 8.0 s/d
	// Amplitude lying flat is healthy, 284°.
}
