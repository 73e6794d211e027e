package web

import (
	"midcase/evidence"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/ear"
)

// earForm is how a movement was recorded, with the recording.
type earForm struct {
	earTaken
	earSound
}

type earTaken struct {
	Position string  `form:"position" label:"Position" kind:"choice"`
	Hours    float64 `form:"hours_since_wind" label:"Hours since fully wound" min:"0"`
	Lift     float64 `form:"lift_angle_deg" label:"Lift angle" unit:"°"`
	Beats    float64 `form:"beats_per_hour" label:"Beats per hour" kind:"amount"`
	Recorder string  `form:"recorder" label:"Recorder (clock correction)" kind:"choice" id:"recorder"`
	PPM      float64 `form:"clock_ppm" label:"Clock fast by" unit:"parts in a million" hint:"only to correct by other figures than the recorder’s; negative if slow"`
	SE       float64 `form:"clock_se" label:"Standard error of that" unit:"parts in a million" min:"0"`
}

type earSound struct {
	Sound form.File `form:"sound,needed" label:"Or a sound file" hint:"WAV, FLAC or MP3, 5 s to 30 min, at most 80 MB" accept:".wav,.flac,.mp3,audio/wav,audio/flac,audio/mpeg" want:"a WAV, FLAC or MP3 recording" id:"sound"`
	By    string    `form:"by" label:"Recorded by" auto:"name"`
}

// Prepare implements the choices of a form.
func (f *earForm) Prepare(v *form.View) {
	var all []form.Option
	for _, p := range evidence.Positions() {
		all = append(all, form.Option{Value: p, Text: ear.PositionWords(p)})
	}
	v.Offer(&f.Position, all...)
}

// runsForm asks what running is to be compared by.
type runsForm struct {
	Work  string `form:"work" label:"Service or repair" kind:"choice" id:"work"`
	Since string `form:"since" label:"Or before and after a day" kind:"day" id:"since"`
}

// clockForm measures a recorder's clock by a sound.
type clockForm struct {
	clockMeasured
	Sound form.File `form:"sound,needed" label:"Or a sound file" hint:"of a quartz watch or time pips, one sound a second; WAV, FLAC or MP3, at least 20 s, best two minutes" accept:".wav,.flac,.mp3,audio/wav,audio/flac,audio/mpeg" want:"a WAV, FLAC or MP3 recording of a quartz watch or time pips" id:"sound"`
}

type clockMeasured struct {
	Recorder  string  `form:"recorder,needed" label:"Name of the recorder" hint:"for example telephone at the counter; measuring a recorder again replaces its figures" id:"recorder"`
	Reference float64 `form:"reference" label:"Standard error of the reference" unit:"parts in a million" hint:"about 4 for a quartz watch that is 10 s a month off; 0.1 for broadcast time pips" min:"0"`
}

// clockFigures are a recorder's clock as it was measured elsewhere. Half is half the 90 % range, as pages and
// commands state it.
type clockFigures struct {
	Recorder string  `form:"recorder,needed" label:"Name of the recorder" id:"typed-recorder"`
	PPM      float64 `form:"ppm,needed" label:"Fast by" unit:"parts in a million" hint:"negative if slow"`
	Half     float64 `form:"half,needed" label:"± half the 90 % range" unit:"parts in a million" want:"half the 90 % range, a figure above 0"`
}

var (
	hearingForm    = form.Define[earForm]("the sound of a movement")
	comparingRuns  = form.Define[runsForm]("running before and after")
	measuringClock = form.Define[clockForm]("measure a recorder's clock")
	typingClock    = form.Define[clockFigures]("a recorder's clock by figures")
)
