package conditionstudy

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"

	"midcase/condition"
)

// Manner is how an examiner works and what he writes down.
type Manner int

// The manners of the study.
const (
	// Thorough looks over nearly every part and also writes what he looked for in vain.
	Thorough Manner = iota
	// FaultsOnly looks over nearly every part and writes down faults alone.
	FaultsOnly
	// Hasty looks at case and dial and at every other part half of the time.
	Hasty
)

// Manners are all of them.
var Manners = []Manner{Thorough, FaultsOnly, Hasty}

// String is the manner in words.
func (m Manner) String() string { return [...]string{"thorough", "faults only", "hasty"}[m] }

// habit is what a manner comes to in chances.
type habit struct {
	examines  float64 // a part other than case and dial
	threshold float64 // the severity that is seen and written half of the time
	praises   float64 // writes a good point that is there
	rulesOut  float64 // writes of a fault that it is not there
}

var habits = map[Manner]habit{
	Thorough:   {examines: 0.95, threshold: 0.6, praises: 0.6, rulesOut: 0.12},
	FaultsOnly: {examines: 0.95, threshold: 0.7},
	Hasty:      {examines: 0.5, threshold: 0.9, praises: 0.25, rulesOut: 0.03},
}

// slots are those of the watches of the study: on a strap or a bracelet, without pushers.
var slots = []string{"case", "bezel", "crystal", "dial", "hands", "crown", "case_back", "movement", "bracelet", "clasp"}

// common are faults met on many old watches, with the share of parts that have them; the
// others are on 4 in 100. Common practice, no published source.
var common = map[string]float64{"scratches": 0.75, "dents": 0.3, "polished": 0.4, "bevels_lost": 0.25, "patina": 0.45,
	"spotting": 0.3, "faded": 0.15, "worn": 0.2, "dirty": 0.4, "stretch": 0.4, "corrosion": 0.12, "moisture": 0.1,
	"lume_loss": 0.15, "lume_mismatch": 0.12, "tool_marks": 0.25, "hand_scratches": 0.15, "relume": 0.08,
	"refinished": 0.07, "markings_worn": 0.15, "rust": 0.08, "strap_worn": 0.3}

// looked is one watch of the study: what is true of it, and what was written down.
type looked struct {
	overall float64
	grades  map[string]float64
	input   condition.Input
}

// Held are figures of coverage: how often a 90 % range held the truth.
type Held struct {
	N     int
	Held  float64 // share of truths inside the range
	Above float64 // share of truths over the range
	Width float64 // mean width
	Off   float64 // mean of figure less truth
}

// String is the figures in one line.
func (h Held) String() string {
	return fmt.Sprintf("%d: 90 %% range holds %.1f %% (%.1f %% above it), width %.2f, off by %+.2f", h.N, 100*h.Held,
		100*h.Above, h.Width, h.Off)
}

// tally adds up what Held shows.
type tally struct{ n, in, above, width, off float64 }

func (t *tally) add(figure, low, high, truth float64) {
	t.n++
	t.width += high - low
	t.off += figure - truth
	switch {
	case truth > high+1e-9:
		t.above++
	case truth >= low-1e-9:
		t.in++
	}
}

func (t tally) held() Held {
	return Held{int(t.n), t.in / t.n, t.above / t.n, t.width / t.n, t.off / t.n}
}

// Grades makes n watches, has each looked over in the manner, and counts how often the
// 90 % ranges of the overall grade and of the slots that were examined hold the truth.
func Grades(n int, seed uint64, m Manner) (overall, bySlot Held, err error) {
	rng := rand.New(rand.NewPCG(seed, 1))
	var whole, each tally
	for range n {
		w := lookOver(rng, habits[m])
		r, err := condition.Grade(w.input)
		if err != nil {
			return Held{}, Held{}, fmt.Errorf("condition study: %w", err)
		}
		whole.add(r.Overall, r.Low, r.High, w.overall)
		for _, s := range r.Slots {
			if s.Known {
				each.add(s.Grade, s.Low, s.High, w.grades[s.Slot])
			}
		}
	}
	return whole.held(), each.held(), nil
}

// lookOver makes one watch, has a panel of three grade all that is true of it, and an
// examiner write down what he sees.
func lookOver(rng *rand.Rand, h habit) looked {
	out := looked{grades: map[string]float64{}, input: condition.Input{RelevantSlots: slots}}
	life := math.Exp(0.5 * rng.NormFloat64()) // how hard the whole watch has lived
	truth := map[string]map[string]float64{}
	for _, slot := range slots {
		truth[slot] = wearOf(rng, slot, life*math.Exp(0.4*rng.NormFloat64()))
	}
	const panel = 3
	for range panel {
		g := newGrader(rng)
		grades := map[string]float64{}
		for _, slot := range slots {
			grades[slot] = g.slot(slot, truth[slot])
			out.grades[slot] += grades[slot] / panel
		}
		out.overall += g.whole(grades) / panel
	}
	for _, slot := range slots {
		if slot == "case" || slot == "dial" || rng.Float64() < h.examines {
			out.input.Findings = append(out.input.Findings, written(rng, slot, truth[slot], h)...)
		}
	}
	return out
}

