package soundfile_test

import (
	"bytes"
	"fmt"

	"midcase/internal/demo/sound"
	"midcase/internal/soundfile"
	"midcase/timing"
)

func ExampleOpen() {
	var file bytes.Buffer
	pcm := sound.Record(sound.Watch{BeatsPerHour: 21600, RateSecPerDay: -8}, sound.Room{SNRdB: 20}, 10, 22050, 1)
	if err := sound.WriteWAV(&file, pcm, 22050, 24); err != nil {
		fmt.Println(err)
		return
	}
	s, err := soundfile.Open(&file)
	if err != nil {
		fmt.Println(err)
		return
	}
	a, err := timing.AnalyseStream(s.Blocks(), s.Rate, timing.Options{LiftAngleDeg: 52})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s, %d bits: %.0f beats an hour, %+.0f s/d\n", s.Kind, s.Bits, a.BeatsPerHour, a.Rate.Value)
	// Output: WAV, 24 bits: 21600 beats an hour, -8 s/d
}
