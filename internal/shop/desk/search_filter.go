package desk

import (
	"context"
	"slices"

	"midcase/evidence"
	"midcase/internal/shop"
)

// Filter narrows the stock beside the words of a search. Empty fields do not.
type Filter struct {
	State     shop.State
	Maker     string
	Reference string
	Place     string

	MadeFrom, MadeTo   int // years
	PriceFrom, PriceTo float64
	GradeFrom, GradeTo float64

	Part   evidence.Slot
	Judged string // one of Judged, of Part; without a part, of any
}

// Passes reports whether a watch passes. One without an opinion passes no filter that asks for it.
func (f Filter) Passes(b *Brief) bool {
	return f.passesRecord(&b.Watch) && f.passesFigures(b) && f.passesVerdict(b.Facts)
}

func (f Filter) passesRecord(w *shop.Watch) bool {
	return (f.State == "" || w.State == f.State) && (f.Maker == "" || w.Maker == f.Maker) &&
		(f.Reference == "" || w.Reference == f.Reference) && (f.Place == "" || w.Place == f.Place)
}

func (f Filter) passesFigures(b *Brief) bool {
	if f.MadeFrom != 0 || f.MadeTo != 0 {
		const farAhead = 9999
		last := f.MadeTo
		if last == 0 {
			last = farAhead
		}
		if b.Facts == nil || !b.Facts.madeWithin(f.MadeFrom, last) {
			return false
		}
	}
	if f.PriceFrom != 0 || f.PriceTo != 0 {
		c := sought{watch: &b.Watch}
		if b.Median != nil {
			c.value = *b.Median
		}
		if v := c.price(); v == 0 || v < f.PriceFrom || f.PriceTo != 0 && v > f.PriceTo {
			return false
		}
	}
	if f.GradeFrom != 0 || f.GradeTo != 0 {
		if b.Grade == nil || *b.Grade < f.GradeFrom || f.GradeTo != 0 && *b.Grade > f.GradeTo {
			return false
		}
	}
	return true
}

func (f Filter) passesVerdict(facts *Facts) bool {
	if f.Judged == "" {
		return true
	}
	if facts == nil {
		return false
	}
	slots := []evidence.Slot{f.Part}
	if f.Part == "" {
		slots = evidence.Slots()
	}
	j := judgements()[f.Judged]
	return slices.ContainsFunc(slots, func(s evidence.Slot) bool { return j.holds(facts, s) })
}

// needsOpinion reports whether the filter asks for what only an opinion says.
func (f Filter) needsOpinion() bool {
	return f.MadeFrom != 0 || f.MadeTo != 0 || f.PriceFrom != 0 || f.PriceTo != 0 || f.GradeFrom != 0 ||
		f.GradeTo != 0 || f.Judged != ""
}

// formedWithoutNeed is of how many watches an opinion is formed where neither words nor filter ask for one.
const formedWithoutNeed = 500

// Find searches the stock of a shop that nobody has open: opinions are formed of the watches alone that the
// records leave. Where neither words nor filter need an opinion and very many are left, none is formed, and
// formed is false.
func (r *Room) Find(ctx context.Context, text string, f Filter, progress func(done, total int)) (s Sought, formed bool,
	err error) {
	if s, err = r.asked(ctx, text); err != nil {
		return s, false, err
	}
	list, err := r.shop.Stock(ctx)
	if err != nil {
		return s, false, err
	}
	var rows []Brief
	for _, w := range list.All {
		if f.passesRecord(&w) {
			rows = append(rows, Brief{Watch: w})
		}
	}
	byRecord := slices.DeleteFunc(slices.Clone(s.Understood), func(t SearchTerm) bool { return !t.record })
	rows, err = r.holding(ctx, rows, byRecord, len(s.NotUnderstood) == 0)
	needed := f.needsOpinion() || len(byRecord) < len(s.Understood)
	if err != nil || !needed && len(rows) > formedWithoutNeed {
		s.Rows = rows
		return s, false, err
	}
	now, err := r.formingNow(ctx)
	if err != nil {
		return s, false, err
	}
	for i := range rows {
		if rows[i], err = r.brief(ctx, rows[i].Watch, list.MarkOf(rows[i].Watch), now); err != nil {
			return s, false, err
		}
		progress(i+1, len(rows))
	}
	s.Rows, err = r.holding(ctx, rows, s.Understood, true)
	s.Rows = slices.DeleteFunc(slices.Clone(s.Rows), func(b Brief) bool { return !f.Passes(&b) })
	return s, true, err
}
