package hand

import (
	"regexp"
	"slices"
	"strings"

	"midcase/condition"
	"midcase/evidence"
	"midcase/notes"
	"midcase/opinion"
	"midcase/say"
	"midcase/telling"
)

// word judges a word of the vocabulary, or a denied fault.
func (r *reader) word(s Sentence, x notes.Said) {
	switch x.About {
	case notes.SaidNoFault:
		r.noFault(x)
	case notes.SaidMetal:
		r.metal(s, x)
	case "original":
		r.original(s, x, x.Slots)
	case "all original":
		if !x.Denied || strings.HasPrefix(strings.ToLower(x.Text), "no") {
			r.original(s, x, nil)
		}
	case "uncertain":
		r.uncertain(x)
	case "flawless":
		r.flawless(s, x)
	}
	if x.Denied {
		return
	}
	from, to := r.at(x.Span)
	switch x.About {
	case "runs":
		r.runs(x)
	case "full set":
		r.fullSet(x)
	case "gold":
		r.metal(s, notes.Said{About: x.About, Term: "gold", Slots: x.Slots, Span: x.Span})
	case "automatic", "hand wound":
		r.winding(x)
	case "water":
		r.water(x)
	case "history", "matching":
		r.nothing(x.Span, say.That("hand.no-history", say.Name("said", x.Text)))
	case "worth":
		r.nothing(x.Span, say.That("hand.no-worth"))
	case "guarantee":
		r.nothing(x.Span, say.That("hand.no-guarantee"))
	case "rare":
		r.rare(s, from, to)
	case "private":
		r.mark(from, to, Private, say.That("hand.private-cost"))
	case "seller":
		r.mark(from, to, Private, say.That("hand.private-seller"))
	}
}

// hedged reports whether a sentence says itself that it is not sure.
func (r *reader) hedged(s Sentence) bool {
	return slices.ContainsFunc(r.said, func(x notes.Said) bool {
		from, to := r.at(x.Span)
		return (x.About == "hedge" || x.About == "uncertain") && from >= s.From && to <= s.To
	})
}

// noFault judges that a fault is said not to be there.
func (r *reader) noFault(x notes.Said) {
	var looked []evidence.ID
	var found []telling.Ground
	named := len(x.Slots) > 0 && r.names(x)
	for _, e := range evidence.All[*evidence.Finding](r.subject.File) {
		if !alike(e.Data.Term, x.Term) || named && !slices.Contains(x.Slots, e.Data.Slot) {
			continue
		}
		if e.Data.Severity > 0 {
			found = append(found, r.subject.FaultOf(e)...)
		} else {
			looked = append(looked, e.Item.ID)
		}
	}
	switch {
	case len(found) > 0:
		r.against(x.Span, found)
	case len(looked) > 0:
		r.held(x.Span)
	default:
		r.nothing(x.Span, say.That("hand.not-looked-for", say.Name("said", x.Text)))
	}
}

// names reports whether the sentence names the part that is spoken of.
func (r *reader) names(x notes.Said) bool {
	return slices.ContainsFunc(r.said, func(p notes.Said) bool {
		return p.About == notes.SaidPart && len(p.Slots) > 0 && len(x.Slots) > 0 && p.Slots[0] == x.Slots[0]
	})
}

// original judges that parts are said to be original, or not to be. No slots are the
// whole watch.
func (r *reader) original(s Sentence, x notes.Said, slots []evidence.Slot) {
	if len(slots) == 0 {
		if x.About == "original" && !r.ofWhole(s) {
			return
		}
		for _, p := range r.subject.Opinion.Parts {
			slots = append(slots, p.Slot)
		}
	}
	var against, open []telling.Ground
	for _, slot := range slots {
		part, g, ok := r.subject.OnPart(slot)
		switch {
		case !ok:
			open = append(open, r.unjudged(slot, x)...)
		case x.About == "original" && x.Denied:
			if part.Verdict == opinion.Fits {
				against = append(against, g)
			} else {
				r.creditPart(x.Span, part)
			}
		case opinion.IsTrouble(part.Verdict):
			against = append(against, g)
		case r.sureEnough(s, part): // it stands on the part's own evidence
		default:
			open = append(open, g)
		}
	}
	switch {
	case len(against) > 0:
		r.against(x.Span, against)
	case len(open) > 0:
		r.open(x.Span, open)
	default:
		r.held(x.Span)
	}
}

