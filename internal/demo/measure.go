package demo

import (
	"math"

	"midcase/evidence"
)

// nominal is a size of the book; 0 where it has none.
func (x *specimen) nominal(what string) float64 {
	for _, d := range x.ref.Dimensions {
		if d.What == what {
			return d.MM
		}
	}
	return 0
}

// measured are the sizes that the shop takes, in the order of the bench.
var measured = []string{"mid_case_diameter", "lug_width", "lug_to_lug", "thickness", "crown_diameter", "lug_thickness",
	"bezel_diameter"}

// dimensions are sizes by caliper: the true size with the factory's spread, less what
// was polished away, plus the error of the reading.
func (r *record) dimensions() {
	x := r.x
	for i, what := range measured {
		mm := x.nominal(what)
		if mm == 0 || (i > 2 && what != "lug_thickness" && !r.s.chance(0.7)) {
			continue
		}
		tolerance := 0.1
		for _, d := range x.ref.Dimensions {
			if d.What == what && d.ToleranceMM > 0 {
				tolerance = d.ToleranceMM
			}
		}
		mm += tolerance / 3 * r.s.NormFloat64()
		switch what {
		case "mid_case_diameter":
			mm -= x.lossMM
		case "lug_thickness":
			mm -= x.lugLoss
		case "lug_to_lug":
			mm -= 1.2 * x.lossMM
		}
		r.size(what, mm)
	}
	r.braceletSizes()
}

func (r *record) size(what string, mm float64) {
	r.add(owner, &evidence.Dimension{What: what, MM: to(mm+0.015*r.s.NormFloat64(), 0.01), PlusMinusMM: 0.04,
		Instrument: "digital caliper"}, "")
}

// braceletSizes are the taper and the stretch of the bracelet.
func (r *record) braceletSizes() {
	p := r.x.parts[evidence.Bracelet]
	if p == nil {
		return
	}
	b, ok := r.x.maker.Bracelet(p.id)
	if !ok {
		return
	}
	width := b.WidthMM
	if e := r.x.parts[evidence.EndPieces]; e != nil {
		if piece, ok := r.x.maker.EndPiece(e.id); ok {
			width = math.Min(width, piece.LugWidthMM)
		}
	}
	r.size("bracelet_width_at_lugs", width)
	r.size("bracelet_width_at_clasp", b.ClaspMM)
	slack := r.stretch()
	if r.s.chance(0.6) {
		r.add(owner, &evidence.Dimension{What: "bracelet_droop", MM: to(100*(0.02+slack*5), 1), PlusMinusMM: 3,
			FreeLengthMM: 100, Instrument: "ruler"}, "")
		return
	}
	links := 6
	r.add(owner, &evidence.Dimension{What: "bracelet_length_under_pull",
		MM: to(float64(links)*b.PitchMM*(1+slack), 0.05), PlusMinusMM: 0.2, Links: links, PullN: 4.9,
		Instrument: "digital caliper"}, "")
}

// stretch is how much longer the bracelet is than new, as a share.
func (r *record) stretch() float64 {
	for _, f := range r.x.faults[evidence.Bracelet] {
		if f.term == "stretch" {
			return []float64{0, 0.011, 0.024, 0.042, 0.06}[f.severity]
		}
	}
	return 0.001
}

// alloyDensity in g/cm³: steel 316L; yellow alloys within the ranges that suppliers
// give.
var alloyDensity = map[string]float64{"steel": 7.95, "gold18": 15.45, "gold14": 13.10, "two_tone": 9.3,
	"gold_filled": 8.6}

const waterDensity = 0.9982 // g/cm³ at 20 °C

// weight is a nominal mass of the book in grams.
func (x *specimen) weight(part string) float64 {
	for _, w := range x.ref.Weights {
		if w.Part == part {
			return w.G
		}
	}
	return 0
}

// weighings are the watch, the head and the bracelet; a bracelet of gold also in
// water.
func (r *record) weighings() {
	x := r.x
	head := 4.2 // dial, hands, crystal, crown
	for _, part := range []string{"case", "case_back", "bezel", "movement"} {
		head += x.weight(part)
	}
	head *= 1 - x.lossMM/18 + 0.01*r.s.NormFloat64()
	bracelet := r.braceletWeight()
	r.weigh("head", head, "air")
	if bracelet == 0 {
		return
	}
	r.weigh("watch", head+bracelet, "air")
	r.weigh("bracelet", bracelet, "air")
	p := x.parts[evidence.Bracelet]
	if fineness(p.metal) == "" {
		return
	}
	volume := 0.97*bracelet/alloyDensity[p.metal] + 0.03*bracelet/alloyDensity["steel"] // springs and pins
	r.weigh("bracelet", bracelet-volume*waterDensity, "water")
}

