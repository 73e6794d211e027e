package timing

import "midcase/say"

// Figure is a value with its standard error.
type Figure struct {
	Value float64 `json:"value"`
	SE    float64 `json:"se"`
}

// Options says what is known beforehand. The zero Options suits a watch of which
// nothing is known.
type Options struct {
	BeatsPerHour float64 // of the calibre; 0 finds it among StandardBeats
	Free         bool    // allow a beat rate off the standard ones
	LiftAngleDeg float64 // of the calibre; 0 takes 52, a common default, and says so
	ClockPPM     float64 // the recorder's clock is fast by so many parts in a million
	ClockPPMSE   float64 // standard error of that
	// Lossy says that the sound went through a lossy coder such as MP3, whose noise comes
	// in frames, so that neighbouring beats err together; ranges are widened for it.
	Lossy    bool
	Practice *Practice
}

// Analysis is what was heard in a recording.
type Analysis struct {
	Heard        bool          `json:"heard"`
	Reason       say.Statement `json:"reason,omitzero"` // why nothing was heard
	BeatsPerHour float64       `json:"beats_per_hour,omitempty"`
	Confidence   float64       `json:"confidence,omitempty"` // 0 to 1, that this beat rate is the right one
	Rate         *Figure       `json:"rate_s_per_day"`       // plus gains; by the recorder's clock, as corrected
	BeatError    *Figure       `json:"beat_error_ms"`        // |t1 − t2|/2 of successive intervals between unlockings
	Amplitude    *Figure       `json:"amplitude_deg"`        // nil where the sound cannot give it
	LiftAngleDeg float64       `json:"lift_angle_deg,omitempty"`
	Seconds      float64       `json:"seconds"`
	// Stated is the rate with all that is not known of it: where the clock was not
	// corrected, the clock's own term is added to the standard error of Rate.
	Stated      *Figure         `json:"rate_stated_s_per_day,omitempty"`
	StatedRange *[2]float64     `json:"rate_stated_interval_90,omitempty"`
	Clock       *ClockTerm      `json:"clock,omitempty"`
	SNRdB       float64         `json:"snr_db"` // mean power of the watch over that of the noise
	Beats       int             `json:"beats,omitempty"`
	Course      []Course        `json:"course,omitempty"`   // by stretches of about ten seconds
	Periodic    *Wave           `json:"periodic,omitempty"` // strongest periodic part of the rate
	Notes       []say.Statement `json:"notes"`
	Trace       []Trace         `json:"trace,omitempty"`
}

// ClockTerm is how true the recorder's clock is taken to be.
type ClockTerm struct {
	Corrected bool    `json:"corrected"` // measured against a reference
	PPM       float64 `json:"ppm"`       // fast by so many parts in a million
	PPMSE     float64 `json:"ppm_se"`
	SE        float64 `json:"se_s_per_day"` // what that comes to in the rate
}

// UncorrectedPPM is half the 90 % range of a recorder's clock that nobody measured:
// crystals of telephones and recorders are sold within 20 to 50 parts in a million and
// mostly keep within 20 at room temperature (common practice, no published source).
// It comes to 1.7 s a day.
const UncorrectedPPM = 20.0

// PPMToSecPerDay is what one part in a million comes to in a day, s.
const PPMToSecPerDay = 0.0864

// z90 is half the width of a 90 % range in standard errors.
const z90 = 1.6449

// Term says how true the clock is that the options give.
func (o Options) Term() ClockTerm {
	if o.ClockPPM == 0 && o.ClockPPMSE == 0 {
		se := UncorrectedPPM / z90
		return ClockTerm{PPMSE: round(se, 3), SE: round(se*PPMToSecPerDay, 4)}
	}
	return ClockTerm{Corrected: true, PPM: o.ClockPPM, PPMSE: o.ClockPPMSE, SE: round(o.ClockPPMSE*PPMToSecPerDay, 4)}
}

// Half is half the 90 % range.
func (f Figure) Half() float64 { return z90 * f.SE }

// Course is the running over one stretch.
type Course struct {
	FromS        float64  `json:"from_s"`
	ToS          float64  `json:"to_s"`
	Rate         Figure   `json:"rate_s_per_day"`
	AmplitudeDeg *float64 `json:"amplitude_deg"`
}

// Wave is a periodic error of the time shown: ± SizeMS over PeriodS.
type Wave struct {
	PeriodS float64 `json:"period_s"`
	SizeMS  float64 `json:"size_ms"`
}

// Trace is one beat: how far it comes late against the nominal beat, in ms.
type Trace struct {
	AtS    float64 `json:"at_s"`
	LateMS float64 `json:"late_ms"`
	Odd    bool    `json:"odd"`
	Used   bool    `json:"used"` // false for a beat that was left out as an outlier
}
