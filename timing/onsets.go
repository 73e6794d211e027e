package timing

import "math"

// onsets is what the noises within the beats of one stretch tell.
type onsets struct {
	ok     bool
	lift   Figure // s, from unlocking to drop, mean of both directions
	apart  Figure // s, by which the noises of odd beats lie later than the beats' marks say
	noises int    // that stand out from unlocking to drop, the fewer of the two directions
}

// leaveOut is how many times a stretch is read with a part of its beats left out.
const leaveOut = 6

// onsets reads the averaged beat, of each direction by itself: the two pallets sound
// unlike. The scatter is that of readings in which every sixth pair of beats is left out
// (the jackknife: Efron and Tibshirani, An Introduction to the Bootstrap, 1993, chapter 11,
// from memory).
func (e *ear) onsets(sm, at []float64, bs []beat, f lineFit, h int) onsets {
	all, ok := e.read(sm, at, bs, f, h, -1)
	if !ok {
		return onsets{}
	}
	var lift, apart []float64
	for g := range leaveOut {
		if r, ok := e.read(sm, at, bs, f, h, g); ok && math.Abs(r.lift.Value-all.lift.Value) < 0.1*all.lift.Value {
			lift, apart = append(lift, r.lift.Value), append(apart, r.apart.Value)
		}
	}
	if len(lift) < leaveOut-1 {
		return onsets{}
	}
	all.ok, all.lift.SE, all.apart.SE = true, leftOut(lift), leftOut(apart)
	return all
}

// leftOut is the standard error by readings with one group each left out.
func leftOut(v []float64) float64 {
	m, s := mean(v), 0.0
	for _, x := range v {
		s += (x - m) * (x - m)
	}
	n := float64(len(v))
	return math.Sqrt(s * (n - 1) / n)
}

// read is onsets without the beats of one group, or with all (-1).
func (e *ear) read(sm, at []float64, bs []beat, f lineFit, h, without int) (onsets, bool) {
	var heard [2]swing
	for odd := range heard {
		var some []float64
		for i, t := range at {
			if bs[i].k&1 == odd && (i/2)%leaveOut != without && f.weights[i] > 0.1 {
				some = append(some, t)
			}
		}
		if len(some) < 3 {
			return onsets{}, false
		}
		var ok bool
		heard[odd], ok = unlockToDrop(aligned(sm, e.l.hz, e.from, some, h), e.l.hz, e.o.LiftAngleDeg, 3600/e.l.period)
		if !ok {
			return onsets{}, false
		}
	}
	a, b := heard[0], heard[1]
	lift := (a.lift() + b.lift()) / 2
	if math.Abs(a.lift()-b.lift()) > 0.15*lift {
		return onsets{}, false // two different noises were taken
	}
	// in a balance out of beat both noises shift alike
	return onsets{lift: Figure{Value: lift}, apart: Figure{Value: (b.unlock - a.unlock + b.drop - a.drop) / 2},
		noises: min(a.noises, b.noises)}, true
}
