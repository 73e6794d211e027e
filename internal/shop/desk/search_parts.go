package desk

import (
	"slices"
	"strings"
	"sync"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/opinion"
	"midcase/say"
)

// slotWords are the words for the parts.
var slotWords = sync.OnceValue(func() map[string]evidence.Slot {
	out := map[string]evidence.Slot{"hand": evidence.Hands, "glass": evidence.Crystal, "caseback": evidence.CaseBack,
		"back": evidence.CaseBack, "buckle": evidence.Clasp, "strap": evidence.Bracelet, "endpieces": evidence.EndPieces,
		"pusher": evidence.Pushers, "dials": evidence.Dial}
	for _, s := range evidence.Slots() {
		out[s.Name()] = s
	}
	return out
})

func slotNamed(k []string) (evidence.Slot, int) { return longest(k, 2, in(slotWords())) }

// judgement is what a word says of a part.
type judgement struct {
	what     string // one of Judged
	verdicts []string
	service  bool // a replacement made by the maker counts too
}

// Judged are the words for how a part was judged, as the filter of the list offers them.
func Judged() []string { return []string{"original", "replaced", "redone", "missing", "unexamined"} }

var judgements = sync.OnceValue(func() map[string]judgement {
	original := judgement{"original", []string{opinion.Fits, opinion.ProbablyOriginal}, false}
	replaced := judgement{"replaced", []string{opinion.ProbablyReplaced, opinion.DoesNotBelong}, true}
	redone := judgement{"redone", []string{opinion.Redone}, false}
	missing := judgement{"missing", []string{opinion.Missing}, false}
	open := judgement{"unexamined", []string{opinion.NotExamined, opinion.NotJudged, opinion.CannotTell}, false}
	return map[string]judgement{"original": original, "correct": original, "replaced": replaced, "wrong": replaced,
		"later": replaced, "swapped": replaced, "service": replaced, "redone": redone, "refinished": redone,
		"restored": redone, "repainted": redone, "missing": missing, "unexamined": open, "unknown": open}
})

// of is the term that asks for a judgement on a part.
func (j judgement) of(slot evidence.Slot) SearchTerm {
	return SearchTerm{As: j.says(slot), holds: func(c *sought) bool { return j.holds(c.facts, slot) }}
}

// says is a judgement on a part, in words.
func (j judgement) says(slot evidence.Slot) say.Statement {
	switch j.what {
	case "original":
		return say.That("search.original", say.Term("slot", "slot", string(slot), slot.Name()))
	case "replaced":
		return say.That("search.replaced", say.Term("slot", "slot", string(slot), slot.Name()))
	case "redone":
		return say.That("search.redone", say.Term("slot", "slot", string(slot), slot.Name()))
	case "missing":
		return say.That("search.missing", say.Term("slot", "slot", string(slot), slot.Name()))
	}
	return say.That("search.unexamined", say.Term("slot", "slot", string(slot), slot.Name()))
}

func (j judgement) holds(f *Facts, slot evidence.Slot) bool {
	return slices.Contains(j.verdicts, f.Verdicts[slot]) || j.service && f.Service[slot]
}

// partVerdict takes “original dial” and “dial replaced”.
func (s *searching) partVerdict(k []string) (int, SearchTerm) {
	if k[0] == "redial" {
		return 1, judgements()["redone"].of(evidence.Dial)
	}
	if j, ok := judgements()[k[0]]; ok {
		if slot, n := slotNamed(k[1:]); n > 0 {
			return n + 1, j.of(slot)
		}
	}
	if slot, n := slotNamed(k); n > 0 && len(k) > n {
		if j, ok := judgements()[k[n]]; ok {
			return n + 1, j.of(slot)
		}
	}
	return 0, SearchTerm{}
}

// longestLook is how many words are read before a part: “matt black gilt dial”.
const longestLook = 4

// partLook takes words on how a part looks, before its name.
func (s *searching) partLook(k []string) (int, SearchTerm) {
	for n := 1; n <= longestLook && n < len(k); n++ {
		slot, taken := slotNamed(k[n:])
		if taken == 0 {
			continue
		}
		words := slices.Clone(k[:n])
		for _, w := range words {
			if !s.looks[slot][w] {
				return 0, SearchTerm{}
			}
		}
		return n + taken, SearchTerm{As: say.That("search.look", say.Term("slot", "slot", string(slot), slot.Name()),
			say.Name("look", strings.Join(words, " "))),
			holds: func(c *sought) bool { return holdsWords(c.facts.looks[slot], words) }}
	}
	return 0, SearchTerm{}
}

