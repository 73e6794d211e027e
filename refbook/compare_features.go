package refbook

import (
	"math"
	"sort"
	"strings"

	"midcase/evidence"
	"midcase/say"
)

// sight is how plainly each feature shows, 0–1: what is seen from the front by
// anyone is near 1, what needs a tool, an open case or papers is far below.
// Common practice, no published source.
var sight = map[string]float64{
	"metal colour": 1, "metal mark": 0.4, "complication": 0.95, "calibre": 0.25,
	"bezel": 0.95, "dial": 0.9, "date": 0.9, "hands": 0.75, "pushers": 0.7, "case": 0.7, "crystal": 0.6, "crown": 0.5,
	"lume":     0.5,
	"counters": 0.95, "seconds": 0.9, "markers": 0.85, "water": 0.1, "bracelet": 0.4, "case_back": 0.35,
	"end_pieces": 0.3, "clasp": 0.25, "box": 0.05, "papers": 0.05, "movement": 0.25,
	"weight": 0.3, "production span": 0.15, "markets": 0.05,
}

func sightOf(feature string) float64 {
	if s, ok := sight[feature]; ok {
		return s
	}
	return 0.6 // a feature that the book's writer thought worth a line
}

// colour is what a metal looks like: base metals are white.
func colour(m *Metal) string {
	switch {
	case m.Colour != "":
		return m.Colour
	case m.Element == "gold":
		return "yellow"
	case strings.Contains(fold(m.Name), "gold"): // steel and gold, gold plated
		return "two colours"
	}
	return "white"
}

func (c *comparing) metal() {
	a, okA := c.a.m.Metal(c.a.r.Metal)
	b, okB := c.b.m.Metal(c.b.r.Metal)
	if !okA || !okB {
		c.missing("metal", okA, okB)
		return
	}
	switch {
	case colour(a) != colour(b):
		c.differ("metal", a.Name, b.Name, sight["metal colour"],
			say.That("compare.colour"))
	case a.Name != b.Name || a.Fineness != b.Fineness || a.Element != b.Element:
		c.differ("metal", a.Name, b.Name, sight["metal mark"],
			say.That("compare.mark"))
	default:
		c.same("metal", a.Name)
	}
}

func (s side) complications() []string {
	var out []string
	seen := map[string]bool{}
	for _, id := range s.r.Calibres {
		what := "none"
		if k, ok := s.m.Calibre(id); ok && k.Complication != "" {
			what = k.Complication
		}
		if !seen[what] {
			seen[what] = true
			out = append(out, what)
		}
	}
	return out
}

func (c *comparing) complication() {
	a, b := c.a.complications(), c.b.complications()
	if len(a) == 0 || len(b) == 0 {
		return // said under calibre
	}
	apart, _, _ := sets(a, b)
	if apart == 0 {
		c.same("complication", list(a))
		return
	}
	c.differ("complication", list(a), list(b), sight["complication"]*apart,
		say.That("compare.complication"))
}

func (c *comparing) calibres() {
	if len(c.a.r.Calibres) == 0 || len(c.b.r.Calibres) == 0 {
		c.missing("calibre", len(c.a.r.Calibres) > 0, len(c.b.r.Calibres) > 0)
		return
	}
	a, b := c.a.names(c.a.r.Calibres), c.b.names(c.b.r.Calibres)
	apart, _, _ := sets(a, b)
	if apart == 0 {
		c.same("calibre", list(a))
		return
	}
	why := say.That("compare.calibre")
	if apart < 1 {
		why = say.That("compare.calibre-shared")
	}
	c.differ("calibre", list(a), list(b), sight["calibre"]*apart, why)
}

func (s side) names(calibres []string) []string {
	var out []string
	for _, id := range calibres {
		name := id
		if k, ok := s.m.Calibre(id); ok && k.Name != "" {
			name = k.Name
		}
		out = append(out, name)
	}
	return out
}

// looking is how a dimension is judged: how plainly it shows, and the error (one
// standard deviation, mm) of judging it so.
var looking = map[string]struct {
	sight, sdMM float64
	how         say.Statement
}{
	"mid_case_diameter":         {0.85, 0.5, say.That("compare.size-on-wrist")},
	"lug_to_lug":                {0.7, 0.5, say.That("compare.length")},
	"thickness":                 {0.6, 0.4, say.That("compare.thickness")},
	"thickness_without_crystal": {0.5, 0.3, say.That("compare.thickness")},
	"lug_width":                 {0.45, 0.1, say.That("compare.caliper")},
	"crown_diameter":            {0.6, 0.3, say.That("compare.front")},
	"pusher_diameter":           {0.6, 0.3, say.That("compare.front")},
	"bezel_diameter":            {0.7, 0.5, say.That("compare.front")},
	"dial_diameter":             {0.6, 0.5, say.That("compare.front")},
}

