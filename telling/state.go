package telling

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"midcase/condition"
	"midcase/edtf"
	"midcase/estimate"
	"midcase/evidence"
	"midcase/opinion"
	"midcase/say"
)

// condition tells the grade, every finding, what was taken off and what was repaired.
func (p *planning) condition() {
	c := p.Opinion.Condition
	if c.Overall != nil {
		var ids []evidence.ID
		for _, s := range c.Slots {
			ids = append(ids, s.Evidence...)
		}
		word := int(math.Round(*c.Overall))
		p.tell(Condition, say.That("tell.grade", say.Measured("grade", *c.Overall, estimate.Interval(c.Interval),
			say.Grade, 1),
			say.Term("words", "grade", wordOf(word), "")), slices.Compact(ids)...)
	} else {
		p.tell(Condition, say.That("tell.no-grade"))
	}
	for _, slot := range evidence.Slots() {
		p.findings(slot)
	}
	p.sizesOff()
	p.repaired()
}

func wordOf(grade int) string {
	return [...]string{"1", "1", "2", "3", "4", "5", "6", "7", "8", "9", "10"}[grade]
}

// findings tells every fault of one part, the gravest first; those of one kind and
// severity are told together.
func (p *planning) findings(slot evidence.Slot) {
	type group struct {
		ids    []evidence.ID
		first  *evidence.Finding
		places []say.Value
		extent float64
	}
	var groups []*group
	for _, f := range evidence.All[*evidence.Finding](p.File) {
		if f.Data.Slot != slot || f.Data.Severity < 1 {
			continue
		}
		i := slices.IndexFunc(groups, func(g *group) bool {
			return sameFinding(g.first, f.Data)
		})
		if i < 0 {
			groups, i = append(groups, &group{first: f.Data}), len(groups)
		}
		g := groups[i]
		g.ids, g.extent = append(g.ids, f.Item.ID), max(g.extent, f.Data.Extent)
		if at, ok := place(f.Data.Where); ok && !slices.ContainsFunc(g.places, func(v say.Value) bool {
			return v.(say.Statement).String() == at.String()
		}) {
			g.places = append(g.places, at)
		}
	}
	if len(groups) == 0 {
		return
	}
	slices.SortStableFunc(groups, func(a, b *group) int { return b.first.Severity - a.first.Severity })
	s := Sentence{Section: Condition}
	var all []say.Value
	for _, g := range groups {
		says := finding(g.first, g.places, g.extent)
		all = append(all, says)
		s.Evidence = append(s.Evidence, g.ids...)
		for _, id := range g.ids {
			s.Discloses = append(s.Discloses, Disclosure{Finding: id, Slot: slot, Says: says, Word: termOf(g.first),
				Grave: 10 * g.first.Severity})
		}
	}
	s.Says = say.That("tell.findings", say.Term("slot", "slot", string(slot), ""), say.All("findings", all...))
	p.add(s)
}

func sameFinding(a, b *evidence.Finding) bool {
	return a.Severity == b.Severity && termKey(a.Term) == termKey(b.Term)
}

func termKey(typed string) string {
	if t, ok := condition.Lookup(typed); ok {
		return t.ID
	}
	return strings.ToLower(typed)
}

// termOf is the term of a finding as a word of the trade, or as it was typed.
func termOf(f *evidence.Finding) say.Value {
	if t, ok := condition.Lookup(f.Term); ok {
		return termNoun(t)
	}
	return say.That("tell.other-term", say.Name("term", strings.ReplaceAll(f.Term, "_", " ")))
}

// finding is one fault with how bad it is, where and how far it goes.
func finding(f *evidence.Finding, places []say.Value, extent float64) say.Statement {
	var details []say.Value
	t, known := condition.Lookup(f.Term)
	if words := t.Severity[min(f.Severity, 4)]; known && words != "" {
		id := t.ID + "." + strconv.Itoa(min(f.Severity, 4))
		details = append(details, say.Noun{Set: "severity", ID: id, English: words})
	} else {
		details = append(details, say.That("tell.severity", say.Count("n", f.Severity)))
	}
	if extent > 0 {
		details = append(details, say.That("tell.over", say.Share("share", extent)))
	}
	if len(places) == 0 {
		return say.That("tell.finding", given("term", termOf(f)), say.All("details", details...))
	}
	return say.That("tell.finding-at", given("term", termOf(f)), say.All("where", places...), say.All("details",
		details...))
}

// sizesOff tells of sizes that are not the book's: of metal taken off first.
func (p *planning) sizesOff() {
	for _, m := range p.Opinion.Measured {
		if !off(m) {
			continue
		}
		says, word := sizeOff(m)
		s := Sentence{Section: Condition, Says: says, Evidence: m.Evidence, Basis: m.Basis}
		for _, id := range m.Evidence {
			s.Discloses = append(s.Discloses, Disclosure{Finding: id, Says: says, Word: word, Grave: 20})
		}
		p.add(s)
	}
}

