package telling

import (
	"slices"
	"strings"
	"unicode/utf8"

	"midcase/evidence"
	"midcase/say"
)

// post writes a post of at most length characters: whole sentences where they fit, else
// each fault in a word, else the gravest of them with where the whole list is.
func (t *writing) post(length int) {
	head, price := t.told.Title+".", t.postPrice()
	for _, tier := range tiers {
		if length <= ShortPost {
			break
		}
		var spoken []Spoken
		var lines []string
		for _, in := range tier.in {
			for _, s := range t.plan.of(in) {
				if !tier.short || kept(s) {
					spoken = append(spoken, t.speak(s))
					lines = append(lines, spoken[len(spoken)-1].Text)
				}
			}
		}
		text := fit(length, head+"\n\n"+strings.Join(lines, " ")+"\n\n"+price)
		if text != "" {
			t.told.Text, t.told.Blocks = text, []Block{{Sentences: append(spoken, t.priced()...)}}
			return
		}
	}
	groups := t.groups()
	if len(groups) == 0 {
		if t.told.Text = fit(length, head, price); t.told.Text != "" {
			t.told.Blocks = []Block{{Sentences: t.priced()}}
		}
		return
	}
	all := make([]say.Value, len(groups))
	for i, g := range groups {
		all[i] = g.says
	}
	list := say.That("tell.post-faults", say.All("faults", all...))
	if text, made := t.withMade(length, head, plain(t.w.Capital(list)), price); text != "" {
		t.told.Text = text
		t.told.Blocks = []Block{{Sentences: slices.Concat(made, t.briefly(list, groups), t.priced())}}
		for _, g := range groups {
			g.disclose(t)
		}
		return
	}
	t.pointing(length, head, price, groups)
}

// tiers are the sections of a post in whole sentences, from all of them to those that
// have to be there. A short tier tells in its first two sections only what the watch is,
// when it was made and what is original.
var tiers = []struct {
	in    []Section
	short bool
}{{[]Section{What, Example, Doubts, Condition, Running, With, Sizes, Dating, Open, Notes}, false},
	{[]Section{What, Example, Doubts, Condition, Running, With, Open, Notes}, false},
	{[]Section{What, Example, Doubts, Condition, Running, With, Open, Notes}, true},
	{[]Section{What, Example, Doubts, Condition, Running, Open, Notes}, true},
	{[]Section{Doubts, Condition, Running, Open}, false}}

// kept reports whether a short tier tells a sentence: all that discloses, and the heart of
// the rest.
func kept(s Sentence) bool {
	if s.Says.Kind == "tell.opinion" {
		return false
	}
	return s.Section != What && s.Section != Example || strings.HasPrefix(string(s.Says.Kind), "tell.made") ||
		s.Says.Kind == "tell.is" || s.Says.Kind == "tell.original"
}

// withMade joins what fits: the whole with when it was made, else without; empty where
// neither fits. made is the sentence that is in the text.
func (t *writing) withMade(length int, head, list, price string) (text string, made []Spoken) {
	for _, s := range t.plan.of(What) {
		if !strings.HasPrefix(string(s.Says.Kind), "tell.made") {
			continue
		}
		spoken := t.speak(s)
		if text := fit(length, head, spoken.Text+" "+list, price); text != "" {
			return text, []Spoken{spoken}
		}
	}
	return fit(length, head, list, price), nil
}

// briefly is the sentence that names faults in a few words, with their grounds.
func (t *writing) briefly(says say.Statement, groups []group) []Spoken {
	s := Sentence{Section: Doubts, Says: says}
	for _, g := range groups {
		for _, d := range g.all {
			if !slices.Contains(s.Evidence, d.Finding) {
				s.Evidence = append(s.Evidence, d.Finding)
			}
		}
	}
	return []Spoken{t.speak(s)}
}

