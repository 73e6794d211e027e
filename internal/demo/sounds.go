package demo

import (
	"fmt"

	"midcase/evidence"
)

// SoundSpec says what one recording sounds like.
type SoundSpec struct {
	File         string      // in the folder of sounds
	Item         evidence.ID // the recording item whose blob it is
	Position     string
	Seconds      float64
	BeatsPerHour int
	LiftDeg      float64
	RateSPerDay  float64
	BeatErrorMS  float64
	AmplitudeDeg float64
	Seed         uint64
}

// recorded says which watches of the stock are recorded: every sixth.
func (r *record) recorded() bool { return r.index%6 == 0 || r.x.drying }

// recordSound records the watch dial up.
func (r *record) recordSound() {
	run := r.x.runs
	if !r.recorded() || run.beatsPerHour == 0 {
		return
	}
	file := fmt.Sprintf("%02d-%s-%s.wav", r.index+1, r.x.maker.ID, slug(r.x.ref.ID))
	item := &evidence.Recording{Blob: file, Position: "CH", LiftAngleDeg: run.liftDeg, BeatsPerHour: run.beatsPerHour, HoursSinceWind: 1, Seconds: soundSeconds}
	id := r.add(watchmaker, item, "")
	r.sounds = append(r.sounds, SoundSpec{File: file, Item: id, Position: "CH", Seconds: soundSeconds, BeatsPerHour: run.beatsPerHour, LiftDeg: run.liftDeg,
		RateSPerDay: run.mean + run.spread*0.35, BeatErrorMS: run.beatError, AmplitudeDeg: run.amplitude, Seed: uint64(r.index + 1)})
}

const soundSeconds = 20.0

// Make makes the recording as a WAV file: the same spec gives the same bytes.
func (p SoundSpec) Make() ([]byte, error) { return nil, nil } // TODO
