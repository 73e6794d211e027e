package opinion

import (
	"maps"
	"math"
	"slices"

	"midcase/condition"
	"midcase/evidence"
	"midcase/market"
	"midcase/say"
)

// look is what an observation would settle.
type look struct {
	again  bool             // a part whose verdict is open
	others []market.Subject // what the subject may turn out to be
	chance float64          // of each of the others; the rest is that it is as taken now
	share  float64          // of the value, where the look may cost all of it
}

// Minutes of further looks, and what they may show: common practice, no published source.
const (
	minutesWeigh    = 4
	minutesPolish   = 2
	minutesPapers   = 2
	minutesRegister = 3
	minutesMetal    = 3
	minutesPressure = 10
	chancePapers    = 0.25  // that papers turn up when they are asked for
	chanceStolen    = 0.003 // that a register knows the watch
	chanceMetal     = 0.5   // that a metal told is the metal
	chanceLeaks     = 0.002 // of the value, for water that gets in unnoticed
)

// missing reports whether the slot was looked at and is empty.
func (f *forming) missing(slot evidence.Slot) bool {
	e, seen := f.fitted[slot]
	return seen && e.Data.Absent
}

// precious reports whether the case or another part is said to be of a precious metal.
func (f *forming) precious() bool {
	open := map[evidence.Slot]bool{}
	for _, slot := range weighable {
		open[slot] = f.hasSlot(slot)
	}
	maps.DeleteFunc(open, func(_ evidence.Slot, is bool) bool { return !is })
	return f.anyPrecious(open)
}

// furtherLooks are the looks that bear on neither dates nor rates: measuring, weighing, the
// polish of the case, a second look where a verdict is open, papers, a register, pressure.
func (f *forming) furtherLooks() []Look {
	var out []Look
	add := func(is bool, l Look) {
		if is {
			out = append(out, l)
		}
	}
	now := f.subjectForMarket()
	if told, ok := f.metalToldUnproved(); ok {
		then := now
		then.Metal = told
		add(true, Look{Kind: evidence.KindMark, Slot: evidence.Case, What: say.That("look.metal", f.metalName("metal", told)),
			Minutes: minutesMetal, first: true, settle: look{others: []market.Subject{then}, chance: chanceMetal}})
	}
	add(len(evidence.All[*evidence.Dimension](f.file)) == 0, Look{Kind: evidence.KindDimension, Slot: evidence.Case,
		What: say.That("look.size"), Minutes: minutesSize})
	add(f.precious() && len(evidence.All[*evidence.Weighing](f.file)) == 0, Look{
		Kind: evidence.KindWeighing, What: say.That("look.weigh"), Minutes: minutesWeigh,
		settle: look{share: 0.01}})
	add(!f.polishJudged() && !f.missing(evidence.Case), Look{Kind: evidence.KindFinding,
		Slot: evidence.Case, What: say.That("look.polish"), Minutes: minutesPolish})
	for _, p := range f.out.Parts {
		add(p.Verdict == CannotTell, Look{Kind: evidence.KindFitted, Slot: p.Slot,
			What: say.That("look.again", slotArg("slot", p.Slot)), Minutes: slotMinutes(p.Slot) + 1,
			settle: look{again: true}})
	}
	if !setExamined(f) {
		then := now
		then.Completeness = "papers"
		add(true, Look{Kind: evidence.KindDocument, What: say.That("look.papers"), Minutes: minutesPapers,
			settle: look{others: []market.Subject{then}, chance: chancePapers}})
	}
	add(len(evidence.All[*evidence.Check](f.file)) == 0, Look{Kind: evidence.KindCheck, What: say.That("look.register"),
		Minutes: minutesRegister, settle: look{share: chanceStolen}})
	_, inBook := f.ref.Slot(evidence.Movement)
	_, seen := f.fitted[evidence.Movement]
	add(!seen && !inBook, Look{Kind: evidence.KindFitted, Slot: evidence.Movement, What: say.That("look.open"),
		Minutes: minutesInside})
	add(!f.tried(evidence.TrialPressure), Look{Kind: evidence.KindTrial, What: say.That("look.pressure"), Minutes: minutesPressure,
		settle: look{share: chanceLeaks}})
	return out
}

// polishTerms are the findings on a case that say whether it was polished.
var polishTerms = []string{"polished", "unpolished", "as_new", "sharp_edges", "original_finish_on_flanks",
	"bevels_lost", "lugs_thinned", "refinished_surface"}

