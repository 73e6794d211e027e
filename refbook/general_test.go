package refbook_test

import (
	"strings"
	"testing"

	"midcase/evidence"
	"midcase/refbook"
)

// General knowledge is whole, within bounds, and each part of it names its source.
func TestGeneralKnowledge(t *testing.T) {
	g := refbook.GeneralKnowledge()
	for name, source := range map[string]string{"replaced": g.ReplacedSource, "stamps": g.StampsSource,
		"scatter": g.ScatterSource, "soft": g.SoftSource, "beats": g.BeatsSource, "lume": g.LumeSource} {
		if !strings.Contains(source, "common practice") {
			t.Errorf("%s names no source: %q", name, source)
		}
	}
	for _, slot := range evidence.Slots() {
		if share := refbook.UsuallyReplaced(slot); share <= 0 || share >= 1 {
			t.Errorf("%s is replaced in %v of watches", slot, share)
		}
	}
	for year, beat := range map[int]int{0: 18000, 1955: 18000, 1972: 21600, 2010: 28800} {
		if got := refbook.UsualBeat(year); got != beat {
			t.Errorf("a movement of %d beats %d; want %d", year, got, beat)
		}
	}
}

func TestCommonStamps(t *testing.T) {
	for text, want := range map[string]string{"III 62": "1962-07 1962-09", "68-05": "1968-05 1968-05", "QX": ""} {
		s, ok := refbook.CommonStamp(evidence.Clasp, text)
		if !ok {
			if want != "" {
				t.Errorf("%q is not read", text)
			}
			continue
		}
		first, last, err := s.Read(text)
		if got := first.String() + " " + last.String(); err != nil || got != want {
			t.Errorf("%q is %s, %v; want %s", text, got, err, want)
		}
	}
}
