package examples

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"midcase/edtf"
	"midcase/refbook"
	"midcase/say"
)

// Curve is what dated examples say of a run of numbers of the book.
type Curve struct {
	Run      string          `json:"run"`
	Examples int             `json:"examples"` // with a number read whole and a date that no part gave
	Points   []CurvePoint    `json:"points"`
	Scatter  float64         `json:"scatter_months"`
	Batches  []say.Statement `json:"batches"`
	Outliers []string        `json:"outliers"`
	Says     say.Statement   `json:"says"`
}

// CurvePoint is a number with the month that examples give it, and the one of the book.
type CurvePoint struct {
	Number     int64         `json:"number"`
	Month      edtf.Month    `json:"month"`
	Interval90 [2]edtf.Month `json:"interval_90"`
	Book       edtf.Month    `json:"book,omitempty"`
	Off        bool          `json:"off,omitempty"` // the book's month is outside the range
}

// fewDated is from how many dated numbers on a curve is learned.
const fewDated = 8

// LearnCurves holds the curves of a maker's numbers against its examples that have both a number and a date by papers,
// an extract or a stamp. A number never dates itself, nor does a part.
func LearnCurves(m *refbook.Maker, all []Example) []Curve {
	out := []Curve{}
	for i := range m.Serials {
		run := &m.Serials[i]
		if run.Mark != "serial" {
			continue
		}
		var dated []refbook.DatedNumber
		seen := map[string]string{}
		for _, e := range all {
			d, ok := datedOf(m, run, e)
			if !ok {
				continue
			}
			if _, again := before(seen, e); !again {
				dated = append(dated, d)
			}
		}
		if len(dated) >= fewDated {
			out = append(out, learnCurve(run, dated))
		}
	}
	return out
}

// datedOf is an example as a dated number of a run; of a reference with several runs it is of none.
func datedOf(m *refbook.Maker, run *refbook.Serial, e Example) (refbook.DatedNumber, bool) {
	ref, ok := m.Reference(e.Reference)
	if !ok || !isOf(e, m, ref) || len(ref.Serial) != 1 || !slices.Contains(ref.Serial, run.ID) || e.Made.IsZero() {
		return refbook.DatedNumber{}, false
	}
	n, err := refbook.ParseNumber(e.Serial)
	first, from := e.Made.FirstMonth()
	last, until := e.Made.LastMonth()
	if err != nil || !from || !until {
		return refbook.DatedNumber{}, false
	}
	sd := math.Hypot((float64(last-first)+1)/math.Sqrt(12), float64(e.Made.SlackMonths())/2)
	return refbook.DatedNumber{ID: e.ID, Number: n, Month: float64(first+last) / 2, SDMonths: sd}, true
}

func learnCurve(book *refbook.Serial, dated []refbook.DatedNumber) Curve {
	out := Curve{Run: book.ID, Examples: len(dated), Points: []CurvePoint{}, Batches: []say.Statement{},
		Outliers: []string{}}
	c, err := refbook.LearnCurve(dated)
	if err != nil {
		out.Says = say.That("learn.curve-cannot", say.Name("run", book.ID), say.Name("why", err.Error()))
		return out
	}
	out.Scatter = math.Round(10*c.ScatterMonths) / 10
	runs := runsOf(&refbook.Maker{Serials: []refbook.Serial{*book}}, &refbook.Reference{Serial: []string{book.ID}})
	off := 0
	for _, p := range c.Points {
		x := CurvePoint{Number: p.Number, Month: edtf.Month(math.Round(p.Month)),
			Interval90: [2]edtf.Month{edtf.Month(math.Floor(p.Low)), edtf.Month(math.Ceil(p.High))}}
		if len(runs) == 1 {
			if month, _, inside := runs[0].curve.At(p.Number); inside {
				x.Book = edtf.Month(math.Round(month))
				x.Off = x.Book < x.Interval90[0] || x.Book > x.Interval90[1]
			}
		}
		if x.Off {
			off++
		}
		out.Points = append(out.Points, x)
	}
	for _, b := range c.Batches {
		out.Batches = append(out.Batches, say.That("learn.batch", say.Name("first", numeral(b.First)),
			say.Name("last", numeral(b.Last)), say.Count("n", b.Examples),
			say.Month("month", edtf.Month(math.Round(b.Month))),
			say.Month("curve", edtf.Month(math.Round(b.Curve)))))
	}
	for _, d := range c.Outliers {
		out.Outliers = append(out.Outliers, fmt.Sprintf("%s (%s)", d.ID, numeral(d.Number)))
	}
	out.Says = say.That("learn.curve", say.Name("run", book.ID), say.Count("n", len(dated)),
		say.Count("outliers", len(c.Outliers)), say.Count("off", off))
	return out
}

func numeral(n int64) string { return strconv.FormatInt(n, 10) }
