package opinion_test

import (
	"testing"
	"testing/fstest"

	"midcase/evidence"
	"midcase/opinion"
	"midcase/refbook"
)

// halfBook has milestones and no version of any clasp, nor a scheme of stamps.
const halfBook = `schema: 1
id: halver
name: Halver
metals:
  - {id: steel, name: Steel}
calibres:
  - {id: H1, beats_per_hour: 18000}
serials:
  - id: case
    mark: serial
    scatter_months: 6
    source: "notebook; scatter assumed: general default, not in the notes"
    anchors:
      - {number: 300000, month: 1965-01}
      - {number: 320000, month: 1968-01}
families:
  - {id: ten, name: Ten, kind: time_only}
references:
  - id: H-10
    family: ten
    made: 1962/1974
    metal: steel
    calibres: [H1]
    serial: [case]
`

func halfOpinion(t *testing.T, data ...evidence.Data) opinion.Opinion {
	t.Helper()
	book, err := refbook.Load(fstest.MapFS{"halver.yaml": {Data: []byte(halfBook)}})
	if err != nil {
		t.Fatal(err)
	}
	w := watchOf("H-10", data...)
	w.Maker = "Halver"
	o, err := opinion.Form(evidence.Fold(w, day(100)), book, nil, opinion.Settings{}, day(100))
	if err != nil {
		t.Fatal(err)
	}
	return o
}

// A clasp stamped three years after everything else is later, although the book has no
// clasps and no stamps; it moves the date of the watch by a month or two at most.
func TestLaterClaspWithoutAVersionInTheBook(t *testing.T) {
	serial := &evidence.Mark{What: evidence.MarkSerial, Text: "310000"}
	without := halfOpinion(t, serial)
	with := halfOpinion(t, serial, &evidence.Mark{What: evidence.MarkDateStamp, Slot: evidence.Clasp, Text: "III 69"})
	clasp := verdictOf(t, with, evidence.Clasp)
	if clasp.Verdict != opinion.ProbablyReplaced && clasp.Verdict != opinion.DoesNotBelong {
		t.Fatalf("the clasp: %+v; want it replaced", clasp)
	}
	if d := with.Dating.Median - without.Dating.Median; d < -2 || d > 2 {
		t.Errorf("a later clasp moves the date from %s to %s", without.Dating.Median, with.Dating.Median)
	}
	same := halfOpinion(t, serial, &evidence.Mark{What: evidence.MarkDateStamp, Slot: evidence.Clasp, Text: "II 66"})
	if p := verdictOf(t, same, evidence.Clasp); p.Verdict != opinion.Fits {
		t.Errorf("a clasp of the year: %+v; want it to fit", p)
	}
	assumed := 0
	for _, s := range with.Unknown {
		if s.Kind == "unknown.assumed-stamp" || s.Kind == "unknown.assumed-scatter" {
			assumed++
		}
	}
	if assumed != 2 {
		t.Errorf("%d figures are said to be assumed; want the stamp's and the scatter's: %v", assumed, with.Unknown)
	}
}
