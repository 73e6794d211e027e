package timing

import (
	"errors"
	"fmt"
	"math"

	"midcase/say"
)

// Change sets the running of a watch before something was done to it, such as a
// service, beside its running after. It is made by Compare.
type Change struct {
	// positions read on both sides, in the order of ISO 3158; a day after winding stands apart
	Rows  []ChangeRow `json:"rows"`
	Mean  ChangeRow   `json:"mean"`  // unweighted over the wound rows; Position is empty
	Delta *Step       `json:"delta"` // greatest less least rate over the wound rows, s/d; nil with fewer than two
	// Unstated says that a reading bore no standard error and a common one stood for it.
	Unstated bool            `json:"unstated"`
	Says     []say.Statement `json:"says"`
}

// ChangeRow is one position before and after. A figure not read on both sides is nil.
type ChangeRow struct {
	Position  string `json:"position,omitempty"` // ISO 3158
	DayLater  bool   `json:"day_after_winding,omitempty"`
	Rate      *Step  `json:"rate_s_per_day"`
	Amplitude *Step  `json:"amplitude_deg"`
	BeatError *Step  `json:"beat_error_ms"`
}

// Step is a figure before and after, and the difference, each with its standard error.
type Step struct {
	Before Figure `json:"before"`
	After  Figure `json:"after"`
	Change Figure `json:"change"` // after less before
}

// Clear says that the change is more than chance at 90 %.
func (s Step) Clear() bool { return math.Abs(s.Change.Value) > s.Change.Half() }

// Standard errors that stand for a reading which states none: read by hand off an
// instrument, once (common practice, no published source).
const (
	unstatedRate      = 1.2  // s/d
	unstatedAmplitude = 3.0  // degrees
	unstatedBeat      = 0.06 // ms
)

// Compare sets readings taken before beside readings taken after, position by
// position, with the difference and its standard error. Several readings of a position
// are averaged first. Only positions read on both sides count. The clock's term of the
// rate drops out of the difference where both sides name the same measured clock; else
// it counts twice. It is an error when a reading is not right, as in Positions, or
// when no position was read on both sides.
func Compare(before, after []PositionReading, by Practice) (Change, error) {
	var sides [2]map[sideKey]*side
	out := Change{Rows: []ChangeRow{}, Says: []say.Statement{}}
	for i, in := range [2][]PositionReading{before, after} {
		sides[i] = map[sideKey]*side{}
		for j, r := range in {
			if err := checkReading(r); err != nil {
				return Change{}, fmt.Errorf("compare: reading %d %s: %w", j+1, [2]string{"before", "after"}[i], err)
			}
			later := r.HoursSinceWind >= by.RunDownFrom
			if !later && r.HoursSinceWind > by.WoundHours {
				continue
			}
			k := sideKey{r.Position, later}
			if sides[i][k] == nil {
				sides[i][k] = &side{}
			}
			out.Unstated = sides[i][k].add(r) || out.Unstated
		}
	}
	var pairs []pair
	for _, later := range []bool{false, true} {
		for _, p := range positionOrder {
			k := sideKey{p, later}
			a, b := sides[0][k], sides[1][k]
			if a == nil || b == nil {
				continue
			}
			out.Rows = append(out.Rows, ChangeRow{Position: p, DayLater: later,
				Rate: a.rate.step(b.rate, sameClock(a, b)), Amplitude: a.amplitude.step(b.amplitude, false),
				BeatError: a.beat.step(b.beat, false)})
			if !later {
				pairs = append(pairs, pair{a, b})
			}
		}
	}
	if len(out.Rows) == 0 {
		return Change{}, errors.New("compare: no position was read both before and after, alike wound")
	}
	out.overall(pairs)
	out.tell()
	return out, nil
}

type sideKey struct {
	position string
	later    bool
}

type pair struct{ before, after *side }

// side is what was read in one position on one side.
type side struct {
	rate, amplitude, beat reads
	clock                 string
	mixed                 bool // more than one clock
}

// reads is a mean in the making: the sum of values, of squared standard errors, and of
// the clock's terms, which do not average out.
type reads struct{ sum, squares, clock, n float64 }

func (r *reads) add(v, se, clock float64) {
	r.sum, r.squares, r.clock, r.n = r.sum+v, r.squares+se*se, r.clock+clock, r.n+1
}

func (r reads) figure() Figure {
	return Figure{r.sum / r.n, math.Hypot(math.Sqrt(r.squares)/r.n, r.clock/r.n)}
}

// add takes a reading in and says whether a common standard error stood for its own.
func (s *side) add(r PositionReading) (unstated bool) {
	or := func(se, common float64) float64 {
		if se > 0 {
			return se
		}
		unstated = true
		return common
	}
	if s.rate.n > 0 && s.clock != r.Clock {
		s.mixed = true
	}
	s.clock = r.Clock
	s.rate.add(r.SecPerDay, or(r.SecPerDaySE, unstatedRate), r.ClockSE)
	if r.AmplitudeDeg > 0 {
		s.amplitude.add(r.AmplitudeDeg, or(r.AmplitudeDegSE, unstatedAmplitude), 0)
	}
	if r.BeatErrorMS != nil {
		s.beat.add(*r.BeatErrorMS, or(r.BeatErrorMSSE, unstatedBeat), 0)
	}
	return unstated
}

