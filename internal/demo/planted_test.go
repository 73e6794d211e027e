package demo

import (
	"math"
	"testing"
	"time"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/refbook"
)

// seenIn is what a test needs of one planted watch: its evidence in force and its
// entry in the book.
type seenIn struct {
	file  evidence.File
	ref   *refbook.Reference
	maker *refbook.Maker
	truth Truth
}

func (s seenIn) fitted(slot evidence.Slot) *evidence.Fitted {
	for _, e := range evidence.All[*evidence.Fitted](s.file) {
		if e.Data.Slot == slot {
			return e.Data
		}
	}
	return nil
}

func (s seenIn) finding(slot evidence.Slot, term string) bool {
	for _, e := range evidence.All[*evidence.Finding](s.file) {
		if e.Data.Slot == slot && e.Data.Term == term && e.Data.Severity > 0 {
			return true
		}
	}
	return false
}

func (s seenIn) mark(what string, slot evidence.Slot) string {
	for _, e := range evidence.All[*evidence.Mark](s.file) {
		if e.Data.What == what && e.Data.Slot == slot {
			return e.Data.Text
		}
	}
	return ""
}

// below is how far a measured size lies below the book's.
func (s seenIn) below(what string) float64 {
	for _, e := range evidence.All[*evidence.Dimension](s.file) {
		for _, d := range s.ref.Dimensions {
			if e.Data.What == what && d.What == what {
				return d.MM - e.Data.MM
			}
		}
	}
	return 0
}

// fittedThen reports whether the factory fitted the variant seen in the slot at any
// time within a year of the watch's month.
func (s seenIn) fittedThen(slot evidence.Slot) bool {
	f := s.fitted(slot)
	bs, ok := s.ref.Slot(slot)
	if f == nil || !ok {
		return false
	}
	v, ok := bs.Variant(f.Variant)
	if !ok {
		return false
	}
	for _, w := range v.Windows {
		first, last, ok := w.Months(s.ref.Made)
		if ok && first-12 <= s.truth.Made && s.truth.Made <= last+12 {
			return true
		}
	}
	return false
}

// lateMonths is how many months after the watch the stamp of a slot lies.
func (s seenIn) lateMonths(slot evidence.Slot) int {
	text := s.mark(evidence.MarkDateStamp, slot)
	for _, st := range s.maker.Stamps {
		if st.Slot == slot {
			if first, _, err := st.Read(text); err == nil {
				return int(first - s.truth.Made)
			}
		}
	}
	return 0
}

// signs says, for each planted problem, how it shows in the evidence.
var signs = map[Problem]func(s seenIn) bool{
	WrongPeriodHands: func(s seenIn) bool { return !s.fittedThen(evidence.Hands) },
	SwappedBracelet: func(s seenIn) bool {
		return !s.fittedThen(evidence.Bracelet) && s.lateMonths(evidence.Clasp) > 24
	},
	RefinishedDial: func(s seenIn) bool {
		return s.finding(evidence.Dial, "refinished") && s.fitted(evidence.Dial).Variant == evidence.Unknown
	},
	SerialDoesNotFit: func(s seenIn) bool {
		n, err := refbook.ParseNumber(s.mark(evidence.MarkSerial, evidence.Case))
		run := serialRun(s.maker, s.ref, evidence.MarkSerial, s.truth.Made)
		return err == nil && n > numberIn(run, float64(s.truth.Made)+60)
	},
	PolishedCase: func(s seenIn) bool {
		return s.below("mid_case_diameter") > 0.25 && s.below("lug_thickness") > 0.35 &&
			s.finding(evidence.Case, "polished")
	},
	WrongKaratBracelet: func(s seenIn) bool {
		return s.mark(evidence.MarkHallmark, evidence.Bracelet) == "585" &&
			s.mark(evidence.MarkHallmark, evidence.CaseBack) == "750" && math.Abs(s.density()-13.1) < 0.5
	},
	WrongCalibre: func(s seenIn) bool {
		bs, _ := s.ref.Slot(evidence.Movement)
		_, listed := bs.Variant(s.fitted(evidence.Movement).Variant)
		return !listed
	},
	EndPiecesDoNotFit: func(s seenIn) bool {
		e, ok := s.maker.EndPiece(s.fitted(evidence.EndPieces).Variant)
		return ok && e.LugWidthMM < s.lugWidth() && s.finding(evidence.EndPieces, "wrong_end_pieces")
	},
	LateClasp: func(s seenIn) bool { return s.lateMonths(evidence.Clasp) > 84 },
	ServiceDial: func(s seenIn) bool {
		bs, _ := s.ref.Slot(evidence.Dial)
		v, ok := bs.Variant(s.fitted(evidence.Dial).Variant)
		return ok && v.Service
	},
	Relume: func(s seenIn) bool { return s.finding(evidence.Dial, "relume") && s.oddPlots() == 4 },
	WaterDamage: func(s seenIn) bool {
		for _, e := range evidence.All[*evidence.Rate](s.file) {
			if e.Data.AmplitudeDeg > 200 {
				return false
			}
		}
		return s.finding(evidence.Movement, "rust")
	},
	PapersDoNotMatch: func(s seenIn) bool {
		for _, e := range evidence.All[*evidence.Document](s.file) {
			if e.Data.What == "papers" {
				return e.Data.Serial != s.mark(evidence.MarkSerial, evidence.Case)
			}
		}
		return false
	},
}