// braceletWeight is the mass of the bracelet with its clasp; 0 on a strap.
func (r *record) braceletWeight() float64 {
	p := r.x.parts[evidence.Bracelet]
	if p == nil {
		return 0
	}
	b, ok := r.x.maker.Bracelet(p.id)
	if !ok {
		return 0
	}
	return b.WeightG * (1 + 0.015*r.s.NormFloat64())
}

func (r *record) weigh(what string, g float64, in string) {
	w := &evidence.Weighing{What: what, G: to(g+0.01*r.s.NormFloat64(), 0.01), In: in, PlusMinusG: 0.02,
		Instrument: "bench balance, 0.01 g"}
	if in == "water" {
		w.PlusMinusG, w.WaterTempC = 0.04, 20
	}
	r.add(owner, w, "")
}

// running is how the watch truly runs.
type running struct {
	mean, spread, amplitude, beatError float64
	beatsPerHour                       int
	liftDeg                            float64
}

func (x *specimen) running(s stream) running {
	wear := float64(x.plan.wear)
	r := running{mean: to(3+(4+3*wear)*s.NormFloat64(), 0.1), spread: 4 + 5*wear*s.Float64() + 4*s.Float64(),
		amplitude: 285 - 12*wear - 15*s.Float64(), beatError: 0.1 + 0.3*wear*s.Float64()}
	if x.drying {
		r = running{mean: -85, spread: 95, amplitude: 168, beatError: 2.9}
	}
	if p := x.parts[evidence.Movement]; p != nil {
		if c, ok := x.maker.Calibre(p.id); ok {
			r.beatsPerHour, r.liftDeg = c.BeatsPerHour, c.LiftAngleDeg
		}
	}
	return r
}

// shift is how a position stands to the mean, as a share of the spread, and how much
// amplitude it costs.
var shift = map[string][2]float64{"CH": {0.35, 0}, "FH": {0.25, 2}, "6H": {-0.45, -24}, "9H": {-0.2, -22},
	"12H": {-0.05, -20}, "3H": {0.1, -26}}

// shopPositions are the positions in which the shop reads, in its order.
var shopPositions = []string{"CH", "FH", "6H", "9H", "3H", "12H"}

// at is the true rate in a position: the mean over all six is the watch's mean.
func (r running) at(position string) float64 {
	middle := 0.0
	for _, p := range shopPositions {
		middle += shift[p][0] / float64(len(shopPositions))
	}
	return r.mean + r.spread*(shift[position][0]-middle)
}

// rates are readings in the positions that the shop uses.
func (r *record) rates() {
	run := r.x.runs
	positions := shopPositions
	if r.index%3 == 1 {
		positions = positions[:3]
	}
	for _, p := range positions {
		r.add(watchmaker, &evidence.Rate{Position: p, SecPerDay: to(run.at(p)+0.4*r.s.NormFloat64(), 0.1),
			SecPerDaySE:  0.4,
			AmplitudeDeg: to(run.amplitude+shift[p][1]+2*r.s.NormFloat64(), 1),
			BeatErrorMS:  new(to(math.Max(0, run.beatError+0.05*r.s.NormFloat64()), 0.1)),
			LiftAngleDeg: run.liftDeg, HoursSinceWind: 1, TempC: 22, Instrument: "contact microphone"}, "")
	}
	if r.index%4 == 0 {
		r.add(watchmaker, &evidence.Rate{Position: "CH", SecPerDay: to(run.at("CH")-3-2*r.s.Float64(), 0.1),
			SecPerDaySE: 0.4, AmplitudeDeg: to(run.amplitude-38, 1),
			BeatErrorMS: new(to(run.beatError, 0.1)), LiftAngleDeg: run.liftDeg, HoursSinceWind: 24, TempC: 22,
			Instrument: "contact microphone"}, "after a day")
	}
	r.recordSound()
}
