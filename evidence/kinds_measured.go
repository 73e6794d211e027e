package evidence

// DimensionKinds lists what can be measured in millimetres.
func DimensionKinds() []string {
	return []string{"mid_case_diameter", "lug_width", "lug_to_lug", "thickness", "thickness_without_crystal",
		"bezel_diameter", "dial_diameter",
		"crown_diameter", "pusher_diameter", "crystal_diameter", "lug_thickness", "bracelet_width_at_lugs",
		"bracelet_width_at_clasp", "bracelet_length",
		"bracelet_droop", "bracelet_length_under_pull", "hour_hand_length", "minute_hand_length", "bevel_width"}
}

// Dimension is a length in millimetres with its uncertainty.
type Dimension struct {
	What string  `json:"what"`
	MM   float64 `json:"mm"`
	// PlusMinusMM is half the width of the 95 % interval; 0 means not stated and
	// counts as the instrument's usual 0.05.
	PlusMinusMM float64 `json:"plus_minus_mm,omitempty"`
	Instrument  string  `json:"instrument,omitempty"`
	// The next three say how bracelet stretch was measured: the droop over a free
	// length held level on its side, or the length of so many links under a pull.
	FreeLengthMM float64 `json:"free_length_mm,omitempty"`
	Links        int     `json:"links,omitempty"`
	PullN        float64 `json:"pull_n,omitempty"`
	Photo        ID      `json:"photo,omitempty"`
	// Picks are the points from which it was read in the photo, so that it can be read
	// again; docs/schema/picks.schema.json describes them.
	Picks Picks `json:"picks,omitempty"`
}

// Kind implements Data.
func (*Dimension) Kind() Kind { return KindDimension }

// Check implements Data.
func (d *Dimension) Check() (p Problems) {
	oneOf(&p, "what", d.What, DimensionKinds())
	switch d.What {
	case "bracelet_droop":
		p.within("mm", d.MM, 0, 200, "mm")
		if d.FreeLengthMM <= 0 {
			p.add("free_length_mm", "nothing", "the free length over which the droop was read")
		}
	case "bracelet_length_under_pull":
		p.within("mm", d.MM, 5, 300, "mm")
		if d.Links <= 0 {
			p.add("links", "nothing", "the number of links measured")
		}
		if d.PullN <= 0 {
			p.add("pull_n", "nothing", "the pull in newton (a 500 g weight pulls 4.9 N)")
		}
	default:
		p.within("mm", d.MM, 0.1, 300, "mm")
	}
	p.within("plus_minus_mm", d.PlusMinusMM, 0, 20, "mm")
	p.within("free_length_mm", d.FreeLengthMM, 0, 300, "mm")
	p.within("pull_n", d.PullN, 0, 100, "N")
	p.picks(d.Picks)
	return p
}

// Weighing is a mass in grams, in air or hanging in water.
type Weighing struct {
	What string  `json:"what"` // a slot, "watch", "head" (without bracelet) or "case_parts"
	G    float64 `json:"g"`
	In   string  `json:"in" jsonschema:"enum=air,enum=water"`
	// PlusMinusG is half the width of the 95 % interval; 0 means not stated and counts
	// as 0.02.
	PlusMinusG float64 `json:"plus_minus_g,omitempty"`
	WaterTempC float64 `json:"water_temp_c,omitempty"` // 0 means 20 °C
	Instrument string  `json:"instrument,omitempty"`
	Photo      ID      `json:"photo,omitempty"`
}

// Kind implements Data.
func (*Weighing) Kind() Kind { return KindWeighing }

// Check implements Data.
func (w *Weighing) Check() (p Problems) {
	if w.What != "watch" && w.What != "head" && w.What != "case_parts" && !Slot(w.What).Valid() {
		p.add("what", quote(w.What), "watch, head, case_parts or a slot such as bracelet")
	}
	p.within("g", w.G, 0.01, 2000, "g")
	oneOf(&p, "in", w.In, []string{"air", "water"})
	if w.In == "water" && (w.What == "watch" || w.What == "head" || w.What == "movement") {
		p.add("what", quote(w.What), "a bare part: a watch or a movement is never put in water")
	}
	p.within("plus_minus_g", w.PlusMinusG, 0, 10, "g")
	if w.WaterTempC != 0 {
		p.within("water_temp_c", w.WaterTempC, 4, 40, "°C")
	}
	return p
}

// Positions lists the positions of ISO 3158: dial up, dial down, and the hour that
// is uppermost.
func Positions() []string {
	return []string{"CH", "FH", "3H", "6H", "9H", "12H", "1H30", "4H30", "7H30", "10H30"}
}

// Rate is one reading of how the watch runs in one position.
type Rate struct {
	Position       string   `json:"position"` // ISO 3158
	SecPerDay      float64  `json:"s_per_day"`
	SecPerDaySE    float64  `json:"s_per_day_se,omitempty"`
	AmplitudeDeg   float64  `json:"amplitude_deg,omitempty"` // 0 means not read
	BeatErrorMS    *float64 `json:"beat_error_ms,omitempty"` // |t1 − t2|/2; 0 is a watch in beat
	LiftAngleDeg   float64  `json:"lift_angle_deg,omitempty"`
	HoursSinceWind float64  `json:"hours_since_wind,omitempty"`
	TempC          float64  `json:"temp_c,omitempty"`
	Recording      ID       `json:"recording,omitempty"`
	Instrument     string   `json:"instrument,omitempty"`

	// Standard errors; 0 means not stated. That of the rate leaves out the clock's own
	// term, which is the same for all readings by one clock.
	AmplitudeDegSE float64 `json:"amplitude_deg_se,omitempty"`
	BeatErrorMSSE  float64 `json:"beat_error_ms_se,omitempty"`
	ClockSE        float64 `json:"clock_s_per_day_se,omitempty"`
	Clock          string  `json:"clock,omitempty"` // name of the recorder whose measured clock was used
}

