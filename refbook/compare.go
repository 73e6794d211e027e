package refbook

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"midcase/edtf"
	"midcase/say"
)

// Comparison is what tells two references apart.
type Comparison struct {
	A           Compared        `json:"a"`
	B           Compared        `json:"b"`
	Differences []Difference    `json:"differences"` // the most telling first
	Same        []say.Statement `json:"same"`        // what both share, such as "lug width: 20 mm"
	NotInBook   []say.Statement `json:"not_in_book"` // what the book says of one alone, or of neither
}

// Compared names one side of a comparison.
type Compared struct {
	Maker     string `json:"maker"`
	Reference string `json:"reference"`
	Title     string `json:"title"` // "Corvane KR-1 Tidal Chronograph"
	Basis     string `json:"basis"` // the path of its entry in the book
}

// Difference is one feature in which two references differ.
//
// Telling, 0–1, says how surely one look at that feature tells the two apart. It is
// the product of two numbers:
//
//   - how plainly the feature shows: 1 for the metal's colour, 0.95 for the bezel and
//     a complication, 0.9 for the dial, less for what needs a caliper, a scale, an
//     open case or knowledge of the watch's date or country (see sight in this
//     package);
//   - how far the two keep apart in it: 1 where they never share a value, less where
//     they share some (the part of all values that is not shared), and for sizes the
//     chance to judge right by the better side of the middle, counted from a guess,
//     2Φ(|d|/2σ) − 1, where σ joins the tolerances and the error of looking.
//
// The weights are a judgement from common practice, no published source.
type Difference struct {
	Feature string        `json:"feature"`
	A       string        `json:"a"`
	B       string        `json:"b"`
	Telling float64       `json:"telling"`
	Why     say.Statement `json:"why"`
}

// Compare gives the differences between two references that matter to a buyer, the
// most telling first. The two may be of different makers. The error names the
// maker or the reference that is not in the book, and the nearest that is.
func Compare(b *Book, makerA, refA, makerB, refB string) (Comparison, error) {
	x, err := b.side(makerA, refA)
	if err != nil {
		return Comparison{}, err
	}
	y, err := b.side(makerB, refB)
	if err != nil {
		return Comparison{}, err
	}
	c := &comparing{a: x, b: y, out: Comparison{A: x.compared(), B: y.compared(), Differences: []Difference{},
		Same: []say.Statement{}, NotInBook: []say.Statement{}}}
	c.metal()
	c.complication()
	c.calibres()
	c.sizes()
	c.features()
	c.slots()
	c.bracelets()
	c.weight()
	c.span()
	c.markets()
	c.rest()
	d := c.out.Differences
	sort.SliceStable(d, func(i, j int) bool { return d[i].Telling > d[j].Telling })
	return c.out, nil
}

// side is one of the two references with its maker.
type side struct {
	m *Maker
	r *Reference
}

func (b *Book) side(maker, ref string) (side, error) {
	m, r, ok := b.Reference(maker, ref)
	if ok {
		return side{m, r}, nil
	}
	if m == nil {
		var names []string
		for _, x := range b.Makers {
			names = append(names, x.Name)
		}
		return side{}, fmt.Errorf("the book has no maker “%s”. %s", maker,
			or(nearest(maker, names), "Give one of "+strings.Join(names, ", ")))
	}
	known := ids(m.References, referenceID)
	return side{}, fmt.Errorf("%s has no reference “%s” in the book. %s", m.Name, ref,
		or(nearest(ref, known), "Give one of "+strings.Join(known, ", ")))
}

func (s side) compared() Compared {
	title := s.m.Name + " " + s.r.ID
	if s.r.Name != "" {
		title += " " + s.r.Name
	}
	return Compared{s.m.ID, s.r.ID, title, Path(s.m.ID, s.r.ID)}
}

// comparing gathers the answer.
type comparing struct {
	a, b side
	out  Comparison
}

func (c *comparing) differ(feature, a, b string, telling float64, why say.Statement) {
	telling = math.Max(0.005, math.Round(1000*telling)/1000) // a difference always tells something
	c.out.Differences = append(c.out.Differences, Difference{feature, a, b, telling, why})
}

func (c *comparing) same(feature, value string) {
	c.out.Same = append(c.out.Same, say.That("compare.same", say.Name("feature", feature), say.Name("value", value)))
}

// missing notes a feature that the book gives for one side or for neither.
func (c *comparing) missing(feature string, a, b bool) {
	switch {
	case a && !b:
		c.out.NotInBook = append(c.out.NotInBook, say.That("compare.missing", say.Name("feature", feature),
			say.Name("reference", c.b.r.ID)))
	case b && !a:
		c.out.NotInBook = append(c.out.NotInBook, say.That("compare.missing", say.Name("feature", feature),
			say.Name("reference", c.a.r.ID)))
	case !a && !b:
		c.out.NotInBook = append(c.out.NotInBook, say.That("compare.missing-both", say.Name("feature", feature)))
	}
}

// sets compares two sets of values and returns the share of all values that only
// one has: 1 where none is shared, 0 where all are. Empty sets are alike.
func sets(a, b []string) (apart float64, onlyA, onlyB []string) {
	inA, inB := map[string]bool{}, map[string]bool{}
	for _, x := range a {
		inA[fold(x)] = true
	}
	for _, x := range b {
		inB[fold(x)] = true
	}
	shared := 0
	for _, x := range a {
		if inB[fold(x)] {
			shared++
		} else {
			onlyA = append(onlyA, x)
		}
	}
	for _, x := range b {
		if !inA[fold(x)] {
			onlyB = append(onlyB, x)
		}
	}
	all := shared + len(onlyA) + len(onlyB)
	if all == 0 {
		return 0, nil, nil
	}
	return float64(len(onlyA)+len(onlyB)) / float64(all), onlyA, onlyB
}

func list(all []string) string {
	if len(all) == 0 {
		return "none"
	}
	for _, x := range all {
		if strings.Contains(x, ",") {
			return strings.Join(all, "; ")
		}
	}
	return strings.Join(all, ", ")
}

// spanOf is the production span in months; ok is false where a side is open.
func spanOf(d edtf.Date) (first, last edtf.Month, ok bool) {
	first, a := d.FirstMonth()
	last, b := d.LastMonth()
	return first, last, a && b
}