func (c *comparing) sizes() {
	for _, what := range evidence.DimensionKinds() {
		a, okA := c.a.r.Dimension(what)
		b, okB := c.b.r.Dimension(what)
		name := strings.ReplaceAll(what, "_", " ")
		if !okA || !okB {
			if okA != okB {
				c.missing(name, okA, okB)
			}
			continue
		}
		d := math.Abs(a.MM - b.MM)
		if d < 1e-9 {
			c.same(name, a.words())
			continue
		}
		look, ok := looking[what]
		if !ok {
			look.sight, look.sdMM, look.how = 0.4, 0.1, say.That("compare.caliper")
		}
		// The tolerance is taken as a 95 % interval: half of it is one standard deviation.
		sd := math.Sqrt(look.sdMM*look.sdMM + (square(a.tolerance()/2)+square(b.tolerance()/2))/2)
		apart := 2*normalCDF(d/(2*sd)) - 1
		c.differ(name, a.words(), b.words(), look.sight*apart,
			say.That("compare.size-apart", say.Fixed("by", d, say.MM, 1), say.Saying("how", look.how)))
	}
}

func square(x float64) float64 { return x * x }

// Dimension finds a nominal size of the reference, as evidence.DimensionKinds names
// it.
func (r *Reference) Dimension(what string) (*Dimension, bool) {
	for i := range r.Dimensions {
		if r.Dimensions[i].What == what {
			return &r.Dimensions[i], true
		}
	}
	return nil, false
}

func (d Dimension) words() string {
	if d.SpokenMM != 0 && d.SpokenMM != d.MM {
		return say.That("compare.known-as", say.Name("size", number(d.MM)+" mm"),
			say.Name("known", number(d.SpokenMM)+" mm")).String()
	}
	return number(d.MM) + " mm"
}

func (d Dimension) tolerance() float64 {
	if d.ToleranceMM == 0 {
		return 0.1
	}
	return d.ToleranceMM
}

func (c *comparing) features() {
	all := map[string]bool{}
	for k := range c.a.r.Features {
		all[k] = true
	}
	for k := range c.b.r.Features {
		all[k] = true
	}
	for _, k := range sorted(all) {
		a, okA := c.a.r.Features[k]
		b, okB := c.b.r.Features[k]
		name := strings.ReplaceAll(k, "_", " ")
		switch {
		case !okA || !okB:
			c.missing(name, okA, okB)
		case fold(a) == fold(b):
			c.same(name, a)
		default:
			c.differ(name, a, b, sightOf(k), say.That("compare.every"))
		}
	}
}

// slots compares the variants that the factory fitted. Within one maker a variant
// of the same id and name counts as the same; two makers share no variants.
func (c *comparing) slots() {
	for _, slot := range evidence.Slots() {
		if a, ok := c.a.r.Slot(slot); ok && c.a.m.ID == c.b.m.ID {
			if b, ok := c.b.r.Slot(slot); ok {
				c.leaves(slot, a, b)
			}
		}
		calibres, _, _ := sets(c.a.r.Calibres, c.b.r.Calibres)
		if slot == evidence.Movement && calibres > 0 || slot == evidence.Bracelet {
			continue // told by the calibres and the bracelets
		}
		a, okA := c.a.r.Slot(slot)
		b, okB := c.b.r.Slot(slot)
		if !okA || !okB {
			if okA != okB {
				c.missing(slot.Name()+" variants", okA, okB)
			}
			continue
		}
		va, vb := c.a.variants(a), c.b.variants(b)
		apart, onlyA, onlyB := sets(va, vb)
		if c.a.m.ID != c.b.m.ID {
			apart, onlyA, onlyB = 1, va, vb
		}
		feature := slot.Name() + " variants"
		if apart == 0 {
			c.same(feature, list(va))
			continue
		}
		c.differ(feature, list(va), list(vb), sightOf(string(slot))*apart, c.unshared(apart, onlyA, onlyB))
	}
}

