package telling

import (
	"slices"
	"strings"

	"midcase/evidence"
	"midcase/opinion"
	"midcase/say"
)

// The gravity of disclosures beside findings, whose severity counts 10 to 40.
const (
	graveRule   = 60
	graveForm   = 50
	graveFails  = 30
	graveOpen   = 15
	graveWork   = 12
	graveUnseen = 5
)

// doubts tells what is not original or not certain, the gravest first.
func (p *planning) doubts() {
	for _, verdict := range []string{opinion.DoesNotBelong, opinion.ProbablyReplaced, opinion.Redone, opinion.Missing,
		opinion.CannotTell} {
		for _, part := range p.Opinion.Parts {
			if part.Verdict == verdict {
				p.doubt(part)
			}
		}
	}
	p.rather()
	p.rules()
	p.contradictions()
}

// rather tells together of the parts that are more likely original than not.
func (p *planning) rather() {
	s := Sentence{Section: Doubts}
	var parts []say.Value
	often := false
	for _, part := range p.Opinion.Parts {
		if part.Verdict != opinion.ProbablyOriginal || part.POriginal == nil {
			continue
		}
		parts = append(parts, say.That("tell.part-chance", say.Term("slot", "slot", string(part.Slot), ""),
			say.Chance("chance", *part.POriginal)))
		s.Evidence, s.Basis = append(s.Evidence, part.Evidence...), append(s.Basis, part.Basis...)
		often = often || slices.ContainsFunc(part.Reasons, func(r say.Statement) bool {
			return r.Kind == "parts.often-replaced"
		})
		for _, id := range partIDs(part, p.File) {
			s.Discloses = append(s.Discloses, Disclosure{Finding: id, Slot: part.Slot, Grave: graveUnseen,
				Word: say.Noun{Set: "verdict", ID: part.Verdict}})
		}
	}
	if len(parts) == 0 {
		return
	}
	s.Says = say.That("tell.rather-all", say.All("parts", parts...))
	if often {
		s.Says = say.That("phrase.sentences", say.All("all", s.Says, say.That("tell.why-often-all")))
	}
	for i := range s.Discloses {
		s.Discloses[i].Says = s.Says
	}
	p.add(s)
}

// doubt tells of one part, with the reason where there is one to tell.
func (p *planning) doubt(part opinion.Part) {
	s := Sentence{Section: Doubts, Evidence: part.Evidence, Basis: part.Basis, Says: verdictOf(part)}
	reasons := []say.Value{s.Says}
	stamped := false
	for _, made := range p.laterStamps(part.Slot) {
		reasons, stamped = append(reasons, say.That("tell.why-stamp-dated", given("made", made))), true
	}
	for _, r := range part.Reasons {
		if why, ok := reason(r); ok && !(stamped && why.Kind == "tell.why-out") {
			reasons = append(reasons, why)
		}
	}
	ids := partIDs(part, p.File)
	for _, r := range p.Opinion.Rules {
		if !r.Broken || r.Slot != part.Slot {
			continue
		}
		if why := p.brokenRule(r); why.Kind != "tell.against-book" || len(reasons) == 1 {
			reasons = append(reasons, why)
		}
		for _, id := range r.Evidence {
			if !slices.Contains(ids, id) {
				ids = append(ids, id)
			}
		}
		p.toldRules = append(p.toldRules, ruleKey(r))
		s.Basis = append(s.Basis, r.Basis...)
	}
	if len(reasons) > 1 {
		s.Says = say.That("phrase.sentences", say.All("all", reasons...))
	}
	word := say.Noun{Set: "verdict", ID: part.Verdict}
	for _, id := range ids {
		s.Discloses = append(s.Discloses, Disclosure{Finding: id, Slot: part.Slot, Says: s.Says, Word: word,
			Grave: graveOf(part.Verdict)})
	}
	p.add(s)
}

