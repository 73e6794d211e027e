package metal

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"midcase/say"
)

// Alloy is a metal of cases and bracelets with the range of its density.
type Alloy struct {
	ID       string
	Name     string // in English; the noun “alloy” with this ID is its name in any language
	Element  string // empty for base metal
	Permille int
	Colour   string  // yellow, white or rose of gold; empty where there is one
	Low      float64 // g/cm³
	High     float64
	Source   string
}

const (
	ranges   = "published density ranges of a dealer in scrap gold"
	supplier = "table of a jeweller's supplier, ± 0.25 for other recipes"
	mixing   = "computed by ideal mixing of the elements, ± 2 %"
	handbook = "handbook value, from memory"
)

// Alloys lists the alloys that Agrees knows, precious ones first.
func Alloys() []Alloy {
	return []Alloy{
		{"gold8_yellow", "8 karat yellow gold", Gold, 333, "yellow", 10.5, 11.4, mixing},
		{"gold9_yellow", "9 karat yellow gold", Gold, 375, "yellow", 10.9, 11.6, ranges},
		{"gold9_white", "9 karat white gold", Gold, 375, "white", 10.5, 12.7, ranges},
		{"gold9_rose", "9 karat rose gold", Gold, 375, "rose", 11.1, 11.7, mixing},
		{"gold10_yellow", "10 karat yellow gold", Gold, 417, "yellow", 11.32, 11.82, supplier},
		{"gold10_white", "10 karat white gold", Gold, 417, "white", 10.82, 11.32, supplier},
		{"gold10_rose", "10 karat rose gold", Gold, 417, "rose", 11.34, 11.84, supplier},
		{"gold14_yellow", "14 karat yellow gold", Gold, 585, "yellow", 12.9, 13.6, ranges},
		{"gold14_white", "14 karat white gold", Gold, 585, "white", 12.36, 14.6, ranges},
		{"gold14_rose", "14 karat rose gold", Gold, 585, "rose", 13.01, 13.51, supplier},
		{"gold18_yellow", "18 karat yellow gold", Gold, 750, "yellow", 15.2, 15.9, ranges},
		{"gold18_white", "18 karat white gold", Gold, 750, "white", 14.39, 16.9, ranges},
		{"gold18_rose", "18 karat rose gold", Gold, 750, "rose", 14.93, 15.43, supplier},
		{"gold22_yellow", "22 karat yellow gold", Gold, 916, "yellow", 17.5, 18.1, ranges},
		{"gold24", "fine gold", Gold, 999, "yellow", 19.2, 19.35, handbook},
		{"silver800", "silver 800", Silver, 800, "", 10.0, 10.3, mixing},
		{"silver925", "silver 925", Silver, 925, "", 10.3, 10.45, supplier},
		{"silver999", "fine silver", Silver, 999, "", 10.45, 10.53, handbook},
		{"platinum850", "platinum 850", Platinum, 850, "", 17.7, 21.6, mixing},
		{"platinum950", "platinum 950", Platinum, 950, "", 19.9, 21.6, ranges},
		{"platinum999", "fine platinum", Platinum, 999, "", 21.3, 21.5, handbook},
		{"palladium500", "palladium 500", Palladium, 500, "", 10.2, 11.3, mixing},
		{"palladium950", "palladium 950", Palladium, 950, "", 11.6, 12.1, handbook},
		{"palladium999", "fine palladium", Palladium, 999, "", 11.95, 12.05, handbook},
		{"steel", "stainless steel", "", 0, "", 7.7, 8.1, handbook},
		{"titanium", "titanium", "", 0, "", 4.4, 4.55, handbook},
		{"brass", "brass or bronze, plated or gilt", "", 0, "", 8.3, 8.9, handbook},
		{"aluminium", "aluminium", "", 0, "", 2.65, 2.85, handbook},
		{"tungsten", "tungsten (used in false gold)", "", 0, "", 19.1, 19.35, handbook},
	}
}

// agreesWithin and contradictsBeyond are how many standard uncertainties outside
// the range of an alloy a density still agrees, and no longer can be it.
const (
	agreesWithin      = 2.0
	contradictsBeyond = 3.0
)

// outside is how many standard uncertainties the density lies outside the range.
func (a Alloy) outside(density, u float64) float64 {
	gap := math.Max(0, math.Max(a.Low-density, density-a.High))
	if gap == 0 {
		return 0
	}
	return gap / u
}

// Agrees lists the alloys whose range the density lies in or within two standard
// uncertainties of. Many may agree, and an alloy that is not in the list may too:
// agreement proves nothing.
func Agrees(density, u float64) []Alloy {
	var out []Alloy
	if math.IsNaN(density) || math.IsNaN(u) || u < 0 {
		return nil
	}
	for _, a := range Alloys() {
		if a.outside(density, u) <= agreesWithin {
			out = append(out, a)
		}
	}
	return out
}

// Claim is a density beside a mark.
type Claim struct {
	Agrees      bool
	Contradicts bool // neither: the figure settles nothing
	Alloys      []Alloy
	// Between: no recipe of this fineness is listed; its range lies between those of the
	// finenesses beside it.
	Between bool
	Says    say.Statement
}

