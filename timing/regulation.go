package timing

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"sort"
	"strings"

	"midcase/say"
)

// PositionReading is one reading of a watch's running in one position.
type PositionReading struct {
	ID             string   // evidence id, carried through for the basis
	Position       string   // ISO 3158 symbol: CH, FH, 3H, 6H, 9H, 12H or a half position
	SecPerDay      float64  // plus gains
	AmplitudeDeg   float64  // 0 means not read
	BeatErrorMS    *float64 // |t1 − t2|/2; nil where it was not read
	HoursSinceWind float64  // hours since fully wound; 0 means just wound or not noted

	// Standard errors; 0 means not stated.
	SecPerDaySE    float64 // of the reading, without the clock's own term
	AmplitudeDegSE float64
	BeatErrorMSSE  float64
	ClockSE        float64 // s/d, the clock's term, shared by all readings of one clock
	Clock          string  // name of the recorder whose clock was measured; "" where none was
}

// Limit is one criterion of ISO 3159 beside the figure read from this watch. It
// is information: the standard's figures come from a fifteen-day programme at
// three temperatures, and a few readings on the bench are no such test.
type Limit struct {
	Criterion string  `json:"criterion"`
	Movement  string  `json:"movement"` // size of movement that the limit holds for
	Value     float64 `json:"value"`    // s/d
	Low       float64 `json:"low"`      // s/d
	High      float64 `json:"high"`     // s/d
	Within    bool    `json:"within"`
}

// Regulation says how a watch runs over its positions. A nil figure could not
// be told from the readings given. Rates are in s/d, amplitudes in degrees,
// beat error in ms.
type Regulation struct {
	// unweighted mean over positions, wound readings
	Mean *float64 `json:"mean_s_per_day"`
	// greatest less least over positions; needs two
	Delta *float64 `json:"delta_s_per_day"`
	// mean of verticals minus mean of horizontals: ours, over all positions that were read
	VerticalMinusHorizontal *float64 `json:"vertical_minus_horizontal_s_per_day"`
	// 6H minus CH, the difference of ISO 3159
	SixUpMinusDialUp *float64 `json:"six_up_minus_dial_up_s_per_day,omitempty"`
	// largest |position − mean|; needs two
	GreatestDeviation *float64 `json:"greatest_deviation_s_per_day"`
	// of the mean, the clock's term in it; nil where a reading states none
	MeanSE *float64 `json:"mean_se_s_per_day,omitempty"`
	// the clock's term alone: it moves all positions together
	ClockSE         float64  `json:"clock_se_s_per_day,omitempty"`
	MeanAmplitude   *float64 `json:"mean_amplitude_deg"`
	LowestAmplitude *float64 `json:"lowest_amplitude_deg"`
	MeanBeatError   *float64 `json:"mean_beat_error_ms"`
	// about 24 h after winding less fully wound, same positions
	Isochronism   *float64 `json:"isochronism_s_per_day"`
	AmplitudeFall *float64 `json:"amplitude_fall_deg"` // fully wound less about 24 h after, same positions
	// positions that the mean stands on, in the order of ISO 3158
	Positions       []string        `json:"positions"`
	Limits          []Limit         `json:"limits"`           // ISO 3159, as information
	Says            []say.Statement `json:"says"`             // judgement in plain words, common practice
	ServiceExpected *bool           `json:"service_expected"` // nil where no amplitude or other ground is there
	Basis           []string        `json:"basis"`            // ids of the readings used, in the order given
}

// Practice holds the figures by which a workshop judges. They are common
// practice with no published source, and every shop may set its own.
type Practice struct {
	WoundHours     float64 // readings up to this many hours after winding count as wound
	RunDownFrom    float64 // readings from this many hours on count as a day later
	HealthyDeg     float64 // horizontal amplitude, wound, at least: healthy
	ServiceDeg     float64 // horizontal amplitude, wound, below: service is due
	PoorDeg        float64 // vertical amplitude after a day, below: poor
	RebankDeg      float64 // above: the pin may strike the outside of the fork
	FineBeatMS     float64 // beat error below: fine
	AdjustBeatMS   float64 // beat error above: adjust
	FineDelta      float64 // s/d over positions, up to: excellent for an old watch
	FairDelta      float64 // s/d over positions, up to: acceptable
	MagnetSecDay   float64 // gaining more than this with odd amplitude: suspect magnetism
	RegulableSec   float64 // off by more than this many s/d: no turn of the regulator puts it right
	VerticalGapDeg float64 // horizontals over verticals by more than this: pivots or poise
}

