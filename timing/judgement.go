package timing

import (
	"math"

	"midcase/say"
)

// judge writes what a workshop would say and whether a service is to be
// expected. Grounds: amplitude first, then beat error and spread.
func (out *Regulation) judge(wound, later groups, by Practice) {
	tell := func(s say.Statement) { out.Says = append(out.Says, s) }
	service, grounds := out.judgeAmplitude(wound, later, by, tell)
	if knocks := out.judgeKnocking(wound, by, tell); knocks {
		service, grounds = true, true
	}
	out.judgeBeat(by, tell)
	if far := out.judgeRate(by, tell); far {
		service, grounds = true, true
	}
	if out.Mean != nil && *out.Mean > by.MagnetSecDay {
		tell(say.That("running.magnetism", say.Fixed("rate", *out.Mean, say.SecondPerDay, 0)))
	}
	if len(out.Says) > 0 {
		tell(say.That("running.practice"))
	}
	if grounds {
		out.ServiceExpected = &service
	}
}

func (out *Regulation) judgeAmplitude(wound, later groups, by Practice, tell func(say.Statement)) (service,
	grounds bool) {
	h, _ := wound.over(amplitudes, horizontal)
	v, _ := wound.over(amplitudes, vertical)
	ref, lying, healthy, due := h, "lying", by.HealthyDeg, by.ServiceDeg
	if len(ref) == 0 {
		// Verticals stand about 30 degrees lower, so they are judged by that much less.
		ref, lying, healthy, due = v, "standing", by.HealthyDeg-30, by.ServiceDeg-30
	}
	if len(ref) > 0 {
		grounds = true
		a := mean(ref)
		switch {
		case a > by.RebankDeg: // judgeKnocking says it
		case a >= healthy:
			tell(say.That("running.healthy", attitude("attitude", lying), degrees("amplitude", a)))
		case a >= due:
			tell(say.That("running.usable", attitude("attitude", lying), degrees("amplitude", a)))
		default:
			tell(say.That("running.weak", attitude("attitude", lying), degrees("amplitude", a)))
			service = true
		}
	}
	if len(h) > 0 && len(v) > 0 {
		switch gap := mean(h) - mean(v); {
		case gap > by.VerticalGapDeg:
			tell(say.That("running.falls-standing", degrees("gap", gap)))
		case mean(h) < due && gap < by.VerticalGapDeg:
			tell(say.That("running.low-everywhere"))
		}
	}
	if lv, _ := later.over(amplitudes, vertical); len(lv) > 0 {
		grounds = true
		if mean(lv) < by.PoorDeg {
			tell(say.That("running.poor-later", degrees("amplitude", mean(lv))))
			service = true
		}
	}
	return service, grounds
}

// attitude says whether a watch lies flat or stands.
func attitude(name, id string) say.Arg { return say.Term(name, "attitude", id, "") }

func (out *Regulation) judgeBeat(by Practice, tell func(say.Statement)) {
	if out.MeanBeatError == nil {
		return
	}
	switch b := *out.MeanBeatError; {
	case b < by.FineBeatMS:
		tell(say.That("running.beat-fine", milliseconds("error", b)))
	case b <= by.AdjustBeatMS:
		tell(say.That("running.beat-large", milliseconds("error", b)))
	default:
		tell(say.That("running.beat-adjust", milliseconds("error", b)))
	}
}

// judgeKnocking looks for a position in which the balance may strike the fork from outside.
func (out *Regulation) judgeKnocking(wound groups, by Practice, tell func(say.Statement)) bool {
	all, names := wound.over(amplitudes, any1)
	for i, a := range all {
		if a > by.RebankDeg {
			tell(say.That("running.knocking", say.Name("position", names[i]), degrees("amplitude", a)))
			return true
		}
	}
	return false
}

// judgeRate says how the rate is, and reports whether it is so far off that a watchmaker must look.
func (out *Regulation) judgeRate(by Practice, tell func(say.Statement)) (far bool) {
	if out.Mean != nil {
		tell(out.meanRate())
		if far = math.Abs(*out.Mean) > by.RegulableSec; far {
			tell(say.That("running.far-off"))
		}
	}
	if out.Delta != nil {
		switch d := *out.Delta; {
		case d <= by.FineDelta:
			tell(say.That("running.spread-excellent", spread("spread", d)))
		case d <= by.FairDelta:
			tell(say.That("running.spread-acceptable", spread("spread", d)))
		default:
			tell(say.That("running.spread-uneven", spread("spread", d)))
		}
	}
	if out.Isochronism != nil {
		tell(say.That("running.isochronism", rate("rate", *out.Isochronism)))
	}
	return far
}

// inTime is half the last digit that a rate is written with, s/d.
const inTime = 0.05

// meanRate says what the watch gains or loses, and over how many positions.
func (out *Regulation) meanRate() say.Statement {
	over := say.That("running.over", say.Count("n", len(out.Positions)))
	if len(out.Positions) == 1 {
		over = say.That("running.in-one", say.Name("position", out.Positions[0]))
	}
	if math.Abs(*out.Mean) < inTime {
		return say.That("running.in-time", say.Saying("over", over))
	}
	if *out.Mean < 0 {
		return say.That("running.loses", spread("rate", math.Abs(*out.Mean)), say.Saying("over", over))
	}
	return say.That("running.gains", spread("rate", math.Abs(*out.Mean)), say.Saying("over", over))
}