// priced are the sentences on the price that a post has: all but the stock number.
func (t *writing) priced() []Spoken {
	var out []Spoken
	for _, s := range t.plan.of(Price) {
		if s.Says.Kind != "tell.number" {
			out = append(out, t.speak(s))
		}
	}
	return out
}

func fit(length int, parts ...string) string {
	text := strings.Join(parts, " ")
	if utf8.RuneCountInString(text) > length {
		return ""
	}
	return text
}

func (t *writing) postPrice() string {
	var out []string
	for _, s := range t.priced() {
		out = append(out, s.Text)
	}
	return strings.Join(out, " ")
}

// group is what is disclosed of one part in a few words.
type group struct {
	says  say.Statement
	all   []Disclosure
	grave int
}

func (g group) disclose(t *writing) {
	text := plain(t.w.String(g.says))
	if !strings.Contains(t.told.Text, text) {
		text = plain(t.w.Capital(g.says))
	}
	for _, d := range g.all {
		t.say = append(t.say, Disclosed{d.Finding, d.Slot, text})
	}
}

// groups puts together what is disclosed of each part, the gravest first.
func (t *writing) groups() []group {
	var out []group
	bySlot := map[evidence.Slot]int{}
	words := map[evidence.Slot][]say.Value{}
	spoken := map[evidence.Slot][]string{}
	for _, d := range t.plan.Disclosures() {
		if d.Slot == "" {
			word, _ := d.Word.(say.Statement)
			i := slices.IndexFunc(out, func(g group) bool { return g.says.String() == word.String() })
			if i < 0 {
				out, i = append(out, group{says: word, grave: d.Grave}), len(out)
			}
			out[i].all = append(out[i].all, d)
			continue
		}
		i, known := bySlot[d.Slot]
		if !known {
			i = len(out)
			bySlot[d.Slot], out = i, append(out, group{grave: d.Grave})
		}
		if text := t.w.Value(d.Word, ""); !slices.Contains(spoken[d.Slot], text) {
			spoken[d.Slot], words[d.Slot] = append(spoken[d.Slot], text), append(words[d.Slot], d.Word)
		}
		out[i].all = append(out[i].all, d)
		out[i].says = say.That("tell.brief", say.Term("slot", "slot", string(d.Slot), ""),
			say.All("words", words[d.Slot]...))
	}
	slices.SortStableFunc(out, func(a, b group) int { return b.grave - a.grave })
	return out
}

// pointing names as many of the gravest faults as fit, how many points there are, and
// where all of them are listed.
func (t *writing) pointing(length int, head, price string, groups []group) {
	n := 0
	for _, g := range groups {
		n += len(g.all)
	}
	for most := len(groups) - 1; most >= 1; most-- {
		named := make([]say.Value, most)
		for i := range most {
			named[i] = groups[i].says
		}
		says := t.pointer(n, named)
		point := plain(t.w.Capital(says))
		text := fit(length, head, price, point)
		if text == "" {
			continue
		}
		t.told.Text, t.told.Elsewhere = text, point
		t.told.Blocks = []Block{{Sentences: slices.Concat(t.priced(), t.briefly(says, groups))}}
		for i, g := range groups {
			if i < most {
				g.disclose(t)
				continue
			}
			for _, d := range g.all {
				t.say = append(t.say, Disclosed{d.Finding, d.Slot, point})
			}
		}
		return
	}
	t.told.Text = head // too short to be honest: all is left out, and refused
}

// pointer says where the whole list is.
func (t *writing) pointer(n int, named []say.Value) say.Statement {
	o := t.plan.subject.Offer
	switch {
	case o.Address != "":
		return say.That("tell.pointer-address", say.Count("n", n), say.All("named", named...), say.Name("address",
			o.Address))
	case o.Number != "":
		return say.That("tell.pointer-number", say.Count("n", n), say.All("named", named...), say.Name("number",
			o.Number))
	}
	return say.That("tell.pointer", say.Count("n", n), say.All("named", named...))
}
