package gate

import (
	"math"
	"regexp"
	"strconv"
	"strings"

	"midcase/evidence"
	"midcase/refbook"
	"midcase/say"
)

// How far a size may lie from the book's before it is asked about. Below, polishing and
// the other lug of a pair leave room; above, a bezel over the middle case.
// Common practice, no published source.
const (
	mostUnderMM    = 1.5
	mostUnderShare = 0.35
	mostOverMM     = 1.0
	mostOverShare  = 0.25
	usualTolerance = 0.1
)

// whole is what watches have, in mm: common practice, no published source.
var whole = map[string][2]float64{
	"mid_case_diameter": {12, 60}, "lug_width": {4, 30}, "lug_to_lug": {15, 70}, "thickness": {2, 25},
	"thickness_without_crystal": {1.5, 22}, "bezel_diameter": {12, 60}, "dial_diameter": {8, 50},
	"crown_diameter": {1.5, 12}, "pusher_diameter": {1, 9}, "crystal_diameter": {8, 50}, "lug_thickness": {0.6, 7},
	"bracelet_width_at_lugs": {4, 32}, "bracelet_width_at_clasp": {4, 30}, "bracelet_length": {60, 260},
	"hour_hand_length": {2, 25}, "minute_hand_length": {3, 30},
}

func sizeOf(name, what string) say.Arg {
	return say.Term(name, "size", what, strings.ReplaceAll(what, "_", " "))
}

func partOf(name, what string) say.Arg {
	return say.Term(name, "slot", what, strings.ReplaceAll(what, "_", " "))
}

func (k Known) size(d *evidence.Dimension) []Doubt {
	nominal, ok := k.nominal(d.What)
	if !ok {
		r, ok := whole[d.What]
		if !ok || d.MM >= r[0] && d.MM <= r[1] {
			return nil
		}
		return []Doubt{{Field: "mm", Meant: inside(d.MM, r), Says: say.That("gate.size-general", sizeOf("what",
			d.What),
			exact("size", d.MM, say.MM), say.Fixed("low", r[0], say.MM, 0), say.Fixed("high", r[1], say.MM, 0))}}
	}
	if part, ok := k.repairPart(d, nominal.MM); ok {
		return []Doubt{{Field: "mm", Says: say.That("gate.size-repair", exact("size", d.MM, say.MM),
			say.Name("part", part), exact("book", nominal.MM, say.MM))}}
	}
	tolerance := nominal.ToleranceMM
	if tolerance == 0 {
		tolerance = usualTolerance
	}
	under := tolerance + min(mostUnderMM, mostUnderShare*nominal.MM)
	over := tolerance + min(mostOverMM, mostOverShare*nominal.MM)
	if d.MM >= nominal.MM-under && d.MM <= nominal.MM+over {
		return nil
	}
	meant := near(slips(d.MM), nominal.MM, min(under, over))
	says := say.That("gate.size", exact("size", d.MM, say.MM), exact("book", nominal.MM, say.MM), sizeOf("what",
		d.What))
	if v, err := strconv.ParseFloat(meant, 64); err == nil {
		says = say.That("gate.size-meant", exact("size", d.MM, say.MM), exact("book", nominal.MM, say.MM),
			sizeOf("what", d.What),
			exact("meant", v, say.None))
	}
	return []Doubt{{Field: "mm", Meant: meant, Says: says}}
}

// nominal is the size as the book gives it; the width of a bracelet at the lugs is that of the lugs.
func (k Known) nominal(what string) (refbook.Dimension, bool) {
	if k.Reference == nil {
		return refbook.Dimension{}, false
	}
	if what == "bracelet_width_at_lugs" {
		what = "lug_width"
	}
	for _, d := range k.Reference.Dimensions {
		if d.What == what && d.MM > 0 {
			return d, true
		}
	}
	return refbook.Dimension{}, false
}

// sizeNamed finds a size in what the book says of a part, such as "5.2 mm, thicker gasket".
var sizeNamed = regexp.MustCompile(`(\d+(?:[.,]\d+)?) ?mm\b`)

var partMeasured = map[string]evidence.Slot{"crown_diameter": evidence.Crown, "pusher_diameter": evidence.Pushers,
	"dial_diameter": evidence.Dial, "crystal_diameter": evidence.Crystal, "bezel_diameter": evidence.Bezel}

// repairPart is the name of the service part that has just this size, where the first part
// has another and the file does not name the repair part yet.
func (k Known) repairPart(d *evidence.Dimension, nominal float64) (string, bool) {
	const same = 0.11
	slot, ok := partMeasured[d.What]
	s, has := k.Reference.Slot(slot)
	if !ok || !has || math.Abs(d.MM-nominal) <= same {
		return "", false
	}
	for _, v := range s.Variants {
		m := sizeNamed.FindStringSubmatch(v.Look)
		if !v.Service || m == nil {
			continue
		}
		mm, err := strconv.ParseFloat(strings.Replace(m[1], ",", ".", 1), 64)
		if err == nil && math.Abs(mm-d.MM) <= same && k.fitted(slot) != v.ID {
			return v.Name, true
		}
	}
	return "", false
}

func (k Known) fitted(slot evidence.Slot) string {
	for _, f := range evidence.All[*evidence.Fitted](k.File) {
		if f.Data.Slot == slot {
			return f.Data.Variant
		}
	}
	return ""
}

// How far a weight may lie from the book's, as a factor either way: common practice, no
// published source. Steel weighings count too.
const mostWeightFactor = 1.6

// heaviest is what parts weigh at most, in g: common practice, no published source.
const heaviest = 400.0

func (k Known) weight(w *evidence.Weighing) []Doubt {
	if w.In != "air" {
		return nil
	}
	book, ok := k.bookWeight(w.What)
	if !ok {
		if w.G <= heaviest {
			return nil
		}
		return []Doubt{{Field: "g", Meant: inside(w.G, [2]float64{1, 200}),
			Says: say.That("gate.weight-general", partOf("part", w.What), exact("weight", w.G, say.Gram))}}
	}
	if f := w.G / book; f < mostWeightFactor && f > 1/mostWeightFactor {
		return nil
	}
	meant := near(slips(w.G), book, book*(mostWeightFactor-1)/2)
	says := say.That("gate.weight", exact("weight", w.G, say.Gram), exact("book", book, say.Gram), partOf("part",
		w.What))
	if v, err := strconv.ParseFloat(meant, 64); err == nil {
		says = say.That("gate.weight-meant", exact("weight", w.G, say.Gram), exact("book", book, say.Gram),
			partOf("part", w.What),
			exact("meant", v, say.None))
	}
	return []Doubt{{Field: "g", Meant: meant, Says: says}}
}

// bookWeight is the nominal weight of a part, of a bracelet by its number too.
func (k Known) bookWeight(part string) (float64, bool) {
	if k.Reference == nil {
		return 0, false
	}
	if part == string(evidence.Bracelet) {
		if b, ok := k.Maker.Bracelet(k.fitted(evidence.Bracelet)); ok && b.WeightG > 0 {
			return b.WeightG, true
		}
	}
	for _, w := range k.Reference.Weights {
		if w.Part == part && w.G > 0 {
			return w.G, true
		}
	}
	return 0, false
}