// holdsWords reports whether a key has all words, each at the beginning of one of its own.
func holdsWords(key string, words []string) bool {
	for _, w := range words {
		if !slices.ContainsFunc(strings.Fields(key), func(x string) bool { return strings.HasPrefix(x, w) }) {
			return false
		}
	}
	return true
}

// termOfPart takes a finding, alone or with the part on which it is.
func (s *searching) termOfPart(k []string) (int, SearchTerm) {
	if slot, n := slotNamed(k); n > 0 {
		if id, m := longest(k[n:], 3, in(s.terms)); m > 0 {
			return n + m, foundOn(id, slot)
		}
	}
	id, n := longest(k, 3, in(s.terms))
	if n == 0 {
		return 0, SearchTerm{}
	}
	at := n
	for at < len(k) && (k[at] == "on" || k[at] == "the") {
		at++
	}
	if slot, m := slotNamed(k[at:]); m > 0 {
		return at + m, foundOn(id, slot)
	}
	return n, found(id, strings.Join(k[:n], " "))
}

// found asks for a finding, or for its words where somebody wrote them into the note.
func found(id, words string) SearchTerm {
	return SearchTerm{As: say.That("search.finding", say.Name("finding", strings.ReplaceAll(id, "_", " "))),
		holds: func(c *sought) bool { return c.facts.has([]string{id}) || strings.Contains(c.key, words) }}
}

func foundOn(id string, slot evidence.Slot) SearchTerm {
	return SearchTerm{As: say.That("search.finding-on", say.Name("finding", strings.ReplaceAll(id, "_", " ")),
		say.Term("slot", "slot", string(slot), slot.Name())),
		holds: func(c *sought) bool { return c.facts.has([]string{id}, slot) }}
}

// polish takes the two words that are said of a case.
func (s *searching) polish(k []string) (int, SearchTerm) {
	slot, n := evidence.Slot(""), 0
	if at, m := slotNamed(k[1:]); m > 0 {
		slot, n = at, m
	}
	switch {
	case k[0] == "never" && len(k) > 1 && k[1] == "polished":
		return 2, isUnpolished()
	case slot != "" && slot != evidence.Case:
		return 0, SearchTerm{} // a finding on that part
	case k[0] == "unpolished":
		return 1 + n, isUnpolished()
	case k[0] == "polished":
		return 1 + n, SearchTerm{As: say.That("search.polished"), holds: func(c *sought) bool { return c.facts.polished() }}
	}
	return 0, SearchTerm{}
}

func isUnpolished() SearchTerm {
	return SearchTerm{As: say.That("search.unpolished"), holds: func(c *sought) bool { return c.facts.unpolished() }}
}

// comesWith takes what comes with a watch.
func (s *searching) comesWith(k []string) (int, SearchTerm) {
	if len(k) > 1 && k[0] == "full" && k[1] == "set" {
		return 2, SearchTerm{As: say.That("search.full"), holds: func(c *sought) bool { return c.facts.Set == "full" }}
	}
	if len(k) > 1 && k[0] == "watch" && (k[1] == "alone" || k[1] == "only") {
		return 2, SearchTerm{As: say.That("search.alone"),
			holds: func(c *sought) bool { return !c.facts.papers() && !c.facts.Box }}
	}
	if len(k) > 1 {
		if _, judged := judgements()[k[1]]; judged {
			return 0, SearchTerm{}
		}
	}
	switch k[0] {
	case "papers", "paper":
		return 1, SearchTerm{As: say.That("search.papers"), holds: func(c *sought) bool { return c.facts.papers() }}
	case "box", "boxed":
		return 1, SearchTerm{As: say.That("search.box"), holds: func(c *sought) bool { return c.facts.Box }}
	}
	return 0, SearchTerm{}
}

