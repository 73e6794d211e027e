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
	HalfWidth     struct {
		GoodPoint         float64 `json:"good_point"`
		Finding           float64 `json:"finding"`
		ExtentNotStated   float64 `json:"extent_not_stated"`
		NothingFoundBelow float64 `json:"nothing_found_below"`
		NothingFoundAbove float64 `json:"nothing_found_above"`
	} `json:"half_width"`
	NotExamined [2]float64         `json:"not_examined"` // range that a slot nobody looked at may have
	Weights     map[string]float64 `json:"weights"`
	Measures    []MeasureRule      `json:"measures"`
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
	r.Measures = slices.Clone(r.Measures)
	for i := range r.Measures {
		r.Measures[i].Curve = slices.Clone(r.Measures[i].Curve)
	}
	return r
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