// surely is the chance from which a part may be called original without a word of doubt.
// Common practice, no published source.
const surely = 0.95

// sureEnough reports whether a part may be called original as the sentence does.
func (r *reader) sureEnough(s Sentence, p opinion.Part) bool {
	if p.POriginal == nil {
		return false
	}
	least := surely
	if r.hedged(s) {
		least = 0.6
	}
	return (p.Verdict == opinion.Fits || p.Verdict == opinion.ProbablyOriginal) && *p.POriginal >= least
}

// open marks a claim that is stronger than what is known.
func (r *reader) open(at notes.Span, grounds []telling.Ground) {
	says, ids := few(grounds)
	r.nothing(at, say.That("hand.too-sure", say.Name("said", at.Text), say.All("grounds", says...)), ids...)
}

// unjudged is what stands against calling a part original that no opinion was formed of.
func (r *reader) unjudged(slot evidence.Slot, x notes.Said) []telling.Ground {
	if slot == evidence.Box || slot == evidence.Papers {
		for _, rule := range r.subject.Opinion.Rules {
			if rule.Broken && rule.Slot == slot {
				says := say.That("tell.against-book", say.Term("slot", "slot", string(slot), ""))
				return []telling.Ground{{Says: says, Evidence: rule.Evidence}}
			}
		}
		for _, it := range r.subject.File.Items {
			switch d := it.Data.(type) {
			case *evidence.Document:
				if slot == evidence.Papers && d.What == "papers" {
					return nil
				}
			case *evidence.Fitted:
				if d.Slot == slot && !d.Absent {
					return nil
				}
			}
		}
	}
	part := say.Noun{Set: "slot", ID: string(slot)}
	return []telling.Ground{{Says: say.That("tell.unjudged", say.All("slots", part))}}
}

// wholeWords are what stands for the whole watch.
var wholeWords = regexp.MustCompile(
	`(?i)\b(watch|wristwatch|timepiece|it|example|piece|condition|parts|components|everything|specimen|throughout)\b`)

// ofWhole reports whether a sentence without a part speaks of the whole watch.
func (r *reader) ofWhole(s Sentence) bool { return wholeWords.MatchString(s.Text) }

// uncertain credits a sentence that says of parts that they are not certain.
func (r *reader) uncertain(x notes.Said) {
	for _, slot := range x.Slots {
		part, g, ok := r.subject.OnPart(slot)
		switch {
		case !ok:
		case opinion.IsTrouble(part.Verdict):
			r.open(x.Span, []telling.Ground{g}) // it is worse than that
		case telling.Doubtful(part) || part.Verdict == opinion.NotExamined:
			r.held(x.Span)
			r.creditPart(x.Span, part)
		}
	}
}

// flawless judges that the watch or a part is said to have no fault.
func (r *reader) flawless(s Sentence, x notes.Said) {
	low := strings.ToLower(x.Text)
	if x.Denied && !strings.HasPrefix(low, "no ") && !strings.HasPrefix(low, "not a") {
		return
	}
	from, to := r.at(x.Span)
	faults := r.subject.Faults(x.Slots...)
	for _, p := range r.subject.Opinion.Parts {
		if _, g, ok := r.subject.OnPart(p.Slot); ok && opinion.IsTrouble(p.Verdict) &&
			(len(x.Slots) == 0 || slices.Contains(x.Slots, p.Slot)) {
			faults = append(faults, g)
		}
	}
	switch {
	case len(faults) > 0:
		r.against(x.Span, faults)
	case !r.borne(s.From, s.To):
		r.mark(from, to, Adjective, say.That("hand.adjective", say.Name("said", x.Text)))
	}
}

