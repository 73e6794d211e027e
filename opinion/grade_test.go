package opinion_test

import (
	"testing"
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
