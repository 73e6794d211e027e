package hand

import (
	"slices"
	"strings"
)

// Change is a place where what the program tells is no longer what it told when the text
// was edited. Was, Now and Ours are sentences; any of them may be empty.
type Change struct {
	Was   string `json:"was"`
	Now   string `json:"now"`
	Ours  string `json:"ours"`
	Taken bool   `json:"taken"` // Now stands in the text; else what we wrote does
	Both  bool   `json:"both"`  // we changed the place too, so that somebody has to choose
}

// Merged is a text that follows two others.
type Merged struct {
	Text    string   `json:"text"`
	Changes []Change `json:"changes"`
}

// Unsettled reports whether a place was changed by both.
func (m Merged) Unsettled() bool {
	return slices.ContainsFunc(m.Changes, func(c Change) bool { return c.Both })
}

// Merge joins an edited text with what the program tells now, sentence by sentence: base
// is what it told when the text was edited. A change of the program's is taken where the
// text was as the program had it, and offered where both changed. take decides some of
// the changes otherwise, by their index. With base and now alike, the text stays as it is.
func Merge(base, now, ours string, take map[int]bool) Merged {
	b := Sentences(base)
	m := merging{take: take, changes: []Change{}}
	n, o := follow(b, Sentences(now)), follow(b, Sentences(ours))
	for i := range b {
		m.gap(n.put[i], o.put[i])
		m.sentence(b[i], n.is[i], o.is[i])
	}
	m.gap(n.put[len(b)], o.put[len(b)])
	if len(m.changes) == 0 {
		return Merged{ours, m.changes}
	}
	return Merged{Join(spaced(m.out)), m.changes}
}

// merging is the work on one text.
type merging struct {
	take    map[int]bool
	changes []Change
	out     []Sentence
}

// change notes a change and reports whether it is taken.
func (m *merging) change(c Change) bool {
	if chosen, ok := m.take[len(m.changes)]; ok {
		c.Taken = chosen
	}
	m.changes = append(m.changes, c)
	return c.Taken
}

// gap puts in what was put in between two sentences of the base: ours, then what is new.
func (m *merging) gap(now, ours []Sentence) {
	m.out = append(m.out, ours...)
	for _, s := range now {
		if slices.ContainsFunc(ours, func(x Sentence) bool { return same(x.Text) == same(s.Text) }) {
			continue
		}
		if m.change(Change{Now: s.Text, Taken: true}) {
			m.out = append(m.out, s)
		}
	}
}

// sentence merges one sentence of the base; nil is one that is gone.
func (m *merging) sentence(was Sentence, now, ours *Sentence) {
	text := func(s *Sentence) string {
		if s == nil {
			return ""
		}
		return s.Text
	}
	is := func(a, b string) bool { return same(a) == same(b) }
	put := func(s *Sentence) {
		if s != nil {
			m.out = append(m.out, *s)
		}
	}
	switch {
	case is(text(now), was.Text), is(text(now), text(ours)):
		if ours != nil && now != nil && parting(ours.Before) == parting(was.Before) {
			ours.Before = now.Before
		}
		put(ours)
	case is(text(ours), was.Text):
		if m.change(Change{Was: was.Text, Now: text(now), Ours: was.Text, Taken: true}) {
			put(now)
		} else {
			put(ours)
		}
	default:
		if m.change(Change{Was: was.Text, Now: text(now), Ours: text(ours), Both: true}) {
			put(now)
		} else {
			put(ours)
		}
	}
}

// followed is a text held against the base: what each sentence of the base became, nil
// where it is gone, and what was put in before each and at the end.
type followed struct {
	is  []*Sentence
	put [][]Sentence
}

// follow finds what each sentence of the base became. Between two that stayed, one that
// has words in common with one that is gone took its place.
func follow(base, text []Sentence) followed {
	f := followed{make([]*Sentence, len(base)), make([][]Sentence, len(base)+1)}
	at := matched(base, text)
	next := 0
	for i := 0; i <= len(base); {
		end := i
		for end < len(base) && at[end] < 0 {
			end++
		}
		to := len(text)
		if end < len(base) {
			to = at[end]
		}
		gap := i
		for _, s := range text[next:to] {
			became := -1
			for k := gap; k < end && became < 0; k++ {
				if f.is[k] == nil && shares(base[k].Text, s.Text) {
					became = k
				}
			}
			if became < 0 {
				f.put[gap] = append(f.put[gap], s)
				continue
			}
			f.is[became], gap = &s, became+1
		}
		if end < len(base) {
			f.is[end] = &text[to]
			next = to + 1
		}
		i = end + 1
	}
	return f
}

// shares reports whether two sentences have a third of their words in common.
func shares(a, b string) bool {
	const least = 3
	words := map[string]bool{}
	for _, w := range wordsOf(strings.ToLower(a)) {
		words[w] = true
	}
	all, common := len(words), 0
	for _, w := range wordsOf(strings.ToLower(b)) {
		switch in, seen := words[w]; {
		case !seen:
			all, words[w] = all+1, false
		case in:
			common, words[w] = common+1, false
		}
	}
	return common*least >= all && common > 0
}

// spaced gives the first sentence of a text nothing before it, and a sentence that came
// from the top of another text a paragraph of its own.
func spaced(all []Sentence) []Sentence {
	out := slices.Clone(all)
	for i := range out {
		if i > 0 && out[i].Before == "" {
			out[i].Before = "\n\n"
		}
	}
	return out
}

// matched gives for each sentence of a its place in b, -1 where it has none: the longest
// common order.
func matched(a, b []Sentence) []int {
	longest := make([][]int, len(a)+1)
	for i := range longest {
		longest[i] = make([]int, len(b)+1)
	}
	is := func(i, j int) bool { return same(a[i].Text) == same(b[j].Text) }
	for i := len(a) - 1; i >= 0; i-- {
		for j := len(b) - 1; j >= 0; j-- {
			if is(i, j) {
				longest[i][j] = longest[i+1][j+1] + 1
			} else {
				longest[i][j] = max(longest[i+1][j], longest[i][j+1])
			}
		}
	}
	out := make([]int, len(a))
	for i, j := 0, 0; i < len(a); i++ {
		out[i] = -1
		for j < len(b) && !is(i, j) && longest[i][j+1] >= longest[i+1][j] && longest[i][j+1] == longest[i][j] {
			j++
		}
		if j < len(b) && is(i, j) {
			out[i] = j
			j++
		}
	}
	return out
}

// Plain is a text in one form: line ends of one kind, one blank between words, at most
// one empty line.
func Plain(text string) string {
	text = strings.NewReplacer("\r\n", "\n", "\r", "\n", "\u00a0", " ", "\u202f", " ").Replace(text)
	var out []string
	for _, l := range strings.Split(text, "\n") {
		l = strings.Join(strings.Fields(l), " ")
		if l == "" && (len(out) == 0 || out[len(out)-1] == "") {
			continue
		}
		out = append(out, l)
	}
	return strings.TrimSpace(strings.Join(out, "\n"))
}