// runs judges that the watch is said to run well.
func (r *reader) runs(x notes.Said) {
	run := r.subject.Opinion.Running
	var bad []telling.Ground
	for _, f := range evidence.All[*evidence.Finding](r.subject.File) {
		if f.Data.Slot == evidence.Movement && f.Data.Severity > 0 &&
			slices.ContainsFunc([]string{"not_running", "magnetised", "parts_damaged"}, func(fault string) bool {
				return alike(f.Data.Term, fault)
			}) {
			bad = append(bad, r.subject.FaultOf(f)...)
		}
	}
	for _, t := range evidence.All[*evidence.Trial](r.subject.File) {
		if t.Data.What == evidence.TrialFunction && t.Data.Result == "fails" {
			bad = append(bad, telling.Ground{Says: say.That("tell.function-fails", say.Name("function", t.Data.Of)),
				Evidence: []evidence.ID{t.Item.ID}})
		}
	}
	var ids []evidence.ID
	for _, e := range evidence.All[*evidence.Rate](r.subject.File) {
		ids = append(ids, e.Item.ID)
	}
	if run.ServiceExpected != nil && *run.ServiceExpected {
		bad = append(bad, telling.Ground{Says: say.That("tell.service-due"), Evidence: ids})
	}
	switch {
	case len(bad) > 0:
		r.against(x.Span, bad)
	case run.Mean == nil:
		r.nothing(x.Span, say.That("hand.not-timed", say.Name("said", x.Text)))
	default:
		r.held(x.Span)
	}
}

// fullSet judges that box and papers are said to be there.
func (r *reader) fullSet(x notes.Said) {
	if r.subject.Opinion.Watch.Set == "full" {
		r.held(x.Span)
		return
	}
	r.nothing(x.Span, say.That("hand.no-set", say.Name("said", x.Text)))
}

// water marks whatever is said of water: it is never inferred.
func (r *reader) water(x notes.Said) {
	for _, s := range r.said {
		if s.About == "water" && s.Denied {
			return
		}
	}
	if notTested.MatchString(r.line.text) {
		return
	}
	var ids []evidence.ID
	for _, t := range evidence.All[*evidence.Trial](r.subject.File) {
		if t.Data.What == evidence.TrialPressure {
			ids = append(ids, t.Item.ID)
		}
	}
	r.nothing(x.Span, say.That("hand.no-water"), ids...)
}

var notTested = regexp.MustCompile(`(?i)\b(not|never|no)\b[^.]{0,40}\b(tested|promise[sd]?|guaranteed?|claim|sealed|wear|worn|swim)`)

// metal judges what the watch is said to be made of. Of hands, dials and buckles it says
// nothing of the case.
func (r *reader) metal(s Sentence, x notes.Said) {
	for _, slot := range x.Slots {
		if slot != evidence.Case && slot != evidence.Bezel && slot != evidence.CaseBack && slot != evidence.Bracelet {
			return
		}
	}
	from, to := r.at(x.Span)
	is := r.subject.Opinion.Watch.Metal
	m := r.subject.Opinion.Metal
	if m.Contradiction != nil {
		r.mark(from, to, Contradicts, say.That("hand.against", say.Name("said", x.Text),
			say.All("grounds", *m.Contradiction)), r.hallmarks()...)
		return
	}
	if sameMetal(x.Term, is) || strings.Contains(strings.ToLower(x.Text), "steel") && strings.Contains(is, "steel") {
		r.name(from, to)
		return
	}
	if is == "" || x.Denied {
		return
	}
	r.mark(from, to, Contradicts, say.That("hand.other-metal", say.Name("said", x.Text), say.Name("metal",
		r.metalName(is))), r.hallmarks()...)
}

// hallmarks are the marks of metal on record.
func (c *checker) hallmarks() []evidence.ID { return c.marksOf(evidence.MarkHallmark) }

