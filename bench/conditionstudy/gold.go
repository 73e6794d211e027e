package conditionstudy

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"testing/fstest"
	"time"

	"midcase/evidence"
	"midcase/opinion"
	"midcase/refbook"
)

// Weighed is what of a watch was put on the scale.
type Weighed int

// The weighings of the study.
const (
	Nothing   Weighed = iota // the book's weights alone
	CaseParts                // case, bezel and back together
	Head                     // the watch without its bracelet
	Watch                    // the whole watch on its bracelet of gold
	Each                     // case, bezel, back and bracelet one by one
)

// Weighings are all of them.
var Weighings = []Weighed{Nothing, CaseParts, Head, Watch, Each}

// String is the weighing in words.
func (w Weighed) String() string {
	return [...]string{"not weighed", "case parts together", "head", "whole watch", "each part"}[w]
}

// goldBook is a reference of 18 karat gold with its weights, as the example books write it.
const goldBook = `schema: 1
id: corvane
name: Corvane
serials:
  - id: case
    mark: serial
    scatter_months: 3
    anchors:
      - {number: 100000, month: "1960-01"}
      - {number: 300000, month: "1968-01"}
metals:
  - {id: gold18, name: 18 karat gold, element: gold, fineness: 750}
calibres:
  - {id: C-41, beats_per_hour: 18000}
bracelets:
  - {id: B-1, metal: gold18, width_mm: 18, clasp_mm: 14}
families:
  - {id: plenaire, name: Plenaire, kind: moon_age}
references:
  - id: KR-G
    family: plenaire
    name: Plenaire
    made: "1960/1968"
    metal: gold18
    calibres: [C-41]
    serial: [case]
    weights:
      - {part: case, g: 17, tolerance_g: 1.4}
      - {part: bezel, g: 3.2, tolerance_g: 0.3}
      - {part: case_back, g: 8.5, tolerance_g: 0.7}
      - {part: movement, g: 11.5, tolerance_g: 0.8}
      - {part: bracelet, g: 41, tolerance_g: 4, fine_share: 0.98}
`

// parts of the watch as it truly is: the book's grams, how far from them they lie, and the
// share of the mass that is of gold.
var parts = []struct {
	slot           string
	bookG, withinG float64
	gold, goldSpan float64
	inHead         bool
}{
	{"case", 17, 1.4, 1, 0, true},
	{"bezel", 3.2, 0.3, 1, 0, true},
	{"case_back", 8.5, 0.7, 1, 0, true},
	{"bracelet", 41, 4, 0.98, 0.01, false},
	{"movement", 11.5, 0.8, 0, 0, true},
}

// FineWeights makes n watches of gold, weighs them so, and counts how often the 90 % range
// of the fine weight holds the truth. The truth: parts lie within the book's tolerance
// with equal chance (the model: normally); the alloy is at the standard or up to 4 ‰ over
// it, one in eight under by solder; crystal, dial, hands and crown, of which the book says
// nothing, weigh 0.5 to 1.7 g and 0.6 to 3 g; the scale rounds to 0.01 g.
func FineWeights(n int, seed uint64, how Weighed) (Held, error) {
	book, err := refbook.Load(fstest.MapFS{"corvane.yaml": {Data: []byte(goldBook)}})
	if err != nil {
		return Held{}, fmt.Errorf("condition study: %w", err)
	}
	rng := rand.New(rand.NewPCG(seed, 4+uint64(how)))
	day := time.Date(2026, 3, 1, 10, 0, 0, 0, time.UTC)
	var all tally
	for range n {
		fineG, file := goldWatch(rng, how, day)
		o, err := opinion.Form(evidence.Fold(file, day), book, nil, opinion.Settings{}, day)
		if err != nil {
			return Held{}, fmt.Errorf("condition study: %w", err)
		}
		if o.Metal.FineG == nil {
			return Held{}, fmt.Errorf("condition study: no fine weight: %s", o.Metal.Says)
		}
		all.add(*o.Metal.FineG, o.Metal.Interval[0], o.Metal.Interval[1], fineG)
	}
	return all.held(), nil
}

// goldWatch is one watch: its true fine weight, and its file.
func goldWatch(rng *rand.Rand, how Weighed, day time.Time) (fineG float64, file evidence.Watch) {
	permille := 750 + 4*rng.Float64()
	if rng.IntN(8) == 0 {
		permille = 750 - 6*rng.Float64()
	}
	mass := map[string]float64{}
	head := disc(rng, 24, 36, 1.2, 2, 1.18) + disc(rng, 24, 34, 0.3, 0.5, 8.6) + 0.3 + 0.6*rng.Float64()
	for _, p := range parts {
		mass[p.slot] = p.bookG + p.withinG*(2*rng.Float64()-1)
		fineG += mass[p.slot] * (p.gold + p.goldSpan*(2*rng.Float64()-1)) * permille / 1000
		if p.inHead {
			head += mass[p.slot]
		}
	}
	file = evidence.Watch{Maker: "Corvane", Reference: "KR-G"}
	add := func(d evidence.Data) {
		file.Evidence = append(file.Evidence, evidence.Item{ID: evidence.ID("ev_" + strconv.Itoa(len(file.Evidence)+1)),
			At: day, By: "Ines", Data: d})
	}
	weigh := func(what string, g float64) {
		add(&evidence.Weighing{What: what, G: math.Round(100*(g+0.01*rng.NormFloat64())) / 100, In: "air"})
	}
	add(&evidence.Mark{What: evidence.MarkHallmark, Slot: evidence.Case, Text: "18K"})
	add(&evidence.Mark{What: evidence.MarkHallmark, Slot: evidence.Bracelet, Text: "750"})
	add(&evidence.Fitted{Slot: evidence.Bracelet, Variant: "B-1"})
	switch how {
	case CaseParts:
		weigh("case_parts", mass["case"]+mass["bezel"]+mass["case_back"])
	case Head:
		weigh("head", head)
	case Watch:
		weigh("watch", head+mass["bracelet"])
	case Each:
		for _, slot := range []string{"case", "bezel", "case_back", "bracelet"} {
			weigh(slot, mass[slot])
		}
	}
	return fineG, file
}

// disc is the mass in g of a disc of a diameter and thickness in mm, each with equal chance
// between two, at a density in g/cm³.
func disc(rng *rand.Rand, fromMM, toMM, thinMM, thickMM, density float64) float64 {
	d, t := fromMM+(toMM-fromMM)*rng.Float64(), thinMM+(thickMM-thinMM)*rng.Float64()
	return math.Pi / 4 * d * d * t / 1000 * density
}
