package demo

import (
	"midcase/evidence"
)

// PhotoSpec says what one picture shows.
type PhotoSpec struct {
	File string
	Item evidence.ID // the photo item whose blob it is
	View string
}

// SoundSpec says what one recording sounds like.
type SoundSpec struct {
	File         string
	Item         evidence.ID // the recording item whose blob it is
	BeatsPerHour int
	LiftDeg      float64
	RateSPerDay  float64
	BeatErrorMS  float64
	AmplitudeDeg float64
	Seed         uint64
}

func (r *record) picture()     {}
func (r *record) readings()    {}
func (r *record) recordSound() {}

// Draw makes the picture.
func (p PhotoSpec) Draw() ([]byte, error) { return nil, nil }

// Make makes the recording.
func (p SoundSpec) Make() ([]byte, error) { return nil, nil }
