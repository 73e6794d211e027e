package timing

import (
	"fmt"
	"math"
	"strings"
)

const practiceNote = "judged by common practice, which each shop may set; this does not replace a watchmaker"

// judge writes what a workshop would say and whether a service is to be
// expected. Grounds: amplitude first, then beat error and spread.
func (out *Regulation) judge(wound, later groups, by Practice) {
	say := func(format string, a ...any) { out.Says = append(out.Says, fmt.Sprintf(format, a...)) }
	service, grounds := out.judgeAmplitude(wound, later, by, say)
	out.judgeBeat(by, say)
	out.judgeRate(by, say)
	if out.Mean != nil && *out.Mean > by.MagnetSecDay {
		say("gains %.0f s/d: test for magnetism before anything else", *out.Mean)
	}
	if len(out.Says) > 0 {
		say("%s", practiceNote)
	}
	if grounds {
		out.ServiceExpected = &service
	}
}

func (out *Regulation) judgeAmplitude(wound, later groups, by Practice, say func(string, ...any)) (service,
	grounds bool) {
	h, _ := wound.over(amplitudes, horizontal)
	v, _ := wound.over(amplitudes, vertical)
	ref, what := h, "lying flat"
	healthy, due := by.HealthyDeg, by.ServiceDeg
	if len(ref) == 0 {
		// Verticals stand about 30 degrees lower, so they are judged by that much less.
		ref, what, healthy, due = v, "standing", by.HealthyDeg-30, by.ServiceDeg-30
	}
	if len(ref) > 0 {
		grounds = true
		a := mean(ref)
		switch {
		case a > by.RebankDeg:
			say("amplitude %s is %.0f°, so high that the balance may strike the fork from outside", what, a)
		case a >= healthy:
			say("amplitude %s is healthy, %.0f°", what, a)
		case a >= due:
			say("amplitude %s is usable, %.0f°", what, a)
		default:
			say("amplitude %s is weak, %.0f°: a service is to be expected", what, a)
			service = true
		}
	}
	if len(h) > 0 && len(v) > 0 {
		switch gap := mean(h) - mean(v); {
		case gap > by.VerticalGapDeg:
			say("amplitude falls by %.0f° when standing: pivots or poise want a look", gap)
		case mean(h) < due && gap < by.VerticalGapDeg:
			say("amplitude is low in every position, which suggests power or lubrication")
		}
	}
	if lv, _ := later.over(amplitudes, vertical); len(lv) > 0 {
		grounds = true
		if mean(lv) < by.PoorDeg {
			say("standing, a day after winding, amplitude is %.0f°: poor", mean(lv))
			service = true
		}
	}
	return service, grounds
}

func (out *Regulation) judgeBeat(by Practice, say func(string, ...any)) {
	if out.MeanBeatError == nil {
		return
	}
	switch b := *out.MeanBeatError; {
	case b < by.FineBeatMS:
		say("beat error is fine, %.1f ms", b)
	case b <= by.AdjustBeatMS:
		say("beat error is a little large, %.1f ms", b)
	default:
		say("out of beat, %.1f ms: to be adjusted", b)
	}
}

func (out *Regulation) judgeRate(by Practice, say func(string, ...any)) {
	if out.Mean != nil {
		n := len(out.Positions)
		where := fmt.Sprintf("over %d positions", n)
		if n == 1 {
			where = "in one position only (" + out.Positions[0] + ")"
		}
		word := "gains"
		if *out.Mean < 0 {
			word = "loses"
		}
		say("%s %.1f s/d %s", word, math.Abs(*out.Mean), where)
	}
	if out.Delta != nil {
		switch d := *out.Delta; {
		case d <= by.FineDelta:
			say("positions lie within %.1f s/d: excellent for an old watch", d)
		case d <= by.FairDelta:
			say("positions lie within %.1f s/d: acceptable for an old watch", d)
		default:
			say("positions differ by %.1f s/d: uneven", d)
		}
	}
	if out.Isochronism != nil {
		say("a day after winding it runs %s s/d against fully wound", signed(*out.Isochronism))
	}
}

// signed writes a rate with its sign, a true minus below zero.
func signed(v float64) string { return strings.Replace(fmt.Sprintf("%+.1f", v), "-", "−", 1) }