// sizeOff tells of a size that is not the book's, never surer than it is that metal was
// taken off; word is the same in short.
func sizeOff(m opinion.Measure) (says, word say.Statement) {
	another := slices.Contains(kindsIn(m.Says), "sizes.another") // more than polishing takes off
	if another || m.PRemoved == nil || *m.PRemoved < leastLoss || *m.Difference >= 0 || m.LossMM == nil ||
		m.LossInterval == nil {
		return say.That("tell.size-off", say.Term("what", "size", m.What, ""), measure("size", m),
				say.Fixed("nominal", *m.NominalMM, say.MM, 2)), say.That("tell.word-size", say.Term("what", "size",
				m.What, ""))
	}
	if *m.PRemoved < surelyLoss {
		return say.That("tell.loss-open", say.Term("what", "size", m.What, ""), measure("size", m),
				say.Fixed("nominal", *m.NominalMM, say.MM, 2), say.Chance("chance", *m.PRemoved)),
			say.That("tell.word-loss-open", say.Term("what", "size", m.What, ""))
	}
	return say.That("tell.loss", say.Term("what", "size", m.What, ""), measure("size", m),
			say.Fixed("nominal", *m.NominalMM, say.MM, 2), say.Saying("likely", say.Likelihood(*m.PRemoved)),
			say.Measured("loss", *m.LossMM, estimate.Interval(*m.LossInterval), say.MM, 2)),
		say.That("tell.word-loss", say.Term("what", "size", m.What, ""))
}

// surelyLoss is the chance from which "cannot be told" is not said any more.
const surelyLoss = 0.6

func measure(name string, m opinion.Measure) say.Arg {
	return say.Measured(name, m.MM, estimate.Interval(m.Interval), say.MM, 2)
}

// works are the kinds of work that each catalogue has a word for, by what is typed. What
// changes the watch comes first: a service with polishing is told as polishing.
var works = []struct{ typed, id string }{{"polish", "polish"}, {"refinish", "refinish"}, {"redial", "refinish"},
	{"relum", "relume"}, {"repair", "repair"}, {"service", "service"}, {"overhaul", "service"},
	{"pressure", "pressure_test"}, {"regulat", "regulation"}}

// noWork begins the words for work that was not done.
var noWork = []string{"estimate", "quote", "offer", "cost estimate"}

// Works lists the kinds of work that a text can name.
func Works() []string {
	out := []string{"work"}
	for _, w := range works {
		if !slices.Contains(out, w.id) {
			out = append(out, w.id)
		}
	}
	return out
}

// workID is the kind of a piece of work; empty where it is none, such as an estimate.
func workID(what string) string {
	text := strings.ToLower(strings.TrimSpace(what))
	for _, w := range noWork {
		if strings.HasPrefix(text, w) {
			return ""
		}
	}
	for _, w := range works {
		if strings.Contains(text, w.typed) {
			return w.id
		}
	}
	return "work"
}

// repairs lists the work that a buyer has to hear of: what was put in, polished or
// repaired. A service that replaced nothing is no repair.
func repairs(f evidence.File) []evidence.Entry[*evidence.Work] {
	var out []evidence.Entry[*evidence.Work]
	for _, w := range evidence.All[*evidence.Work](f) {
		id := workID(w.Data.What)
		plain := id == "service" || id == "pressure_test" || id == "regulation"
		if id != "" && (!plain || len(w.Data.Replaced) > 0) {
			out = append(out, w)
		}
	}
	return out
}

// repaired tells of repairs on record.
func (p *planning) repaired() {
	for _, w := range repairs(p.File) {
		says := worked(w.Data)
		p.add(Sentence{Section: Condition, Says: says, Evidence: []evidence.ID{w.Item.ID},
			Discloses: []Disclosure{{Finding: w.Item.ID, Says: says, Grave: graveWork,
				Word: say.That("tell.word-work", say.Term("work", "work", workID(w.Data.What), ""))}}})
	}
}

// worked tells of one piece of work. Who did it, at what cost and in which words is not
// told.
func worked(w *evidence.Work) say.Statement {
	work := say.Noun{Set: "work", ID: workID(w.What)}
	var slots []say.Value
	for _, r := range w.Replaced {
		slots = append(slots, slotNoun(r.Slot))
	}
	when := whenOf(w.Date)
	if len(slots) > 0 {
		return say.That("tell.work-replaced", given("work", work), given("when", when), say.All("slots", slots...))
	}
	return say.That("tell.work", given("work", work), given("when", when))
}

// whenOf is a date as it is known, to be put behind what happened then.
func whenOf(d edtf.Date) say.Statement {
	first, ok := d.FirstMonth()
	last, ends := d.LastMonth()
	if d.IsZero() || !ok || !ends {
		return say.That("tell.undated")
	}
	if first.Calendar() == 1 && last.Calendar() == 12 && first.Year() == last.Year() {
		return say.That("tell.year", say.Span("year", first, last))
	}
	return say.That("tell.when", say.Span("date", first, last))
}