// laterStamps are the dates stamped on a part that are later than the watch.
func (p *planning) laterStamps(slot evidence.Slot) []say.Value {
	var out []say.Value
	for _, i := range p.Opinion.Dating.Items {
		on, _ := argOf(i.Says, "slot").(say.Noun)
		made, ok := argOf(i.Says, "made").(say.Months)
		if i.Says.Kind == "dating.stamp" && on.ID == string(slot) && ok && p.Opinion.Dating.Known &&
			made.First > p.Opinion.Dating.Interval90[1] {
			out = append(out, made)
		}
	}
	return out
}

func graveOf(verdict string) int {
	if verdict == opinion.CannotTell {
		return graveOpen
	}
	return graveForm
}

// verdictOf is the verdict on a part as a sentence.
func verdictOf(part opinion.Part) say.Statement {
	slot := say.Noun{Set: "slot", ID: string(part.Slot)}
	switch part.Verdict {
	case opinion.DoesNotBelong:
		return say.That("tell.belongs-not", given("slot", slot))
	case opinion.Redone:
		return say.That("tell.redone", given("slot", slot))
	case opinion.Missing:
		return say.That("tell.missing", given("slot", slot))
	}
	if part.POriginal == nil {
		return say.That("tell.open-bare", given("slot", slot))
	}
	if part.Verdict == opinion.ProbablyReplaced {
		return say.That("tell.replaced", given("slot", slot), say.Chance("chance", *part.POriginal))
	}
	return say.That("tell.open", given("slot", slot), say.Chance("chance", *part.POriginal))
}

// reason is a reason of the opinion as a buyer is told it; those that hold typed words or
// speak to the dealer are not told.
func reason(r say.Statement) (say.Statement, bool) {
	fitted := argOf(r, "fitted")
	switch r.Kind {
	case "parts.too-late":
		return say.That("tell.why-late", given("fitted", fitted)), true
	case "parts.too-early":
		return say.That("tell.why-early", given("fitted", fitted)), true
	case "parts.out-of-time", "parts.later-or-misnamed":
		return say.That("tell.why-out", given("fitted", fitted)), true
	case "parts.at-the-edge", "parts.less-common", "parts.left-over":
		return say.That("tell.why-edge", given("fitted", fitted)), true
	case "parts.often-replaced":
		return say.That("tell.why-often"), true
	case "parts.service":
		return say.That("tell.why-service"), true
	case "parts.other-market":
		return say.That("tell.why-market", given("markets", argOf(r, "markets"))), true
	case "parts.of-another-reference":
		return say.That("tell.why-reference", given("references", argOf(r, "references"))), true
	case "parts.unknown-version":
		return say.That("tell.why-version"), true
	case "parts.stamp-later":
		return say.That("tell.why-stamp"), true
	case "parts.strap":
		return say.That("tell.strap"), true
	case "parts.recorded", "parts.recorded-kept":
		return say.That("tell.why-record", given("date", argOf(r, "date"))), true
	case "parts.recorded-undated", "parts.recorded-undated-kept":
		return say.That("tell.why-record-undated"), true
	}
	return say.Statement{}, false
}

// rules tells of the rules of the book that the watch breaks, where they were not told
// with a part.
func (p *planning) rules() {
	for _, r := range p.Opinion.Rules {
		if !r.Broken || slices.Contains(p.toldRules, ruleKey(r)) {
			continue
		}
		says := p.brokenRule(r)
		s := Sentence{Section: Doubts, Says: says, Evidence: r.Evidence, Basis: r.Basis}
		for _, id := range r.Evidence {
			s.Discloses = append(s.Discloses, Disclosure{Finding: id, Says: says, Word: ruleWord(r), Grave: graveRule})
		}
		p.add(s)
	}
}

