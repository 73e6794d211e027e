package metal

import (
	"fmt"
	"math"

	"midcase/estimate"
	"midcase/money"
	"midcase/say"
)

// TroyOunceG is a troy ounce in grams, exactly: 480 grains of 64.79891 mg.
const TroyOunceG = 31.1034768

// z90 is the normal quantile of a 90 % range on both sides.
const z90 = 1.6448536269514722

// Part is the precious metal of one part of the watch.
type Part struct {
	Name    string
	Element string  // empty means gold
	G       float64 // gross mass
	UG      float64 // its standard uncertainty
	// Permille is the fineness; 0 is base metal. Of a marked part it is the least that
	// the standard allows, and UPermille is 0; of a tested part the test's figure and
	// its standard uncertainty.
	Permille  float64
	UPermille float64
	Tested    bool // by assay, not by mark
	Nominal   bool // G is the book's nominal weight, not weighed
	// FineShare is the share of G that is of this metal, without springs, pins and the
	// like; 0 means 1.
	FineShare  float64
	UFineShare float64 // its standard uncertainty
}

// Fine is the fine weight of one element.
type Fine struct {
	Element    string
	G          float64 // fine
	UG         float64 // standard uncertainty
	Interval90 estimate.Interval
	GrossG     float64 // of all parts with some of the element
	Parts      []FinePart
	Says       []say.Statement

	// What parts err by apart, and together: the marked parts of one watch are as a rule of
	// one alloy.
	uApart, uAlloy float64
}

// FinePart is what one part brings in.
type FinePart struct {
	Name      string
	GrossG    float64
	Permille  float64
	FineG, UG float64
	From      string // "weighed" or "nominal weight"
	Fineness  string // "tested" or "marked"
}

func (p Part) check(at string) error {
	if err := within(at+".g", p.G, math.SmallestNonzeroFloat64, 1e5, "a mass above 0 g"); err != nil {
		return err
	}
	if err := within(at+".u_g", p.UG, 0, 1e5, "0 or more"); err != nil {
		return err
	}
	if err := within(at+".permille", p.Permille, 0, 1000, "0 to 1000 ‰"); err != nil {
		return err
	}
	if err := within(at+".u_permille", p.UPermille, 0, 1000, "0 or more"); err != nil {
		return err
	}
	if err := within(at+".u_fine_share", p.UFineShare, 0, 1, "0 to 1"); err != nil {
		return err
	}
	return within(at+".fine_share", p.FineShare, 0, 1, "a share of 0 to 1")
}

// FineWeight sums mass × fineness over the parts of one precious element; parts of
// fineness 0 are left out of it. It errs on masses and finenesses that cannot be,
// and on parts of different elements, which are to be computed apart.
func FineWeight(parts []Part) (Fine, error) {
	var out Fine
	for i, p := range parts {
		if err := p.check(fmt.Sprintf("parts[%d] %q", i, p.Name)); err != nil {
			return Fine{}, err
		}
		if p.Permille == 0 {
			continue
		}
		if p.Element == "" {
			p.Element = Gold
		}
		if out.Element != "" && out.Element != p.Element {
			return Fine{}, bad(fmt.Sprintf("parts[%d] %q.element", i, p.Name), p.Element,
				"the same element for all parts, here "+out.Element)
		}
		out.Element = p.Element
		out.add(p)
	}
	out.Interval90 = estimate.Interval{math.Max(0, out.G-z90*out.UG), out.G + z90*out.UG}
	out.say()
	return out, nil
}

func (f *Fine) add(p Part) {
	share := p.FineShare
	if share == 0 {
		share = 1
	}
	fine := FinePart{Name: p.Name, GrossG: p.G, Permille: p.Permille, FineG: p.G * share * p.Permille / 1000,
		From: "weighed", Fineness: "marked"}
	fine.UG = math.Hypot(share*math.Hypot(p.UG*p.Permille, p.G*p.UPermille), p.G*p.Permille*p.UFineShare) / 1000
	if p.Nominal {
		fine.From = "nominal weight"
	}
	if p.Tested {
		fine.Fineness = "tested"
	}
	f.Parts = append(f.Parts, fine)
	f.GrossG += p.G
	f.G += fine.FineG
	alloy := p.G * share * p.UPermille / 1000
	if p.Tested {
		f.uApart = math.Hypot(f.uApart, fine.UG)
	} else {
		f.uAlloy += alloy
		f.uApart = math.Sqrt(f.uApart*f.uApart + math.Max(0, fine.UG*fine.UG-alloy*alloy))
	}
	f.UG = math.Hypot(f.uApart, f.uAlloy)
}

func (f *Fine) say() {
	nominal, marked := false, false
	for _, p := range f.Parts {
		nominal = nominal || p.From == "nominal weight"
		marked = marked || p.Fineness == "marked"
	}
	if nominal {
		f.Says = append(f.Says, say.That("metal.rests-on-nominal"))
	}
	if marked {
		f.Says = append(f.Says, say.That("metal.rests-on-mark"))
	}
}

// Floor is what the fine metal would bring when melted: no price for a watch.
type Floor struct {
	Amount, Low, High money.Money // Low to High is the 90 % range by the fine weight alone
	Says              say.Statement
}

// MeltFloor is fine weight × spot per troy ounce × payout, the share of the spot
// that a refiner pays (1 is the spot itself). uG is the standard uncertainty of the
// fine weight. Refining charges are not taken off.
func MeltFloor(fineG, uG float64, spotPerTroyOunce money.Money, payout float64) (Floor, error) {
	if err := within("fine_g", fineG, 0, 1e6, "a mass of 0 g or more"); err != nil {
		return Floor{}, err
	}
	if err := within("u_g", uG, 0, 1e6, "0 or more"); err != nil {
		return Floor{}, err
	}
	if spotPerTroyOunce.IsZero() || spotPerTroyOunce.Sign() <= 0 {
		return Floor{}, bad("spot per troy ounce", spotPerTroyOunce, "an amount above 0")
	}
	if !(payout > 0 && payout <= 1) {
		return Floor{}, bad("payout", payout, "a share over 0 and up to 1, such as 0.95")
	}
	perG := spotPerTroyOunce.Float() / TroyOunceG * payout
	var out Floor
	for _, v := range []struct {
		to *money.Money
		g  float64
	}{{&out.Amount, fineG}, {&out.Low, math.Max(0, fineG-z90*uG)}, {&out.High, fineG + z90*uG}} {
		amount, err := money.Round(v.g*perG, spotPerTroyOunce.Currency())
		if err != nil {
			return Floor{}, fmt.Errorf("%w: melt floor: %w", ErrInput, err)
		}
		*v.to = amount
	}
	out.Says = say.That("metal.floor-is")
	return out, nil
}