// wearOf are the true faults of a slot with severities on a straight scale, and the good
// points that are truly there, at 0.
func wearOf(rng *rand.Rand, slot string, life float64) map[string]float64 {
	out := map[string]float64{}
	for _, t := range condition.TermsFor(slot) {
		share, ok := common[t.ID]
		if !ok {
			share = 0.04
		}
		if !t.Good && rng.Float64() < 1-math.Pow(1-share, life) {
			out[t.ID] = math.Min(4, 0.3+rng.ExpFloat64()*0.9*math.Sqrt(life))
		}
	}
	for _, t := range condition.TermsFor(slot) {
		against := t.ID == "as_new" && len(out) > 0
		for other := range out {
			against = against || slices.Contains(t.Conflicts, other)
		}
		if t.Good && !against && rng.Float64() < 0.35 {
			out[t.ID] = 0
		}
	}
	return out
}

// written is what the examiner writes of one slot: severities judged by eye, small faults
// often overlooked.
func written(rng *rand.Rand, slot string, truth map[string]float64, h habit) []condition.Finding {
	var out []condition.Finding
	for _, t := range condition.TermsFor(slot) {
		severity, there := truth[t.ID]
		f := condition.Finding{ID: slot + strconv.Itoa(len(out)), Slot: slot, Term: t.ID}
		switch {
		case t.Good && there && rng.Float64() < h.praises:
		case t.Good:
			continue
		case there && rng.Float64() < 1/(1+math.Exp(-(severity-h.threshold)/0.25)):
			f.Severity = int(math.Round(math.Min(4, math.Max(0.6, severity+0.4*rng.NormFloat64()))))
		case common[t.ID] > 0.1 && (!there || severity < 0.6) && rng.Float64() < h.rulesOut:
		default:
			continue
		}
		out = append(out, f)
	}
	return out
}

// grader is one of the panel. He has the published rubric in his head and departs from
// it: in the points of each term, in how further faults add up, in the weights of the
// parts and in how far the worst part rules.
type grader struct {
	rng      *rand.Rand
	rubric   condition.Rubric
	points   map[string]float64 // factor by term
	diminish float64
	exponent float64
	weights  map[string]float64
}

func newGrader(rng *rand.Rand) grader {
	g := grader{rng: rng, rubric: condition.PublishedRubric(), points: map[string]float64{},
		weights: map[string]float64{}, diminish: 0.45 + 0.3*rng.Float64(), exponent: -3 + 2*rng.Float64()}
	for _, t := range condition.Terms() {
		g.points[t.ID] = math.Exp(0.2 * rng.NormFloat64())
	}
	for _, s := range slots {
		g.weights[s] = g.rubric.Weights[s] * math.Exp(0.2*rng.NormFloat64())
	}
	return g
}

// slot grades one slot of which all is known.
func (g grader) slot(slot string, truth map[string]float64) float64 {
	var faults, goods []float64
	cap := g.rubric.Top
	for _, t := range condition.TermsFor(slot) {
		severity, there := truth[t.ID]
		switch {
		case !there:
		case t.Good:
			goods = append(goods, t.Lift)
		default:
			faults = append(faults, g.points[t.ID]*between(t.Points[:], 0, severity))
			var caps [5]float64
			for i := range caps {
				caps[i] = g.rubric.Top
				if t.Cap[i] > 0 {
					caps[i] = t.Cap[i]
				}
			}
			cap = math.Min(cap, between(caps[:], g.rubric.Top, severity))
		}
	}
	grade := g.rubric.Start + math.Min(g.rubric.Top-g.rubric.Start, g.sum(goods)) - g.sum(faults)
	return math.Max(g.rubric.Lowest, math.Min(cap, grade)+0.2*g.rng.NormFloat64())
}

// between reads a list by severity 0 to 4 on straight lines; at 0 it is the start given.
func between(list []float64, start, severity float64) float64 {
	i := min(3, int(severity))
	low := list[i]
	if i == 0 {
		low = start
	}
	return low + (severity-float64(i))*(list[i+1]-low)
}

func (g grader) sum(points []float64) float64 {
	slices.SortFunc(points, func(a, b float64) int { return int(math.Copysign(1, b-a)) })
	total, weight := 0.0, 1.0
	for _, p := range points {
		total += weight * p
		weight *= g.diminish
	}
	return total
}

// whole is this grader's grade of the watch. What can be put right he lets hold the
// watch down no further than the rubric says below a part without fault.
func (g grader) whole(grades map[string]float64) float64 {
	var powers, weights float64
	for _, slot := range slots {
		grade := grades[slot]
		for _, p := range g.rubric.PutRight {
			if p.Slot == slot && len(p.Terms) == 0 {
				grade = math.Max(grade, g.rubric.Start-p.Most)
			}
		}
		powers += g.weights[slot] * math.Pow(grade, g.exponent)
		weights += g.weights[slot]
	}
	return math.Pow(powers/weights, 1/g.exponent)
}
