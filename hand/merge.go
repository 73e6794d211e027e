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
	b, n, o := Sentences(base), Sentences(now), Sentences(ours)
	inNow, inOurs := matched(b, n), matched(b, o)
	var out []Sentence
	changes := []Change{}
	at, atNow, atOurs := 0, 0, 0
	chunk := func(toB, toN, toO int) {
		was, is, own := b[at:toB], n[atNow:toN], o[atOurs:toO]
		switch {
		case alikeAll(is, was), alikeAll(is, own):
			out = append(out, own...)
			return
		}
		c := Change{Was: Join(was), Now: Join(is), Ours: Join(own), Taken: true}
		if !alikeAll(own, was) {
			c.Both, c.Taken = true, len(was) == 0
		}
		if chosen, ok := take[len(changes)]; ok {
			c.Taken = chosen
		}
		changes = append(changes, c)
		switch {
		case !c.Taken:
			out = append(out, own...)
		case c.Both && len(was) == 0: // both put something in
			out = append(append(out, own...), is...)
		default:
			out = append(out, is...)
		}
	}
	for i := range b {
		if inNow[i] < 0 || inOurs[i] < 0 {
			continue
		}
		chunk(i, inNow[i], inOurs[i])
		kept := o[inOurs[i]]
		if parting(kept.Before) == parting(b[i].Before) {
			kept.Before = n[inNow[i]].Before
		}
		out = append(out, kept)
		at, atNow, atOurs = i+1, inNow[i]+1, inOurs[i]+1
	}
	chunk(len(b), len(n), len(o))
	if len(changes) == 0 {
		return Merged{ours, changes}
	}
	return Merged{Join(spaced(out)), changes}
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

func alikeAll(a, b []Sentence) bool {
	return slices.EqualFunc(a, b, func(x, y Sentence) bool { return same(x.Text) == same(y.Text) })
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
