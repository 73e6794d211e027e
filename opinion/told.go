package opinion

import (
	"midcase/evidence"
	"midcase/market"
)

// How far what is told of a watch at first sight lies from what examining it finds:
// common practice, no published source.
const (
	toldGradeSD = 0.8 // from the grade on the bench
	toldYearSD  = 1.0 // years from the year of making
)

// told adds what was told of the watch in figures, each until that was examined, and
// says whose claims those are. It counts for the value alone: dates, parts and grades
// are never founded on a claim.
func told(f *forming, s market.Subject) (market.Subject, []evidence.ID) {
	counts := map[string]bool{
		"grade": !f.graded.Praised, "year": len(f.out.Dating.Items) == 0, "set": !setExamined(f), "metal": !metalExamined(f),
	}
	var from []evidence.ID
	take := func(what string, is bool) bool {
		if !is || !counts[what] {
			return false
		}
		counts[what] = false // an earlier claim about the same
		return true
	}
	for _, c := range evidence.All[*evidence.Claim](f.file) { // latest first
		t, used := c.Data.Told, false
		if take("grade", t.Grade != 0) {
			s.Condition, s.ConditionSD, used = f.gradeWithTold(t.Grade, s.Condition, s.ConditionSD)
		}
		if take("year", t.Year != 0) {
			s.Year, s.YearSD, used = float64(t.Year), toldYearSD, true
		}
		if take("set", t.Set != "") {
			s.Completeness, used = t.Set, true
		}
		if take("metal", t.Metal != "") && !f.raises(s, t.Metal) {
			s.Metal, used = t.Metal, true
		}
		if used {
			from = append(from, c.Item.ID)
		}
	}
	return s, from
}

// gradeWithTold is the grade that counts where one was told. Until something was judged
// it is the one told. After that the lower of the two, until something speaks well of
// case and dial: faults found never raise what was told.
func (f *forming) gradeWithTold(told float64, found *float64, sd float64) (*float64, float64, bool) {
	for _, s := range f.graded.Slots {
		if s.Known && found != nil && *found <= told {
			return found, sd, false
		}
	}
	return &told, toldGradeSD, true
}

// setExamined reports whether somebody looked for papers or a box.
func setExamined(f *forming) bool {
	for _, d := range evidence.All[*evidence.Document](f.file) {
		if d.Data.What == "papers" {
			return true
		}
	}
	_, papers := f.fitted[evidence.Papers]
	_, box := f.fitted[evidence.Box]
	return papers || box
}

func metalExamined(f *forming) bool {
	c, ok := f.fitted[evidence.Case]
	return ok && c.Data.Metal != "" || len(f.marksOn(evidence.Case)) > 0
}
