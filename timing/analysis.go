package timing

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
	Practice     *Practice
}

// Analysis is what was heard in a recording.
type Analysis struct {
	Heard        bool     `json:"heard"`
	Reason       string   `json:"reason,omitempty"` // why nothing was heard
	BeatsPerHour float64  `json:"beats_per_hour,omitempty"`
	Confidence   float64  `json:"confidence,omitempty"` // 0 to 1, that this beat rate is the right one
	Rate         *Figure  `json:"rate_s_per_day"`       // plus gains
	BeatError    *Figure  `json:"beat_error_ms"`        // |t1 − t2|/2 of successive intervals between unlockings
	Amplitude    *Figure  `json:"amplitude_deg"`        // nil where the sound cannot give it
	LiftAngleDeg float64  `json:"lift_angle_deg,omitempty"`
	Seconds      float64  `json:"seconds"`
	SNRdB        float64  `json:"snr_db"` // mean power of the watch over that of the noise, in the band listened to
	Beats        int      `json:"beats,omitempty"`
	Course       []Course `json:"course,omitempty"`   // by stretches of about ten seconds
	Periodic     *Wave    `json:"periodic,omitempty"` // strongest periodic part of the rate
	Notes        []string `json:"notes"`
	Trace        []Trace  `json:"trace,omitempty"`
}

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
