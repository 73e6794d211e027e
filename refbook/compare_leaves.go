package refbook

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"midcase/evidence"
	"midcase/say"
)

// leafSight is how plainly each leaf of a version shows, 0–1, as a share of how plainly its
// part shows. Common practice, no published source.
var leafSight = map[string]float64{
	"metal": 0.8, "markers": 0.8, "lume": 0.6, "look": 0.6, "traits": 0.6, "stamp": 0.3, "fitted": 0.2,
	"service part": 0.2,
}

// NotCompared names the leaves of a reference that Compare does not show, since they can be
// neither seen nor measured on a watch: where the book has it from, what was noted, how the
// market calls it, and how gradually a version came and went.
func NotCompared() []string {
	return []string{"id", "note", "premium", "soft_months", "source"}
}

// leaves compares versions that bear one name on both sides, leaf by leaf: two dials of one
// name may differ in lume or in how they look.
func (c *comparing) leaves(slot evidence.Slot, a, b *Slot) {
	for _, v := range a.Variants {
		i := slices.IndexFunc(b.Variants, func(w Variant) bool { return fold(w.Name) == fold(v.Name) })
		if i < 0 {
			continue
		}
		w := b.Variants[i]
		for _, l := range v.leaves() {
			other := l
			for _, x := range w.leaves() {
				if x.name == l.name {
					other = x
				}
			}
			c.leaf(slot, v.Name, l.name, l.says, other.says)
		}
		for _, k := range traitsOf(v, w) {
			c.leaf(slot, v.Name, k, v.Traits[k], w.Traits[k])
		}
	}
	if a.Replaced != b.Replaced {
		c.differ(slot.Name()+", replaced", percent(a.Replaced), percent(b.Replaced), 0.01,
			say.That("compare.replaced"))
	}
}

func percent(share float64) string { return number(math.Round(1000*share)/10) + " %" }

func (c *comparing) leaf(slot evidence.Slot, version, leaf, a, b string) {
	if a == b {
		return
	}
	sight, ok := leafSight[leaf]
	if !ok {
		sight = leafSight["traits"]
	}
	none := func(s string) string {
		if s == "" {
			return "not stated"
		}
		return s
	}
	c.differ(slot.Name()+" “"+version+"”, "+strings.ReplaceAll(leaf, "_", " "), none(a), none(b),
		sight*sightOf(string(slot)), say.That("compare.leaf", say.Name("leaf", leaf)))
}

// leafOf is one leaf of a version in words.
type leafOf struct{ name, says string }

func (v Variant) leaves() []leafOf {
	markers := make([]string, len(v.Markers))
	for i, h := range v.Markers {
		markers[i] = fmt.Sprint(h)
	}
	service := ""
	if v.Service {
		service = strings.TrimSpace("yes " + v.Supplied.String())
	}
	return []leafOf{{"metal", v.Metal}, {"markers", strings.Join(markers, ", ")}, {"lume", v.Lume}, {"look", v.Look},
		{"stamp", v.Stamp}, {"service part", service}, {"fitted", v.fittedWords()}}
}

// fittedWords says when, how often, where from and for where the factory fitted a version.
func (v Variant) fittedWords() string {
	var out []string
	for _, w := range v.Windows {
		s := w.Made.String()
		if w.Share != 0 && w.Share != 1 {
			s += ", share " + number(w.Share)
		}
		if w.Works != "" {
			s += ", " + w.Works
		}
		if len(w.Markets) > 0 {
			s += ", for " + strings.Join(w.Markets, " ")
		}
		out = append(out, s)
	}
	return strings.Join(out, "; ")
}

func traitsOf(a, b Variant) []string {
	all := map[string]bool{}
	for k := range a.Traits {
		all[k] = true
	}
	for k := range b.Traits {
		all[k] = true
	}
	return sorted(all)
}

// rest compares what is left: rules, serial numbers, family and name, tolerances, and the
// weights of parts.
func (c *comparing) rest() {
	text := func(feature, a, b string, telling float64) {
		if a != b {
			c.differ(feature, or(a, "not stated"), or(b, "not stated"), telling, say.That("compare.stated"))
		}
	}
	text("family", c.a.r.Family, c.b.r.Family, 0.05)
	text("name", c.a.r.Name, c.b.r.Name, 0.05)
	if c.a.m.ID == c.b.m.ID {
		text("serial numbers", list(c.a.r.Serial), list(c.b.r.Serial), 0.1)
	}
	text("rules", ruleWords(c.a.r.Rules), ruleWords(c.b.r.Rules), 0.1)
	for _, d := range c.a.r.Dimensions {
		if e, ok := c.b.r.Dimension(d.What); ok {
			name := strings.ReplaceAll(d.What, "_", " ")
			text(name+", tolerance", number(d.tolerance())+" mm", number(e.tolerance())+" mm", 0.01)
			if d.MM == e.MM {
				text(name+", known as", number(d.SpokenMM)+" mm", number(e.SpokenMM)+" mm", 0.02)
			}
		}
	}
	for _, w := range c.a.r.Weights {
		if x, ok := c.b.r.Weight(w.Part); ok {
			text("weight, "+strings.ReplaceAll(w.Part, "_", " "), w.words(), x.words(), 0.02)
		}
	}
}

func (w Weight) words() string {
	return strings.TrimSpace(fmt.Sprintf("%s ± %s g %s %s", number(w.G), number(w.ToleranceG), w.Metal,
		map[bool]string{true: "fine share " + number(w.FineShare)}[w.FineShare != 0 && w.FineShare != 1]))
}

func ruleWords(rules []Rule) string {
	var out []string
	for _, r := range rules {
		with := ""
		if r.With != nil {
			with = fmt.Sprint(*r.With)
		}
		says := or(r.Says, r.ID)
		for _, part := range []string{string(r.Slot), list(r.Never), list(r.Only), with, list(r.Markets)} {
			if part != "" && part != "none" {
				says += " · " + part
			}
		}
		out = append(out, says)
	}
	return strings.Join(out, "; ")
}