// CommonPractice returns the judgement figures used unless a shop sets others.
func CommonPractice() Practice {
	return Practice{WoundHours: 12, RunDownFrom: 18, HealthyDeg: 270, ServiceDeg: 220, PoorDeg: 180, RebankDeg: 330,
		FineBeatMS: 0.6, AdjustBeatMS: 1.0, FineDelta: 10, FairDelta: 25, MagnetSecDay: 60, RegulableSec: 180,
		VerticalGapDeg: 50}
}

var positionOrder = []string{"CH", "FH", "12H", "1H30", "3H", "4H30", "6H", "7H30", "9H", "10H30"}

func horizontal(position string) bool { return position == "CH" || position == "FH" }

// Positions forms the regulation figures from readings over positions, judged
// by CommonPractice. Several readings of one position are averaged first, so
// that each position weighs the same. Readings long after winding count for the
// isochronism only. It is an error when there is no reading, a position is not a
// symbol of ISO 3158, or a figure is not finite or below zero where it cannot be.
func Positions(in []PositionReading) (Regulation, error) {
	return PositionsBy(in, CommonPractice())
}

// PositionsBy is Positions judged by a shop's own practice.
func PositionsBy(in []PositionReading, by Practice) (Regulation, error) {
	if len(in) == 0 {
		return Regulation{}, fmt.Errorf("positions: no reading given; one position at least is needed")
	}
	for i, r := range in {
		if err := checkReading(r); err != nil {
			return Regulation{}, fmt.Errorf("positions: reading %d: %w", i+1, err)
		}
	}
	wound, later := groups{}, groups{}
	var out Regulation
	for _, r := range in {
		switch {
		case r.HoursSinceWind <= by.WoundHours:
			wound.add(r)
		case r.HoursSinceWind >= by.RunDownFrom:
			later.add(r)
		}
		if r.ID != "" {
			out.Basis = append(out.Basis, r.ID)
		}
	}
	out.fillRates(wound)
	out.fillErrors(in, by)
	out.fillAmplitudes(wound, later, in)
	out.Limits = limits(out)
	out.judge(wound, later, by)
	return out, nil
}

func checkReading(r PositionReading) error {
	known := false
	for _, p := range positionOrder {
		known = known || p == r.Position
	}
	if !known {
		return fmt.Errorf("“%s” is not a position. Give one of %s (ISO 3158)", r.Position,
			strings.Join(positionOrder, ", "))
	}
	for _, f := range []struct {
		name string
		v    float64
		min  float64
	}{{"rate", r.SecPerDay, math.Inf(-1)}, {"amplitude", r.AmplitudeDeg, 0}, {"beat error", orZero(r.BeatErrorMS), 0},
		{"hours since wind", r.HoursSinceWind, 0},
		{"standard error of the rate", r.SecPerDaySE, 0}, {"standard error of the amplitude", r.AmplitudeDegSE, 0},
		{"standard error of the beat error", r.BeatErrorMSSE, 0}, {"the clock's term", r.ClockSE, 0}} {
		if math.IsNaN(f.v) || math.IsInf(f.v, 0) || f.v < f.min {
			return fmt.Errorf("the %s cannot be %v. Give a figure of %g or more", f.name, f.v, f.min)
		}
	}
	return nil
}

func orZero(v *float64) float64 {
	if v == nil {
		return 0
	}
	return *v
}

// group is the readings of one position.
type group struct {
	rate, amp, beat []float64
}

type groups map[string]*group

func (g groups) add(r PositionReading) {
	e := g[r.Position]
	if e == nil {
		e = &group{}
		g[r.Position] = e
	}
	e.rate = append(e.rate, r.SecPerDay)
	if r.AmplitudeDeg > 0 {
		e.amp = append(e.amp, r.AmplitudeDeg)
	}
	if r.BeatErrorMS != nil {
		e.beat = append(e.beat, *r.BeatErrorMS)
	}
}

// over returns one mean per position, in the order of ISO 3158, of the positions kept.
func (g groups) over(pick func(*group) []float64, keep func(string) bool) (vals []float64, names []string) {
	for _, p := range positionOrder {
		e := g[p]
		if e == nil || !keep(p) || len(pick(e)) == 0 {
			continue
		}
		vals = append(vals, mean(pick(e)))
		names = append(names, p)
	}
	return vals, names
}