// unshared says which variants one side has alone.
func (c *comparing) unshared(apart float64, onlyA, onlyB []string) say.Statement {
	if apart == 1 {
		return say.That("compare.none-shared")
	}
	var out say.List
	if len(onlyA) > 0 {
		out = append(out, alone(c.a.r.ID, onlyA))
	}
	if len(onlyB) > 0 {
		out = append(out, alone(c.b.r.ID, onlyB))
	}
	return say.That("compare.unshared", say.All("alone", out...))
}

func alone(reference string, variants []string) say.Statement {
	return say.That("compare.alone", say.Name("reference", reference), say.Name("variants", list(variants)))
}

// variants lists the names of what the factory fitted, service parts left out.
func (s side) variants(slot *Slot) []string {
	var out []string
	for _, v := range slot.Variants {
		if !v.Service {
			out = append(out, v.Name)
		}
	}
	return out
}

func (c *comparing) bracelets() {
	a, b := c.a.bracelets(), c.b.bracelets()
	if len(a) == 0 || len(b) == 0 {
		c.missing("bracelets", len(a) > 0, len(b) > 0)
		return
	}
	apart, _, _ := sets(a, b)
	if c.a.m.ID != c.b.m.ID {
		apart = 1
	}
	if apart == 0 {
		c.same("bracelets", list(a))
		return
	}
	c.differ("bracelets", list(a), list(b), sight["bracelet"]*apart,
		say.That("compare.bracelet"))
}

func (s side) bracelets() []string {
	var out []string
	for _, id := range s.r.Bracelets {
		name := id
		if b, ok := s.m.Bracelet(id); ok && b.Name != "" {
			name = id + " " + b.Name
		}
		out = append(out, name)
	}
	if s.r.Strap {
		out = append(out, Strap)
	}
	return out
}

// weight compares the heaviest thing that both give a weight for.
func (c *comparing) weight() {
	for _, part := range []string{"watch", "head", "case_parts", "case", "bracelet"} {
		a, okA := c.a.r.Weight(part)
		b, okB := c.b.r.Weight(part)
		if !okA || !okB {
			continue
		}
		name := say.That("compare.weight-of", say.Term("part", "slot", part, "")).String()
		d := math.Abs(a.G - b.G)
		words := func(g float64) string { return number(g) + " g" }
		if d < 1e-9 {
			c.same(name, words(a.G))
			return
		}
		// Removed links and wear: a whole watch strays by some 2 % even where no
		// tolerance is stated.
		sd := math.Sqrt(square(0.02*(a.G+b.G)/2) + (square(a.ToleranceG/2)+square(b.ToleranceG/2))/2)
		c.differ(name, words(a.G), words(b.G), sight["weight"]*(2*normalCDF(d/(2*sd))-1),
			say.That("compare.weight", say.Fixed("by", d, say.Gram, 0)))
		return
	}
	c.missing("weight", len(c.a.r.Weights) > 0, len(c.b.r.Weights) > 0)
}

// Weight finds the nominal weight of a part, or of "watch" or "head".
func (r *Reference) Weight(part string) (*Weight, bool) {
	for i := range r.Weights {
		if r.Weights[i].Part == part {
			return &r.Weights[i], true
		}
	}
	return nil, false
}

func (c *comparing) span() {
	a, b := c.a.r.Made.String(), c.b.r.Made.String()
	if a == b {
		c.same("production span", a)
		return
	}
	f1, l1, ok1 := spanOf(c.a.r.Made)
	f2, l2, ok2 := spanOf(c.b.r.Made)
	apart, why := 0.5, say.That("compare.open-span")
	if ok1 && ok2 {
		shared := max(0, int(min(l1, l2)-max(f1, f2))+1)
		all := int(l1-f1) + 1 + int(l2-f2) + 1 - shared
		apart = 1 - float64(shared)/float64(all)
		why = say.That("compare.never-together")
		if shared > 0 {
			why = say.That("compare.overlap", say.Count("months", shared))
		}
	}
	c.differ("production span", a, b, sight["production span"]*apart, why)
}

func (c *comparing) markets() {
	words := func(m []string) string {
		if len(m) == 0 {
			return "everywhere"
		}
		s := append([]string(nil), m...)
		sort.Strings(s)
		return strings.Join(s, ", ")
	}
	a, b := words(c.a.r.Markets), words(c.b.r.Markets)
	if a == b {
		c.same("markets", a)
		return
	}
	c.differ("markets", a, b, sight["markets"], say.That("compare.market"))
}