func sameClock(a, b *side) bool { return a.clock != "" && a.clock == b.clock && !a.mixed && !b.mixed }

// step is nil where one of them was not read.
func (r reads) step(after reads, sameClock bool) *Step {
	if r.n == 0 || after.n == 0 {
		return nil
	}
	a, b := r.figure(), after.figure()
	se := math.Hypot(a.SE, b.SE)
	if sameClock {
		se = math.Hypot(math.Sqrt(r.squares)/r.n, math.Sqrt(after.squares)/after.n)
	}
	return &Step{a, b, Figure{b.Value - a.Value, se}}
}

// overall forms the means over the wound positions and the spread of their rates.
func (c *Change) overall(pairs []pair) {
	var before, after [3]reads
	same := len(pairs) > 0
	for _, p := range pairs {
		same = same && sameClock(p.before, p.after) && p.before.clock == pairs[0].before.clock
		a, b := [3]reads{p.before.rate, p.before.amplitude, p.before.beat},
			[3]reads{p.after.rate, p.after.amplitude, p.after.beat}
		for i := range a {
			if a[i].n == 0 || b[i].n == 0 {
				continue
			}
			before[i].add(a[i].sum/a[i].n, math.Sqrt(a[i].squares)/a[i].n, a[i].clock/a[i].n)
			after[i].add(b[i].sum/b[i].n, math.Sqrt(b[i].squares)/b[i].n, b[i].clock/b[i].n)
		}
	}
	c.Mean = ChangeRow{Rate: before[0].step(after[0], same), Amplitude: before[1].step(after[1], false),
		BeatError: before[2].step(after[2], false)}
	if len(pairs) < 2 {
		return
	}
	a, b := spreadOf(pairs, func(p pair) reads { return p.before.rate }),
		spreadOf(pairs, func(p pair) reads { return p.after.rate })
	c.Delta = &Step{a, b, Figure{b.Value - a.Value, math.Hypot(a.SE, b.SE)}}
}

// spreadOf is the greatest less the least rate. The clock moves both alike and drops out.
func spreadOf(pairs []pair, of func(pair) reads) Figure {
	var lo, hi Figure
	for i, p := range pairs {
		r := of(p)
		f := Figure{r.sum / r.n, math.Sqrt(r.squares) / r.n}
		if i == 0 || f.Value < lo.Value {
			lo = f
		}
		if i == 0 || f.Value > hi.Value {
			hi = f
		}
	}
	return Figure{hi.Value - lo.Value, math.Hypot(lo.SE, hi.SE)}
}

// tell puts the change into words.
func (c *Change) tell() {
	tell := func(s say.Statement) { c.Says = append(c.Says, s) }
	if m := c.Mean.Amplitude; m != nil {
		switch {
		case !m.Clear():
			tell(say.That("service.amplitude-same", degrees("amplitude", m.After.Value)))
		case m.Change.Value > 0:
			tell(say.That("service.amplitude-rose", degrees("by", m.Change.Value), degrees("to", m.After.Value)))
		default:
			tell(say.That("service.amplitude-fell", degrees("by", -m.Change.Value), degrees("to", m.After.Value)))
		}
	}
	if m := c.Mean.BeatError; m != nil && m.Clear() {
		tell(say.That("service.beat-error", milliseconds("from", m.Before.Value), milliseconds("to", m.After.Value)))
	}
	if m := c.Mean.Rate; m != nil && m.Clear() {
		tell(say.That("service.rate", rate("from", m.Before.Value), rate("to", m.After.Value)))
	}
	if d := c.Delta; d != nil {
		switch {
		case !d.Clear():
			tell(say.That("service.spread-same", spread("spread", d.After.Value)))
		case d.Change.Value < 0:
			tell(say.That("service.spread-less", spread("from", d.Before.Value), spread("to", d.After.Value)))
		default:
			tell(say.That("service.spread-more", spread("from", d.Before.Value), spread("to", d.After.Value)))
		}
	}
	if c.Unstated {
		tell(say.That("service.assumed-errors", say.Fixed("rate", z90*unstatedRate, say.SecondPerDay, 0),
			degrees("amplitude", z90*unstatedAmplitude), milliseconds("beat", z90*unstatedBeat)))
	}
}

func degrees(name string, v float64) say.Arg { return say.Fixed(name, v, say.Degree, 0) }

func milliseconds(name string, v float64) say.Arg { return say.Fixed(name, v, say.Millisecond, 1) }

// spread is a difference of rates, without a sign.
func spread(name string, v float64) say.Arg { return say.Fixed(name, v, say.SecondPerDay, 1) }

// rate is a rate with its sign.
func rate(name string, v float64) say.Arg {
	return say.Arg{Name: name, Value: say.Measure{Value: v, Unit: say.SecondPerDay, Decimals: 1, Signed: true}}
}