func rates(g *group) []float64      { return g.rate }
func amplitudes(g *group) []float64 { return g.amp }
func beatErrors(g *group) []float64 { return g.beat }
func any1(string) bool              { return true }
func vertical(p string) bool        { return !horizontal(p) }

func mean(v []float64) float64 {
	s := 0.0
	for _, x := range v {
		s += x
	}
	return s / float64(len(v))
}

func meanOrNil(v []float64) *float64 {
	if len(v) == 0 {
		return nil
	}
	m := mean(v)
	return &m
}

func (out *Regulation) fillRates(wound groups) {
	all, names := wound.over(rates, any1)
	out.Mean, out.Positions = meanOrNil(all), names
	if len(all) >= 2 {
		s := append([]float64(nil), all...)
		sort.Float64s(s)
		d := s[len(s)-1] - s[0]
		p := math.Max(s[len(s)-1]-*out.Mean, *out.Mean-s[0])
		out.Delta, out.GreatestDeviation = &d, &p
	}
	v, _ := wound.over(rates, vertical)
	h, _ := wound.over(rates, horizontal)
	if len(v) > 0 && len(h) > 0 {
		d := mean(v) - mean(h)
		out.VerticalMinusHorizontal = &d
	}
	if six, up := wound["6H"], wound["CH"]; six != nil && up != nil {
		d := mean(six.rate) - mean(up.rate)
		out.SixUpMinusDialUp = &d
	}
}

// fillErrors gives the standard error of the mean rate. One clock's term moves all of its
// positions alike, so that it does not shrink with their number; those of two clocks have
// nothing to do with each other and add in squares.
func (out *Regulation) fillErrors(in []PositionReading, by Practice) {
	perPosition := map[string][]PositionReading{}
	for _, r := range in {
		if r.HoursSinceWind <= by.WoundHours {
			if r.SecPerDaySE == 0 {
				return
			}
			perPosition[r.Position] = append(perPosition[r.Position], r)
		}
	}
	n := float64(len(perPosition))
	if n == 0 {
		return
	}
	own, clocks := 0.0, map[string]float64{}
	for _, p := range positionOrder {
		rs := perPosition[p]
		k := float64(len(rs))
		for _, r := range rs {
			own += math.Pow(r.SecPerDaySE/k/n, 2)
			clocks[r.Clock] += r.ClockSE / k / n
		}
	}
	clock := 0.0
	for _, name := range slices.Sorted(maps.Keys(clocks)) {
		clock += math.Pow(clocks[name], 2)
	}
	clock = math.Sqrt(clock)
	se := math.Hypot(math.Sqrt(own), clock)
	out.MeanSE, out.ClockSE = &se, clock
}

func (out *Regulation) fillAmplitudes(wound, later groups, in []PositionReading) {
	amp, _ := wound.over(amplitudes, any1)
	out.MeanAmplitude = meanOrNil(amp)
	for _, r := range in {
		if r.AmplitudeDeg > 0 && (out.LowestAmplitude == nil || r.AmplitudeDeg < *out.LowestAmplitude) {
			a := r.AmplitudeDeg
			out.LowestAmplitude = &a
		}
	}
	beat, _ := wound.over(beatErrors, any1)
	out.MeanBeatError = meanOrNil(beat)
	var iso, fall []float64
	for _, p := range positionOrder {
		a, b := wound[p], later[p]
		if a == nil || b == nil {
			continue
		}
		iso = append(iso, mean(b.rate)-mean(a.rate))
		if len(a.amp) > 0 && len(b.amp) > 0 {
			fall = append(fall, mean(a.amp)-mean(b.amp))
		}
	}
	out.Isochronism, out.AmplitudeFall = meanOrNil(iso), meanOrNil(fall)
}

// limits sets the figures beside ISO 3159:2009 for both sizes of movement. The
// figures over 20 mm are published; those for 20 mm and less are from memory.
func limits(r Regulation) []Limit {
	var out []Limit
	add := func(criterion string, v *float64, lo20, hi20, lo, hi float64) {
		if v == nil {
			return
		}
		out = append(out,
			Limit{criterion, "over 20 mm", *v, lo20, hi20, *v >= lo20 && *v <= hi20},
			Limit{criterion, "20 mm or less", *v, lo, hi, *v >= lo && *v <= hi})
	}
	add("mean rate", r.Mean, -4, 6, -5, 8)
	add("6H minus CH", r.SixUpMinusDialUp, -6, 8, -8, 10)
	add("greatest deviation from the mean", r.GreatestDeviation, 0, 10, 0, 15)
	return out
}
