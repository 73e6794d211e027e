package notes

import (
	"fmt"
	"maps"
	"slices"
	"sort"
	"strings"

	"midcase/condition"
)

// Own is a word, or a few, that one shop uses in a way of its own.
type Own struct {
	Say  string `json:"say"`  // as it is written, such as "peppered"
	Term string `json:"term"` // id of the finding that it means
}

// Check says why words cannot be read as a finding: they must be one to five words without figures, and none by which
// others mean something already, such as the name of another finding, a part or a denial.
func (o Own) Check() error {
	if _, ok := condition.Lookup(o.Term); !ok {
		return fmt.Errorf("%q is no finding of the list; use one such as spotting", o.Term)
	}
	w := o.words()
	if len(w) == 0 || len(w) > 5 || len([]rune(strings.Join(w, ""))) < 3 {
		return fmt.Errorf("%q will not do; write one to five words, such as peppered", o.Say)
	}
	for _, t := range tokens([]rune(o.Say)) {
		if t.kind != word {
			return fmt.Errorf("%q holds %q; write words alone, without figures or signs", o.Say, t.text)
		}
	}
	for _, t := range condition.Terms() {
		if t.ID != o.Term && strings.EqualFold(t.Name, strings.Join(w, " ")) {
			return fmt.Errorf("%q is the name of another finding", o.Say)
		}
	}
	for _, p := range general().byFirst[w[0]] {
		if slices.Equal(p.words, w) && p.role != isTerm && p.role != isQuality && p.role != isDegree {
			return fmt.Errorf("%q names something else already, so notes would be misread", o.Say)
		}
	}
	return nil
}

// words are those of Say as a text is read.
func (o Own) words() []string {
	var out []string
	for _, t := range general().mend(tokens([]rune(o.Say))) {
		out = append(out, t.norm)
	}
	return out
}

// with is the lexicon with words of a shop's own in place of what they mean to others.
func (l *lexicon) with(own []Own) *lexicon {
	if len(own) == 0 {
		return l
	}
	out := *l
	out.byFirst = maps.Clone(l.byFirst)
	for _, o := range own {
		if o.Check() != nil {
			continue
		}
		w := o.words()
		all := slices.DeleteFunc(slices.Clone(out.byFirst[w[0]]), func(p phrase) bool { return slices.Equal(p.words, w) })
		all = append(all, phrase{w, isTerm, o.Term})
		sort.SliceStable(all, func(i, j int) bool { return before(all[i], all[j]) })
		out.byFirst[w[0]] = all
	}
	return &out
}
