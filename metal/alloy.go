package metal

import (
	"fmt"
	"math"
	"strings"
)

// Alloy is a metal of cases and bracelets with the range of its density.
type Alloy struct {
	ID       string
	Name     string
	Element  string // empty for base metal
	Permille int
	Low      float64 // g/cm³
	High     float64
	Source   string
}

const (
	ranges   = "published density ranges of a dealer in scrap gold"
	supplier = "table of a jeweller's supplier, ± 0.25 for other recipes"
	mixing   = "reckoned by ideal mixing of the elements, ± 2 %"
	handbook = "handbook value, from memory"
)

// Alloys lists the alloys that Agrees knows, precious ones first.
func Alloys() []Alloy {
	return []Alloy{
		{"gold9_yellow", "9 karat yellow gold", Gold, 375, 10.9, 11.6, ranges},
		{"gold9_white", "9 karat white gold", Gold, 375, 10.5, 12.7, ranges},
		{"gold9_rose", "9 karat rose gold", Gold, 375, 11.1, 11.7, mixing},
		{"gold10_yellow", "10 karat yellow gold", Gold, 417, 11.32, 11.82, supplier},
		{"gold10_white", "10 karat white gold", Gold, 417, 10.82, 11.32, supplier},
		{"gold10_rose", "10 karat rose gold", Gold, 417, 11.34, 11.84, supplier},
		{"gold14_yellow", "14 karat yellow gold", Gold, 585, 12.9, 13.6, ranges},
		{"gold14_white", "14 karat white gold", Gold, 585, 12.36, 14.6, ranges},
		{"gold14_rose", "14 karat rose gold", Gold, 585, 13.01, 13.51, supplier},
		{"gold18_yellow", "18 karat yellow gold", Gold, 750, 15.2, 15.9, ranges},
		{"gold18_white", "18 karat white gold", Gold, 750, 14.39, 16.9, ranges},
		{"gold18_rose", "18 karat rose gold", Gold, 750, 14.93, 15.43, supplier},
		{"gold22_yellow", "22 karat yellow gold", Gold, 916, 17.5, 18.1, ranges},
		{"gold24", "fine gold", Gold, 999, 19.2, 19.35, handbook},
		{"silver800", "silver 800", Silver, 800, 10.0, 10.3, mixing},
		{"silver925", "silver 925", Silver, 925, 10.3, 10.45, supplier},
		{"platinum950", "platinum 950", Platinum, 950, 19.9, 21.6, ranges},
		{"palladium950", "palladium 950", Palladium, 950, 11.6, 12.1, handbook},
		{"steel", "stainless steel", "", 0, 7.7, 8.1, handbook},
		{"titanium", "titanium", "", 0, 4.4, 4.55, handbook},
		{"brass", "brass or bronze, plated or gilt", "", 0, 8.3, 8.9, handbook},
		{"aluminium", "aluminium", "", 0, 2.65, 2.85, handbook},
		{"tungsten", "tungsten (used in false gold)", "", 0, 19.1, 19.35, handbook},
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
	Says        string
}

// CompareMark sets a density beside a mark of fineness. It agrees where an alloy of
// that element and fineness does, and contradicts where all of them are more than
// three standard uncertainties off. It errs on a fineness for which no alloy is
// listed.
func CompareMark(density, u float64, element string, permille int) (Claim, error) {
	if err := within("density", density, 0.1, 30, "0.1 to 30 g/cm³"); err != nil {
		return Claim{}, err
	}
	if err := within("u", u, 0, 30, "0 or more"); err != nil {
		return Claim{}, err
	}
	nearest := math.Inf(1)
	for _, a := range Alloys() {
		if a.Element == element && a.Permille == permille {
			nearest = math.Min(nearest, a.outside(density, u))
		}
	}
	if math.IsInf(nearest, 1) && !listed(element, permille) {
		return Claim{}, bad("mark", fmt.Sprintf("%s %d", element, permille),
			"an element and fineness of the list of alloys")
	}
	c := Claim{Agrees: nearest <= agreesWithin, Contradicts: nearest > contradictsBeyond, Alloys: Agrees(density, u)}
	c.Says = c.sentence(density, u, fmt.Sprintf("%s %d", element, permille))
	return c, nil
}

func listed(element string, permille int) bool {
	for _, a := range Alloys() {
		if a.Element == element && a.Permille == permille {
			return true
		}
	}
	return false
}

func (c Claim) sentence(density, u float64, mark string) string {
	head := fmt.Sprintf("density %.2f ± %.2f g/cm³ ", density, u)
	var names []string
	for _, a := range c.Alloys {
		names = append(names, a.Name)
	}
	others := ""
	if len(names) > 0 {
		others = "; it would suit " + strings.Join(names, ", ")
	}
	switch {
	case c.Agrees:
		return head + "agrees with a mark of " + mark + ", which it does not prove" + others
	case c.Contradicts:
		return head + "contradicts a mark of " + mark + " for a solid part without bubbles" + others
	}
	return head + "neither agrees with nor contradicts a mark of " + mark + others
}