// Kind implements Data.
func (*Rate) Kind() Kind { return KindRate }

// Check implements Data.
func (r *Rate) Check() (p Problems) {
	oneOf(&p, "position", r.Position, Positions())
	p.within("s_per_day", r.SecPerDay, -2000, 2000, "s/d")
	p.within("s_per_day_se", r.SecPerDaySE, 0, 500, "s/d")
	p.within("amplitude_deg", r.AmplitudeDeg, 0, 400, "degrees")
	if r.BeatErrorMS != nil {
		p.within("beat_error_ms", *r.BeatErrorMS, 0, 50, "ms")
	}
	p.within("hours_since_wind", r.HoursSinceWind, 0, 240, "h")
	p.within("temp_c", r.TempC, -20, 60, "°C")
	p.within("lift_angle_deg", r.LiftAngleDeg, 0, 90, "degrees")
	p.within("amplitude_deg_se", r.AmplitudeDegSE, 0, 400, "degrees")
	p.within("beat_error_ms_se", r.BeatErrorMSSE, 0, 50, "ms")
	p.within("clock_s_per_day_se", r.ClockSE, 0, 200, "s/d")
	return p
}

// Recording is a sound of the tick, kept by the SHA-256 of its bytes.
type Recording struct {
	Blob           string  `json:"blob"`
	Position       string  `json:"position,omitempty"`
	LiftAngleDeg   float64 `json:"lift_angle_deg,omitempty"`
	BeatsPerHour   int     `json:"beats_per_hour,omitempty"`
	HoursSinceWind float64 `json:"hours_since_wind,omitempty"`
	Seconds        float64 `json:"seconds,omitempty"`

	// The recorder and how far its clock was taken to be fast, in parts in a million.
	// Both figures 0 mean that the clock was not measured.
	Recorder   string  `json:"recorder,omitempty"`
	ClockPPM   float64 `json:"clock_ppm,omitempty"`
	ClockPPMSE float64 `json:"clock_ppm_se,omitempty"`
}

// Kind implements Data.
func (*Recording) Kind() Kind { return KindRecording }

// Check implements Data.
func (r *Recording) Check() (p Problems) {
	p.need("blob", r.Blob, "the recording's SHA-256 or file name")
	if r.Position != "" {
		oneOf(&p, "position", r.Position, Positions())
	}
	p.within("lift_angle_deg", r.LiftAngleDeg, 0, 90, "degrees")
	p.within("hours_since_wind", r.HoursSinceWind, 0, 240, "h")
	p.within("seconds", r.Seconds, 0, 86400, "s")
	p.within("clock_ppm", r.ClockPPM, -2000, 2000, "parts in a million")
	p.within("clock_ppm_se", r.ClockPPMSE, 0, 2000, "parts in a million")
	if r.BeatsPerHour != 0 {
		p.within("beats_per_hour", float64(r.BeatsPerHour), 3600, 72000, "beats per hour")
	}
	return p
}

// Reading is a figure taken from a region of a photo: a colour or a length.
type Reading struct {
	Photo     ID          `json:"photo"`
	Slot      Slot        `json:"slot,omitempty"`
	What      string      `json:"what"`         // "plot 3", "dial ground", "lug width"
	At        [2]float64  `json:"at,omitempty"` // pixel, from the top left of the upright picture
	RadiusPx  float64     `json:"radius_px,omitempty"`
	Lab       *[3]float64 `json:"lab,omitempty"` // CIELAB, D65
	LengthMM  float64     `json:"length_mm,omitempty"`
	PlusMinus float64     `json:"plus_minus,omitempty"` // ΔE00 or mm
	// Picks are the points from which it was read, so that it can be read again;
	// docs/schema/picks.schema.json describes them.
	Picks Picks `json:"picks,omitempty"`
}

// Kind implements Data.
func (*Reading) Kind() Kind { return KindReading }

// Check implements Data.
func (r *Reading) Check() (p Problems) {
	p.need("photo", string(r.Photo), "the id of the photo item")
	p.need("what", r.What, "what was read, such as plot 3")
	checkSlot(&p, r.Slot, false)
	if r.Lab == nil && r.LengthMM == 0 {
		p.add("lab", "nothing", "a CIELAB colour, or length_mm")
	}
	if r.Lab != nil {
		p.within("lab", r.Lab[0], 0, 100, "for L*")
		p.within("lab", r.Lab[1], -150, 150, "for a*")
		p.within("lab", r.Lab[2], -150, 150, "for b*")
	}
	p.within("length_mm", r.LengthMM, 0, 300, "mm")
	p.within("plus_minus", r.PlusMinus, 0, 100, "(ΔE00 or mm)")
	p.within("radius_px", r.RadiusPx, 0, 1e5, "pixels")
	p.picks(r.Picks)
	return p
}
