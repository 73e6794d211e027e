package condition

import (
	_ "embed"
	"encoding/json"
	"maps"
	"math"
	"slices"
	"strconv"

	"midcase/say"
)

// Rubric is how grades are computed, as published in docs/methods/condition.md. The
// points and caps of findings are on the terms themselves.
type Rubric struct {
	Start         float64 `json:"start"`    // grade of a part on which nothing was found
	Top           float64 `json:"top"`      // grade that good points can lift it to
	Lowest        float64 `json:"lowest"`   // no grade is under this
	Diminish      float64 `json:"diminish"` // the k-th largest deduction counts Diminish^(k−1)
	ExtentLow     float64 `json:"extent_low"`
	ExtentHigh    float64 `json:"extent_high"` // factor on the points at extent 0 and 1; 1 where not stated
	Exponent      float64 `json:"exponent"`    // of the power mean over slots
	HeldByAtLeast float64 `json:"held_by_at_least"`
	// Ceiling is the highest grade of a slot by the number of things that speak well of it:
	// good points, and faults looked for and not found. The first is what a part usually is,
	// of which nothing is known: there a slot that nobody judged stands.
	Ceiling []float64 `json:"ceiling"`
	// Hidden is how far below its grade a part may be for what was not looked for, by the
	// number of things recorded of it.
	Hidden []float64 `json:"hidden"`
	Judged float64   `json:"judged"` // half of the 90 % range by which graders differ
	// ReachDown and ReachUp are how far towards the ends of their own ranges the slots lie
	// together at the ends of the overall range: 1 if all erred alike, less because they do
	// not.
	ReachDown float64            `json:"reach_down"`
	ReachUp   float64            `json:"reach_up"`
	PutRight  []PutRight         `json:"put_right"`
	Weights   map[string]float64 `json:"weights"`
	Measures  []MeasureRule      `json:"measures"`
}

// PutRight is what can be put right in a slot: by replacing the part, or by a service
// where only Terms go away.
type PutRight struct {
	Slot  string     `json:"slot"`
	By    string     `json:"by"`    // replacing or service
	Most  float64    `json:"most"`  // grades that it may hold the slot below what it is once put right
	Cost  [3]float64 `json:"cost"`  // low, usual and high, in EUR; common practice, no published source
	Found float64    `json:"found"` // chance to find the part or somebody to do it
	Terms []string   `json:"terms"` // the terms and measures that go away; empty means all
}

// MeasureRule turns a measured value into points by straight lines between the
// points of Curve; flat outside.
type MeasureRule struct {
	Kind    string       `json:"kind"`
	Slot    string       `json:"slot"`
	Term    string       `json:"term"` // the term that says the same by eye; the larger of both counts
	Name    string       `json:"name"`
	Unit    string       `json:"unit"`
	Falling bool         `json:"falling"` // a smaller value is worse
	Curve   [][2]float64 `json:"curve"`   // value, points
}

//go:embed rubric.json
var rubricJSON []byte

// Fixed when the program is built and never changed afterwards.
var rubric = loadRubric(rubricJSON)

func loadRubric(data []byte) Rubric {
	var r Rubric
	if err := json.Unmarshal(data, &r); err != nil {
		panic("condition: rubric.json: " + err.Error()) // built-in data, held by a test
	}
	return r
}

// PublishedRubric is a copy of the rubric.
func PublishedRubric() Rubric {
	r := rubric
	r.Weights = maps.Clone(r.Weights)
	r.Ceiling, r.Hidden = slices.Clone(r.Ceiling), slices.Clone(r.Hidden)
	r.PutRight = slices.Clone(r.PutRight)
	for i := range r.PutRight {
		r.PutRight[i].Terms = slices.Clone(r.PutRight[i].Terms)
	}
	r.Measures = slices.Clone(r.Measures)
	for i := range r.Measures {
		r.Measures[i].Curve = slices.Clone(r.Measures[i].Curve)
	}
	return r
}

// at is the entry for n, the last one for more.
func at(list []float64, n int) float64 { return list[min(n, len(list)-1)] }

func putRightOf(slot string) (PutRight, bool) {
	for _, p := range rubric.PutRight {
		if p.Slot == slot {
			return p, true
		}
	}
	return PutRight{}, false
}

func measureRule(kind string) (MeasureRule, bool) {
	for _, m := range rubric.Measures {
		if m.Kind == kind {
			return m, true
		}
	}
	return MeasureRule{}, false
}

// MeasureKinds lists the measurements that Grade counts.
func MeasureKinds() []string {
	var out []string
	for _, m := range rubric.Measures {
		out = append(out, m.Kind)
	}
	return out
}

func (m MeasureRule) points(x float64) float64 {
	c := m.Curve
	if x <= c[0][0] {
		return c[0][1]
	}
	for i := 1; i < len(c); i++ {
		if x <= c[i][0] {
			t := (x - c[i-1][0]) / (c[i][0] - c[i-1][0])
			return c[i-1][1] + t*(c[i][1]-c[i-1][1])
		}
	}
	return c[len(c)-1][1]
}

// GradeWords is the phrase for a grade from 1 to 10, rounded to the nearest whole
// grade; for NaN it says that there is no grade.
func GradeWords(g float64) say.Statement {
	if math.IsNaN(g) {
		return say.That("grade.none")
	}
	whole := int(math.Round(math.Max(1, math.Min(10, g))))
	return say.That("grade.words", say.Term("words", "grade", strconv.Itoa(whole), ""))
}