// polishJudged reports whether somebody looked whether the case was polished. A scratch noted in passing does not
// say so.
func (f *forming) polishJudged() bool {
	for _, x := range evidence.All[*evidence.Finding](f.file) {
		t, ok := condition.Lookup(x.Data.Term)
		if ok && x.Data.Slot == evidence.Case && slices.Contains(polishTerms, t.ID) {
			return true
		}
	}
	return slices.ContainsFunc(evidence.All[*evidence.Trial](f.file), func(t evidence.Entry[*evidence.Trial]) bool {
		return t.Data.What == evidence.TrialLookedOver && t.Data.Slot == evidence.Case
	})
}

// priceLooks works out by how much each look is expected to move the value. What a look
// teaches spreads the value that is then found about that of today, by as much as the
// doubt becomes smaller: the mean of how far it moves is √(2/π)·V·√(σ² − σ'²). Where a look
// tells between two watches, such as with papers or without, it moves by 2p(1−p) of the
// difference. It reports whether there is a market to tell.
func (f *forming) priceLooks(looks []Look) bool {
	p, ok := f.market.(predictor)
	if !ok || len(looks) == 0 {
		return false
	}
	at := func(s market.Subject) (median, sd float64) {
		v, err := p.Predict(s, f.asOf, f.settings.Basis)
		if err != nil {
			return math.NaN(), math.NaN()
		}
		return v.Median, math.Log(v.Interval[80][1]/v.Interval[80][0]) / (2 * 1.2816)
	}
	now := f.subjectForMarket()
	value, _ := at(now)
	if now.Originality == nil { // unknown is as wide as all parts are doubtful, not the market's average
		p, sd := f.originalityWith(Look{}, 0)
		now.Originality, now.OriginalitySD = &p, sd
	}
	_, sd := at(now)
	if !(sd > 0) {
		return false
	}
	for i := range looks {
		l := &looks[i]
		_, then := at(f.subjectAfter(now, *l))
		if then < sd {
			l.PriceNarrower = round(1-then/sd, 4)
			l.Money = math.Sqrt(2/math.Pi) * value * math.Sqrt(sd*sd-then*then)
		}
		for _, other := range l.settle.others {
			if v, _ := at(other); v > 0 {
				l.Money += 2 * l.settle.chance * (1 - l.settle.chance) * math.Abs(v-value)
			}
		}
		l.Money = round(l.Money+l.settle.share*value, 2)
	}
	return true
}

// subjectAfter is the watch with what a look settles: a part seen no longer widens grade and
// originality, a date known better the year.
func (f *forming) subjectAfter(now market.Subject, l Look) market.Subject {
	then := now
	then.YearSD *= math.Exp2(-l.DateBits)
	if l.Slot == "" {
		return then
	}
	if then.Condition != nil {
		then.ConditionSD = f.conditionSDWith(l.Slot, now.ConditionSD)
	}
	_, then.OriginalitySD = f.originalityWith(l, now.OriginalitySD)
	return then
}

// originalityWith is the originality once a slot has been seen, with its standard
// deviation: the doubt about that part is gone, that about the others stays.
func (f *forming) originalityWith(l Look, now float64) (share, sd float64) {
	total, sum, variance := 0.0, 0.0, 0.0
	for _, part := range f.out.Parts {
		w := partWeights[part.Slot]
		chance, known := f.chanceFor(part)
		if !known {
			chance = 1 - f.replacedShare(part.Slot)
		}
		total, sum = total+w, sum+w*chance
		if part.Slot == l.Slot && (!known || l.settle.again) {
			continue
		}
		variance += w * w * chance * (1 - chance)
	}
	if total == 0 {
		return 0, now
	}
	sd = math.Sqrt(variance) / total
	if now > 0 {
		sd = math.Min(now, sd)
	}
	return sum / total, sd
}

// metalToldUnproved is a metal that was told, is not that of the book, and was not proved by a
// mark or a part that was seen.
func (f *forming) metalToldUnproved() (string, bool) {
	if metalExamined(f) || f.ref == nil {
		return "", false
	}
	for _, c := range evidence.All[*evidence.Claim](f.file) { // latest first
		if m := c.Data.Told.Metal; m != "" {
			return m, m != f.ref.Metal
		}
	}
	return "", false
}

// raises reports whether another metal would make the watch worth more. Until it is proved
// such a claim counts for nothing: a price is never paid for a word.
func (f *forming) raises(s market.Subject, told string) bool {
	p, ok := f.market.(predictor)
	if !ok || told == s.Metal {
		return false
	}
	then := s
	then.Metal = told
	a, err := p.Predict(s, f.asOf, f.settings.Basis)
	b, err2 := p.Predict(then, f.asOf, f.settings.Basis)
	return err == nil && err2 == nil && b.Median > a.Median
}
