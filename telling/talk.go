package telling

import (
	"slices"
	"strings"

	"midcase/condition"
	"midcase/evidence"
	"midcase/opinion"
	"midcase/say"
)

// talk writes a talk sheet: how to open, the points with the picture to show, hard
// questions with their answers, and what not to claim.
func (t *writing) talk() {
	t.line(say.That("tell.talk-open", say.Saying("title", t.plan.Title), say.Name("way", t.plan.way)))
	for _, in := range []Section{What, Example, Doubts, Condition, Running, With, Sizes, Open} {
		from := len(t.told.Blocks)
		t.block(t.heading(in), true, in)
		for i := from; i < len(t.told.Blocks); i++ {
			t.pictures(&t.told.Blocks[i])
		}
	}
	t.questions()
	t.notToClaim()
	t.block(t.heading(Notes), true, Notes)
	t.block(t.heading(Price), false, Price)
}

// views are the pictures that show a slot, the best first.
var views = map[evidence.Slot][]string{evidence.Dial: {"dial", "front"}, evidence.Hands: {"dial", "front"},
	evidence.Case: {"lugs", "front", "off_side", "crown_side"}, evidence.Bezel: {"front"}, evidence.Crystal: {"front"},
	evidence.Crown: {"crown_side", "front"}, evidence.Pushers: {"crown_side", "front"},
	evidence.CaseBack: {"back", "case_back_inside"}, evidence.Movement: {"movement"}, evidence.Bracelet: {"bracelet"},
	evidence.EndPieces: {"end_pieces", "bracelet"}, evidence.Clasp: {"clasp", "bracelet"}, evidence.Box: {"box"},
	evidence.Papers: {"papers"}}

// ViewsOf lists the pictures that show a slot, the best first.
func ViewsOf(slot evidence.Slot) []string { return slices.Clone(views[slot]) }

// pictures says which picture to show with a sentence, where one was taken.
func (t *writing) pictures(b *Block) {
	photos := evidence.All[*evidence.Photo](t.plan.subject.File)
	for i := range b.Sentences {
		s := &b.Sentences[i]
		for _, view := range views[slotOf(s, t.plan.subject.File)] {
			at := slices.IndexFunc(photos, func(p evidence.Entry[*evidence.Photo]) bool { return p.Data.View == view })
			if at < 0 {
				continue
			}
			s.Picture = photos[at].Item.ID
			s.Cue = plain(t.w.String(say.That("tell.show", say.Term("view", "view", view, ""))))
			s.Text += " " + s.Cue
			break
		}
	}
}

// slotOf is the part that a sentence is about: that of its disclosures or evidence.
func slotOf(s *Spoken, f evidence.File) evidence.Slot {
	if s.Section != Doubts && s.Kind != "tell.findings" && s.Kind != "tell.good" {
		return ""
	}
	for _, d := range s.Discloses {
		if d.Slot != "" {
			return d.Slot
		}
	}
	for _, id := range s.Evidence {
		for _, it := range f.Items {
			if it.ID != id {
				continue
			}
			switch d := it.Data.(type) {
			case *evidence.Finding:
				return d.Slot
			case *evidence.Fitted:
				return d.Slot
			case *evidence.Mark:
				return d.Slot
			}
		}
	}
	return ""
}

// mostQuestions is how many hard questions a talk sheet has.
const mostQuestions = 3

// questions puts the hardest questions that this watch invites, with honest answers.
func (t *writing) questions() {
	doubts, wear := t.inShort(), t.touched()
	type question struct {
		asks   say.Statement
		answer []Sentence
		hard   bool
	}
	dated := slices.DeleteFunc(t.plan.of(What), func(s Sentence) bool {
		return s.Says.Kind == "tell.is" ||
			s.Says.Kind == "tell.calibre" || s.Says.Kind == "tell.sales-known"
	})
	runs := append(t.plan.of(Running), slices.DeleteFunc(t.plan.of(Open),
		func(s Sentence) bool { return s.Says.Kind != "tell.not-timed" })...)
	originals := slices.DeleteFunc(t.plan.of(Example), func(s Sentence) bool { return s.Says.Kind != "tell.original" })
	all := []question{
		{say.That("tell.ask-original"), append(slices.Clone(doubts), originals...), len(doubts) > 0},
		{say.That("tell.ask-polished"), wear, len(wear) > 0},
		{say.That("tell.ask-runs"), runs, t.serviceDue() || len(t.plan.of(Running)) == 0},
		{say.That("tell.ask-date"), append(dated, t.plan.of(Dating)...), true},
	}
	slices.SortStableFunc(all, func(a, b question) int {
		switch {
		case a.hard == b.hard:
			return 0
		case a.hard:
			return -1
		}
		return 1
	})
	for _, q := range all[:mostQuestions] {
		b := Block{Heading: plain(t.w.Capital(q.asks)), Apart: true, Asked: true}
		for _, s := range q.answer {
			b.Sentences = append(b.Sentences, t.speak(s))
		}
		if len(b.Sentences) == 0 {
			none := say.That("tell.answer-open")
			b.Sentences = []Spoken{{Fact: Fact{Kind: none.Kind, Text: plain(t.w.Capital(none)),
				Evidence: []evidence.ID{}}}}
		}
		t.told.Blocks = append(t.told.Blocks, b)
	}
}