// density is that of the bracelet by its weights in air and in water, in g/cm³.
func (s seenIn) density() float64 {
	air, water := 0.0, 0.0
	for _, e := range evidence.All[*evidence.Weighing](s.file) {
		switch {
		case e.Data.What != "bracelet":
		case e.Data.In == "water":
			water = e.Data.G
		default:
			air = e.Data.G
		}
	}
	return air / (air - water) * waterDensity
}

func (s seenIn) lugWidth() float64 {
	for _, d := range s.ref.Dimensions {
		if d.What == "lug_width" {
			return d.MM
		}
	}
	return 0
}

// oddPlots counts plots much lighter than the rest.
func (s seenIn) oddPlots() int {
	n := 0
	for _, e := range evidence.All[*evidence.Reading](s.file) {
		if e.Data.Lab != nil && e.Data.Lab[0] > 84 {
			n++
		}
	}
	return n
}

func lookAt(t *testing.T, x Watch) seenIn {
	t.Helper()
	m, r, ok := world().book.Reference(x.Evidence.Maker, x.Evidence.Reference)
	if !ok {
		t.Fatalf("%s is not in the book", x.File)
	}
	return seenIn{evidence.Fold(x.Evidence, today), r, m, world().Truth[x.File]}
}

// What is planted shows in the evidence, and shows in no watch that is right.
func TestPlantedProblemsShow(t *testing.T) {
	for _, x := range world().Watches {
		s := lookAt(t, x)
		planted := map[Problem]bool{}
		for _, p := range s.truth.Problems {
			planted[p] = true
			if !signs[p](s) {
				t.Errorf("%s: nothing in the evidence shows %s", x.File, p)
			}
		}
		if len(planted) > 0 {
			continue
		}
		for _, p := range []Problem{WrongPeriodHands, RefinishedDial, PolishedCase, WrongCalibre, ServiceDial, Relume,
			WaterDamage, LateClasp} {
			if signs[p](s) {
				t.Errorf("%s: looks like %s, which was not planted", x.File, p)
			}
		}
	}
}

func TestReplacedPartsAreTold(t *testing.T) {
	for _, x := range world().Watches {
		truth := world().Truth[x.File]
		for _, slot := range truth.Replaced {
			if !evidence.Slot(slot).Valid() {
				t.Errorf("%s: replaced %q is no slot", x.File, slot)
			}
		}
	}
}

// The northern works' case back is a trap: early for its year, and right.
func TestOutlivedBackIsRight(t *testing.T) {
	x := world().Watches[15]
	s := lookAt(t, x)
	if got := s.fitted(evidence.CaseBack).Variant; got != "back-a" || s.truth.Made < edtf.MonthOf(1967, 1) ||
		len(s.truth.Problems) > 0 {
		t.Errorf("%s: case back %s, made %s, problems %v", x.File, got, s.truth.Made, s.truth.Problems)
	}
	for _, slot := range s.truth.Replaced {
		if slot == "case_back" {
			t.Errorf("%s: the truth calls its case back replaced", x.File)
		}
	}
}

// The spoken size of the Plenaire differs from what a caliper reads.
func TestSpokenSize(t *testing.T) {
	_, ref, _ := world().book.Reference("corvane", "KR-1")
	d := ref.Dimensions[0]
	if d.What != "mid_case_diameter" || d.MM != 34.4 || d.SpokenMM != 35 {
		t.Errorf("mid-case: %+v", d)
	}
}

func TestTimesOfEvidence(t *testing.T) {
	start := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)
	for _, x := range world().Watches {
		for i, it := range x.Evidence.Evidence {
			if it.At.Before(start) || !it.At.Before(today) {
				t.Errorf("%s: %s recorded at %s", x.File, it.ID, it.At)
			}
			if i > 0 && it.At.Before(x.Evidence.Evidence[i-1].At) {
				t.Errorf("%s: %s was recorded before the item above it", x.File, it.ID)
			}
		}
	}
}
