package demo

import (
	"bytes"
	"fmt"

	"midcase/evidence"
	"midcase/internal/demo/sound"
)

// SoundSpec says what one recording sounds like and how it was taken.
type SoundSpec struct {
	File    string      // in the folder of sounds
	Item    evidence.ID // the recording item whose blob it is
	Watch   sound.Watch
	Room    sound.Room
	Seconds float64
	Seed    uint64
}

const (
	soundSeconds = 20.0
	sampleRate   = 32000
)

// recordSound records the watch dial up: every sixth of the stock and the one that
// had water.
func (r *record) recordSound() {
	run := r.x.runs
	if (r.index%6 != 0 && !r.x.drying) || run.beatsPerHour == 0 {
		return
	}
	file := fmt.Sprintf("%02d-%s-%s.wav", r.index+1, r.x.maker.ID, slug(r.x.ref.ID))
	id := r.add(watchmaker, &evidence.Recording{Blob: file, Position: "CH", LiftAngleDeg: run.liftDeg,
		BeatsPerHour: run.beatsPerHour, HoursSinceWind: 1, Seconds: soundSeconds}, "")
	r.sounds = append(r.sounds, SoundSpec{File: file, Item: id, Seconds: soundSeconds, Seed: uint64(r.index + 1),
		Watch: sound.Watch{BeatsPerHour: float64(run.beatsPerHour), RateSecPerDay: run.at("CH"),
			AmplitudeDeg: run.amplitude, LiftAngleDeg: run.liftDeg, BeatErrorMS: run.beatError},
		Room: sound.Room{SNRdB: to(r.s.between(6, 16), 0.1), Hum: 0.1}})
}

// Make makes the recording as a WAV file: the same spec gives the same bytes.
func (p SoundSpec) Make() ([]byte, error) {
	var b bytes.Buffer
	if err := sound.WriteWAV(&b, sound.Record(p.Watch, p.Room, p.Seconds, sampleRate, p.Seed), sampleRate,
		16); err != nil {
		return nil, fmt.Errorf("recording %s: %w", p.File, err)
	}
	return b.Bytes(), nil
}