// inShort are the doubts about parts in one sentence.
func (t *writing) inShort() []Sentence {
	var items []say.Value
	var ids []evidence.ID
	for _, s := range t.plan.of(Doubts) {
		ids = append(ids, s.Evidence...)
	}
	for _, part := range t.plan.subject.Opinion.Parts {
		if part.Verdict != opinion.Fits {
			items = append(items, say.That("tell.brief", say.Term("slot", "slot", string(part.Slot), ""),
				say.All("words", say.Noun{Set: "verdict", ID: part.Verdict})))
		}
	}
	if len(items) == 0 {
		return nil
	}
	return []Sentence{{Section: Doubts, Says: say.That("tell.answer-list", say.All("items", items...)), Evidence: ids}}
}

// touched are the sentences that tell of metal taken off or surfaces worked on.
func (t *writing) touched() []Sentence {
	return slices.DeleteFunc(t.plan.of(Condition), func(s Sentence) bool {
		if s.Says.Kind == "tell.loss" || s.Says.Kind == "tell.loss-open" {
			return false
		}
		return !slices.ContainsFunc(s.Discloses, func(d Disclosure) bool {
			word, ok := d.Word.(say.Noun)
			return ok && word.Set == "term" && slices.Contains(polishing, word.ID)
		})
	})
}

// polishing are the findings that tell of metal taken off.
var polishing = []string{"polished", "lugs_thinned", "bevels_lost", "refinished_surface", "engraving_removed"}

func (t *writing) serviceDue() bool {
	due := t.plan.subject.Opinion.Running.ServiceExpected
	return due != nil && *due
}

// notToClaim lists what the evidence does not bear.
func (t *writing) notToClaim() {
	s := t.plan.subject
	b := Block{Heading: plain(t.w.Capital(say.That("tell.not-to-claim"))), Apart: true, Inside: true}
	claim := func(says say.Statement) {
		b.Sentences = append(b.Sentences, Spoken{Fact: Fact{Kind: says.Kind, Text: plain(t.w.Capital(says)),
			Evidence: []evidence.ID{}}})
	}
	if !t.unpolished() {
		claim(say.That("tell.claim-metal"))
	}
	if slices.ContainsFunc(s.Opinion.Parts, func(p opinion.Part) bool { return p.Verdict != opinion.Fits }) {
		claim(say.That("tell.claim-original"))
	}
	if d := s.Opinion.Dating; !d.Known || d.Interval90[0].Year() != d.Interval90[1].Year() {
		claim(say.That("tell.claim-year"))
	}
	claim(say.That("tell.claim-water"))
	if !serviced(s.File) {
		claim(say.That("tell.claim-service"))
	}
	claim(say.That("tell.claim-worth"))
	t.told.Blocks = append(t.told.Blocks, b)
}

// serviced reports whether a service is on record.
func serviced(f evidence.File) bool {
	return slices.ContainsFunc(evidence.All[*evidence.Work](f), func(w evidence.Entry[*evidence.Work]) bool {
		id := workID(w.Data.What)
		text := strings.ToLower(w.Data.What)
		return id == "service" || id != "" && (strings.Contains(text, "service") || strings.Contains(text, "overhaul"))
	})
}

// unpolished reports whether somebody saw that the case was never polished, and nothing
// speaks against it.
func (t *writing) unpolished() bool {
	return slices.ContainsFunc(evidence.All[*evidence.Finding](t.plan.subject.File),
		func(f evidence.Entry[*evidence.Finding]) bool {
			term, ok := condition.Lookup(f.Data.Term)
			return ok && term.ID == "unpolished" && f.Data.Slot == evidence.Case && f.Data.Severity == 0 &&
				!conflicting(term, evidence.Case, t.plan.subject)
		})
}