// CompareMark sets a density beside a mark of fineness and, where it is not empty, the
// colour of the gold. It agrees where an alloy of that element and fineness does, and
// contradicts where all of them are more than three standard uncertainties off. A
// fineness for which no alloy is listed is compared with one between its neighbours.
// It errs on an element for which none is listed.
func CompareMark(density, u float64, element string, permille int, colour string) (Claim, error) {
	if err := within("density", density, 0.1, 30, "0.1 to 30 g/cm³"); err != nil {
		return Claim{}, err
	}
	if err := within("u", u, 0, 30, "0 or more"); err != nil {
		return Claim{}, err
	}
	if err := within("fineness", float64(permille), 1, 1000, "1 to 1000 ‰"); err != nil {
		return Claim{}, err
	}
	recipes, between := recipesOf(element, permille, colour)
	if len(recipes) == 0 {
		return Claim{}, bad("mark", fmt.Sprintf("%s %d", element, permille), "gold, silver, platinum or palladium")
	}
	nearest := math.Inf(1)
	for _, a := range recipes {
		nearest = math.Min(nearest, a.outside(density, u))
	}
	c := Claim{Agrees: nearest <= agreesWithin, Contradicts: nearest > contradictsBeyond, Between: between,
		Alloys: Agrees(density, u)}
	c.Says = c.sentence(element, permille, colour)
	return c, nil
}

// recipesOf lists the alloys of an element that are marked so, of the colour where any
// has it; between reports that they were made from the finenesses beside it.
func recipesOf(element string, permille int, colour string) (out []Alloy, between bool) {
	of := map[string][]Alloy{}
	for _, a := range Alloys() {
		if a.Element == element && element != "" {
			of[a.Colour] = append(of[a.Colour], a)
		}
	}
	if _, ok := of[colour]; ok && colour != "" {
		of = map[string][]Alloy{colour: of[colour]}
	}
	colours := []string{"", "yellow", "white", "rose"}
	for _, c := range colours {
		for _, a := range of[c] {
			if SameFineness(a.Permille, permille) {
				out = append(out, a)
			}
		}
	}
	if len(out) > 0 {
		return out, false
	}
	for _, c := range colours {
		if a, ok := betweenOf(of[c], permille); ok {
			out = append(out, a)
		}
	}
	return out, len(out) > 0
}

// betweenOf is an alloy of the fineness between the two listed beside it, by ideal
// mixing: the volume of a gram lies on a straight line between theirs. Outside the list
// the nearest stands, widened as far as the list reaches.
func betweenOf(list []Alloy, permille int) (Alloy, bool) {
	if len(list) == 0 {
		return Alloy{}, false
	}
	list = slices.Clone(list)
	slices.SortFunc(list, func(a, b Alloy) int { return cmp.Compare(a.Permille, b.Permille) })
	i, _ := slices.BinarySearchFunc(list, permille, func(a Alloy, n int) int { return cmp.Compare(a.Permille, n) })
	switch i {
	case 0: // finer than nothing listed: lighter by as much as the other metals can make it
		a := list[0]
		return Alloy{Element: a.Element, Permille: permille, Low: mix(8.5, a.Low, permille, a.Permille),
			High: a.High}, true
	case len(list):
		a := list[i-1]
		pure := map[string]float64{Gold: 19.32, Silver: 10.49, Platinum: 21.45, Palladium: 12.02}[a.Element]
		return Alloy{Element: a.Element, Permille: permille, Low: a.Low, High: math.Max(a.High, pure)}, true
	}
	a, b := list[i-1], list[i]
	t := float64(permille-a.Permille) / float64(b.Permille-a.Permille)
	line := func(x, y float64) float64 { return 1 / ((1-t)/x + t/y) }
	return Alloy{Element: a.Element, Permille: permille, Low: line(a.Low, b.Low), High: line(a.High, b.High)}, true
}

// mix is the density between that of base metal, at 0 ‰, and of an alloy.
func mix(base, alloy float64, permille, of int) float64 {
	t := float64(permille) / float64(of)
	return 1 / ((1-t)/base + t/alloy)
}

// sentence says what the density means beside the mark; the figure itself stands once,
// where the caller gives it.
func (c Claim) sentence(element string, permille int, colour string) say.Statement {
	alloys := make([]say.Value, len(c.Alloys))
	for i, a := range c.Alloys {
		alloys[i] = say.Noun{Set: "alloy", ID: a.ID, English: a.Name}
	}
	mark := say.That("density.mark", say.Term("element", "element", element, ""),
		say.Fixed("fineness", float64(permille), say.None, 0))
	if element == Gold && colour != "" {
		mark = say.That("density.coloured", say.Term("colour", "colour", colour, ""),
			say.Term("element", "element", element, ""), say.Fixed("fineness", float64(permille), say.None, 0))
	}
	says := say.That("density.open", say.Saying("mark", mark))
	switch {
	case c.Agrees:
		says = say.That("density.agrees", say.Saying("mark", mark))
	case c.Contradicts:
		says = say.That("density.contradicts", say.Saying("mark", mark))
	}
	if c.Between {
		says = say.That("density.between", say.Saying("says", says))
	}
	if len(alloys) > 0 {
		says = say.That("density.suits", say.Saying("says", says), say.All("alloys", alloys...))
	}
	return says
}
