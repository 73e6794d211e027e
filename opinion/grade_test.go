package opinion_test

import (
	"math"
	"testing"

	"midcase/evidence"
)

// The true grade of the invented watches lies in the 90 % range of the grade as often as
// it says, within what 60 watches leave open.
func TestGradeRangesHoldTheTruth(t *testing.T) {
	all, err := worldOpinions()
	if err != nil {
		t.Fatal(err)
	}
	in, known, off := 0, 0, 0.0
	for file, o := range all {
		truth := world().Truth[file].Condition
		c := o.Condition
		if c.Overall != nil {
			known++
			off += *c.Overall - truth
		}
		if c.Interval[0] <= truth && truth <= c.Interval[1] {
			in++
		} else {
			t.Logf("%s: %v %v, truth %.2f", file, c.Overall, c.Interval, truth)
		}
	}
	t.Logf("%d of %d in the range; %d graded, off by %.2f in the mean", in, len(all), known, off/float64(known))
	if share := float64(in) / float64(len(all)); share < 0.86 || share > 0.97 {
		t.Errorf("%d of %d", in, len(all))
	}
}

// An amplitude read with another lift angle than the book's is corrected: 275° at 52° is
// 254° at the 48° of the calibre, 275·48/52.
func TestAmplitudeFollowsTheLiftAngle(t *testing.T) {
	o := opinionOn(t, watchOf("KR-1", fitted(evidence.Movement, "C-19"),
		&evidence.Rate{Position: "CH", SecPerDay: 4, AmplitudeDeg: 275, LiftAngleDeg: 52}), nil)
	r := o.Running
	if r.Amplitude == nil || math.Abs(*r.Amplitude-253.8) > 0.5 || r.LiftAngleDeg != 48 ||
		math.Abs(r.Positions[0].AmplitudeDeg-253.8) > 0.5 {
		t.Errorf("%v at %g°, %s", *r.Amplitude, r.LiftAngleDeg, r.LiftAngleFrom)
	}
}