// ruleWord is a broken rule in a word or two.
func ruleWord(r opinion.Rule) say.Statement {
	if r.Reason.Kind == "rules.papers-wrong" {
		return say.That("tell.word-papers")
	}
	slot := r.Slot
	if slot == "" {
		slot = "watch"
	}
	return say.That("tell.word-rule", say.Term("slot", "slot", string(slot), ""))
}

// brokenRule is what a broken rule comes to. A rule in words that somebody typed is told
// without them, papers of another watch without the numbers.
func (p *planning) brokenRule(r opinion.Rule) say.Statement {
	slot := r.Slot
	if slot == "" {
		slot = "watch"
	}
	switch {
	case !strings.HasPrefix(string(r.Reason.Kind), "rules.") || r.Reason.Kind == "rules.against-book" ||
		!p.namesKnown(r.Reason):
		return say.That("tell.against-book", say.Term("slot", "slot", string(slot), ""))
	case r.Reason.Kind == "rules.papers-wrong":
		return say.That("tell.papers-wrong", given("document", argOf(r.Reason, "document")))
	}
	return r.Reason
}

// namesKnown reports whether the bracelet, end pieces and calibre that a reason names
// are in the book: what is not may be anything that somebody typed.
func (p *planning) namesKnown(reason say.Statement) bool {
	for _, name := range []string{"pieces", "bracelet", "calibre"} {
		typed, ok := argOf(reason, name).(say.Proper)
		if !ok {
			continue
		}
		if p.book == nil {
			return false
		}
		_, piece := p.book.EndPiece(string(typed))
		_, bracelet := p.book.Bracelet(string(typed))
		_, calibre := p.book.Calibre(string(typed))
		if !piece && !bracelet && !calibre {
			return false
		}
	}
	return true
}

// contradictions tells where marks, numbers or a test contradict one another.
func (p *planning) contradictions() {
	tell := func(says, word say.Statement, ids ...evidence.ID) {
		s := Sentence{Section: Doubts, Says: says, Evidence: ids}
		for _, id := range ids {
			s.Discloses = append(s.Discloses, Disclosure{Finding: id, Says: says, Word: word, Grave: graveRule})
		}
		p.add(s)
	}
	o := p.Opinion
	if o.Metal.Contradiction != nil {
		tell(say.That("tell.marks-differ"), say.That("tell.word-marks"), hallmarks(p.File)...)
	}
	if o.Metal.Density != nil && o.Metal.Density.Contradicts {
		tell(say.That("tell.density-odd"), say.That("tell.word-density"), idsOf(o.Metal.Density.Basis)...)
	}
	for _, u := range o.Unknown {
		if u.Kind == "unknown.two-numbers" {
			what, _ := argOf(u, "mark").(say.Noun)
			tell(say.That("tell.two-numbers", given("mark", what)), say.That("tell.word-number", given("mark", what)),
				marksOf(p.File, what.ID)...)
		}
	}
	for _, i := range o.Dating.Items {
		if what, ok := argOf(i.Says, "mark").(say.Noun); ok && i.Disagrees {
			tell(say.That("tell.number-odd", given("mark", what)), say.That("tell.word-number", given("mark", what)),
				i.Evidence)
		}
	}
}

func hallmarks(f evidence.File) []evidence.ID { return marksOf(f, evidence.MarkHallmark) }

func marksOf(f evidence.File, what string) []evidence.ID {
	var out []evidence.ID
	for _, m := range evidence.All[*evidence.Mark](f) {
		if m.Data.What == what {
			out = append(out, m.Item.ID)
		}
	}
	return out
}

func idsOf(basis []opinion.Basis) []evidence.ID {
	var out []evidence.ID
	for _, b := range basis {
		if id := evidence.ID(b.ID); b.Source == "evidence" && !slices.Contains(out, id) {
			out = append(out, id)
		}
	}
	return out
}

// ruleKey tells the rules of a watch apart.
func ruleKey(r opinion.Rule) string {
	return string(r.Slot) + "/" + r.Rule.String() + "/" + r.Reason.String()
}