// without takes “no papers”, “without box”, “not polished”, “no box or papers”, “no spotting”.
func (s *searching) without(k []string) (int, SearchTerm) {
	if !slices.Contains([]string{"no", "not", "without", "non", "un"}, k[0]) || len(k) < 2 {
		return 0, SearchTerm{}
	}
	rest := k[1:]
	if n := boxAndPapers(rest); n > 0 {
		return 1 + n, SearchTerm{As: say.That("search.neither"),
			holds: func(c *sought) bool { return !c.facts.papers() && !c.facts.Box }}
	}
	for _, p := range []phrase{(*searching).comesWith, (*searching).polish, (*searching).partLook,
		(*searching).termOfPart, (*searching).stateNamed} {
		n, t := p(s, rest)
		if n == 0 {
			continue
		}
		holds := t.holds
		return 1 + n, SearchTerm{As: refused(t.As), record: t.record,
			holds: func(c *sought) bool { return !holds(c) }}
	}
	if slot, n := slotNamed(rest); n > 0 {
		return 1 + n, judgements()["missing"].of(slot)
	}
	return 0, SearchTerm{}
}

// refused is a term that must not hold, in words.
func refused(t say.Statement) say.Statement {
	switch t.Kind {
	case "search.papers":
		return say.That("search.no-papers")
	case "search.box":
		return say.That("search.no-box")
	case "search.polished":
		return say.That("search.not-polished")
	}
	return say.That("search.not", say.Saying("as", t))
}

// boxAndPapers counts the words of “box or papers”, “papers and box”; 0 where it is not that.
func boxAndPapers(k []string) int {
	is := func(w string) bool { return w == "box" || w == "papers" || w == "paper" }
	if len(k) > 2 && is(k[0]) && (k[1] == "or" || k[1] == "and" || k[1] == "nor") && is(k[2]) {
		return 3
	}
	return 0
}

// stateNames are the words for the states, beside their own.
var stateNames = map[string]shop.State{"memo": shop.OnMemo, "on memo": shop.OnMemo, "out on memo": shop.OnMemo,
	"memo out": shop.OnMemo, "at watchmaker": shop.AtWorkshop, "at the watchmaker": shop.AtWorkshop,
	"watchmaker": shop.AtWorkshop, "shared": shop.PartShare, "consignment": shop.Consigned,
	"on consignment": shop.Consigned, "for sale": shop.Listed}

func (s *searching) stateNamed(k []string) (int, SearchTerm) {
	if len(k) > 1 && k[0] == "in" && k[1] == "stock" {
		return 2, SearchTerm{As: say.That("search.in-stock"), record: true,
			holds: func(c *sought) bool { return c.watch.State.Held() }}
	}
	state, n := longest(k, 3, func(joined string) (shop.State, bool) {
		if st, ok := stateNames[joined]; ok {
			return st, true
		}
		st := shop.State(strings.ReplaceAll(joined, " ", "_"))
		return st, slices.Contains(shop.States(), st)
	})
	if n == 0 {
		return 0, SearchTerm{}
	}
	return n, SearchTerm{As: say.That("search.state", say.Name("state", strings.ReplaceAll(string(state), "_", " "))),
		record: true, holds: func(c *sought) bool { return c.watch.State == state }}
}

// metalNamed takes a metal of the book, by its name or as people say it.
func (s *searching) metalNamed(k []string) (int, SearchTerm) {
	ids, n := longest(k, 4, in(s.metals))
	words := strings.Join(k[:n], " ")
	return n, SearchTerm{As: say.That("search.metal", say.Name("metal", words)),
		holds: func(c *sought) bool { return slices.Contains(ids, c.facts.Metal) }}
}

// keywords are the words that mean something whether or not a watch has them.
func keywords() []string {
	out := []string{"papers", "box", "full", "set", "polished", "unpolished", "never", "without", "under", "over", "above",
		"below", "before", "after", "early", "late", "grade", "gold", "steel", "calibre", "redial", "stock"}
	for w := range judgements() {
		out = append(out, w)
	}
	for w := range slotWords() {
		out = append(out, w)
	}
	for w := range stateNames {
		out = append(out, w)
	}
	for _, st := range shop.States() {
		out = append(out, strings.ReplaceAll(string(st), "_", " "))
	}
	return append(out, colours...)
}
