package telling

import (
	"strings"

	"midcase/evidence"
	"midcase/say"
)

// tried lists the latest trial of each function and of the pressure: a fault that was put
// right and tried again is told as it is now.
func tried(f evidence.File) []evidence.Entry[*evidence.Trial] {
	var out []evidence.Entry[*evidence.Trial]
	seen := map[string]bool{}
	for _, t := range evidence.All[*evidence.Trial](f) { // the latest first
		if t.Data.What != evidence.TrialFunction && t.Data.What != evidence.TrialPressure {
			continue
		}
		key := t.Data.What + "/" + strings.ToLower(strings.TrimSpace(t.Data.Of))
		if !seen[key] {
			seen[key], out = true, append(out, t)
		}
	}
	return out
}

// fails reports whether something that was tried does not work.
func fails(t evidence.Entry[*evidence.Trial]) bool { return t.Data.Result == "fails" }

// functions tells which functions were tried: those that fail are disclosed.
func (p *planning) functions() {
	var works []say.Value
	var ids []evidence.ID
	for _, t := range tried(p.File) {
		switch {
		case t.Data.What != evidence.TrialFunction:
		case fails(t):
			says := say.That("tell.function-fails", say.Name("function", t.Data.Of))
			p.add(Sentence{Section: Running, Says: says, Evidence: []evidence.ID{t.Item.ID},
				Discloses: []Disclosure{{Finding: t.Item.ID, Says: says, Grave: graveFails,
					Word: say.That("tell.word-fails", say.Name("function", t.Data.Of))}}})
		default:
			works = append(works, say.That("tell.function", say.Name("function", t.Data.Of)))
			ids = append(ids, t.Item.ID)
		}
	}
	if len(works) > 0 {
		p.tell(Running, say.That("tell.functions", say.All("functions", works...)), ids...)
	}
}

// needs tells of the work that the watch still needs. What it may cost is not told.
func (p *planning) needs() {
	for _, n := range evidence.All[*evidence.Need](p.File) {
		work := say.That("tell.need-named", say.Name("work", n.Data.What))
		if id := workID(n.Data.What); id != "" && id != "work" {
			work = say.That("tell.need-known", say.Term("work", "work", id, ""))
		}
		says := say.That("tell.need", say.Saying("work", work))
		if n.Data.Slot != "" {
			says = say.That("tell.need-on", say.Saying("work", work), say.Term("slot", "slot", string(n.Data.Slot), ""))
		}
		p.add(Sentence{Section: Running, Says: says, Evidence: []evidence.ID{n.Item.ID},
			Discloses: []Disclosure{{Finding: n.Item.ID, Says: says, Grave: graveWork,
				Word: say.That("tell.word-need", say.Saying("work", work))}}})
	}
}

// water tells of the latest pressure test, and never that the watch keeps water out.
func (p *planning) water() {
	for _, t := range tried(p.File) {
		if t.Data.What != evidence.TrialPressure {
			continue
		}
		if !fails(t) {
			p.tell(Open, say.That("tell.water-held", say.Fixed("pressure", t.Data.Value, say.None, 1),
				given("when", whenOf(t.Data.Date))), t.Item.ID)
			return
		}
		says := say.That("tell.water-leaks", say.Fixed("pressure", t.Data.Value, say.None, 1),
			given("when", whenOf(t.Data.Date)))
		p.add(Sentence{Section: Open, Says: says, Evidence: []evidence.ID{t.Item.ID}, Discloses: []Disclosure{{
			Finding: t.Item.ID, Says: says, Grave: graveFails, Word: say.That("tell.word-leaks")}}})
		return
	}
	p.tell(Open, say.That("tell.water"))
}