// marksOf are the marks of a kind on record.
func (c *checker) marksOf(what string) []evidence.ID {
	var out []evidence.ID
	for _, m := range evidence.All[*evidence.Mark](c.subject.File) {
		if m.Data.What == what {
			out = append(out, m.Item.ID)
		}
	}
	return out
}

// winding judges how the movement is said to be wound.
func (r *reader) winding(x notes.Said) {
	w := r.subject.Opinion.Watch
	m, ref, ok := r.subject.Book.Reference(w.Maker, w.Reference)
	if !ok {
		return
	}
	said := map[string]string{"automatic": "automatic", "hand wound": "hand"}[x.About]
	from, to := r.at(x.Span)
	for _, id := range ref.Calibres {
		if c, ok := m.Calibre(id); ok && c.Winding != "" && c.Winding != said {
			r.mark(from, to, Contradicts, say.That("hand.other-winding", say.Name("said", x.Text),
				say.Name("winding", c.Winding)), r.marksOf(evidence.MarkCalibre)...)
			return
		}
	}
	r.name(from, to)
}

// sameMetal reports whether two names of metal mean the same, as far as both say it.
func sameMetal(said, is string) bool {
	return is != "" && (said == is || strings.HasPrefix(is, said) || strings.HasPrefix(said, is) && said != is)
}

func (c *checker) metalName(id string) string {
	if m, ok := c.subject.Book.Maker(c.subject.Opinion.Watch.Maker); ok {
		if x, ok := m.Metal(id); ok && x.Name != "" {
			return strings.ToLower(x.Name)
		}
	}
	return id
}

// plainWords marks words of a language without a reader of notes.
func (c *checker) plainWords(l line) {
	kinds := map[string]Kind{"rare": Rarity, "praise": Adjective, "flawless": Adjective, "water": Unsupported,
		"worth": Unsupported, "private": Private}
	for _, s := range l.own {
		c.foreign(l, s)
		for name, kind := range kinds {
			words := c.words.Flat[name]
			if words == nil {
				continue
			}
			for _, m := range words.FindAllStringSubmatchIndex(s.Text, -1) {
				from := s.From + len([]rune(s.Text[:m[2]]))
				to := from + len([]rune(s.Text[m[2]:m[3]]))
				if (name == "rare" || name == "water") && c.denied(s, from) {
					continue
				}
				c.plainWord(s, from, to, name, kind)
			}
		}
	}
}

func (c *checker) plainWord(s Sentence, from, to int, name string, kind Kind) {
	said := string(c.text[from:to])
	switch name {
	case "rare":
		c.rare(s, from, to)
	case "flawless":
		faults := c.subject.Faults()
		if len(faults) == 0 {
			c.mark(from, to, kind, say.That("hand.adjective", say.Name("said", said)))
			return
		}
		c.mark(from, to, Contradicts, say.That("hand.against", say.Name("said", said), say.All("grounds",
			faults[0].Says)), faults[0].Evidence...)
	case "water":
		c.mark(from, to, kind, say.That("hand.no-water"))
	case "worth":
		c.mark(from, to, kind, say.That("hand.no-worth"))
	case "private":
		c.mark(from, to, kind, say.That("hand.private-cost"))
	default:
		c.mark(from, to, kind, say.That("hand.adjective", say.Name("said", said)))
	}
}

// kin are faults that one word can mean: who says "no scratches" denies those by the hands
// too.
var kin = map[string][]string{"scratches": {"hand_scratches"}, "cracks": {"spider_cracks"},
	"spider_cracks": {"cracks"}, "rust": {"corrosion"}, "corrosion": {"rust"}, "moisture": {"stained"},
	"worn":     {"plating_worn", "print_worn", "markings_worn", "strap_worn", "threads_worn"},
	"polished": {"refinished_surface"}, "refinished": {"touched_up_print"}}

// alike reports whether a term as it was typed is a fault, or one that its word can mean.
func alike(typed, fault string) bool {
	t, ok := condition.Lookup(typed)
	return ok && (t.ID == fault || slices.Contains(kin[fault], t.ID))
}
