package plot

import (
	"bytes"
	"context"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/a-h/templ"
	"pgregory.net/rapid"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/opinion"
	"midcase/say"
)

func TestStep(t *testing.T) {
	for _, c := range []struct{ of, want float64 }{{0.03, 0.05}, {1, 1}, {1.01, 2}, {3, 5}, {7, 10}, {1200, 2000},
		{0, 1}, {-4, 1}, {math.Inf(1), 1}} {
		if got := Step(c.of); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("Step(%g) = %g; want %g", c.of, got, c.want)
		}
	}
}

// TestTicksAreRoundAndInside: every tick is a multiple of the step and lies on the
// axis.
func TestTicksAreRoundAndInside(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.Float64Range(-1e6, 1e6).Draw(t, "low")
		s := scale{low, low + rapid.Float64Range(1e-3, 1e6).Draw(t, "reach"), 10, 700}
		ticks := s.ticks(6, func(float64) string { return "" })
		if len(ticks) < 2 || len(ticks) > 8 {
			t.Fatalf("%d ticks", len(ticks))
		}
		for _, k := range ticks {
			if k.At < s.from-1e-6 || k.At > s.to+1e-6 {
				t.Fatalf("tick at %g outside %g to %g", k.At, s.from, s.to)
			}
		}
	})
}

// whole fails unless the drawing is whole XML with no figure that is no number.
func whole(t *testing.T, c templ.Component) string {
	t.Helper()
	var b bytes.Buffer
	if err := c.Render(context.Background(), &b); err != nil {
		t.Fatal(err)
	}
	d := xml.NewDecoder(strings.NewReader("<all>" + b.String() + "</all>"))
	for {
		_, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatalf("the drawing is not whole: %v", err)
		}
	}
	if strings.Contains(b.String(), "NaN") || strings.Contains(b.String(), "Inf") {
		t.Error("the drawing has a place that is no number")
	}
	return b.String()
}

func curve(first edtf.Month, p ...float64) []opinion.MonthChance {
	var out []opinion.MonthChance
	for i, v := range p {
		out = append(out, opinion.MonthChance{Month: first + edtf.Month(i), P: v})
	}
	return out
}

func TestDates(t *testing.T) {
	may := edtf.MonthOf(1968, 5)
	d := opinion.Dating{Known: true, Median: may, Interval90: [2]edtf.Month{may - 2, may + 2},
		Months: curve(may-2, 0.1, 0.2, 0.4, 0.2, 0.1)}
	flat := make([]float64, 240)
	for i := range flat {
		flat[i] = 1.0 / 240
	}
	d.Items = []opinion.DatingItem{
		{Says: say.Verbatim("serial: about May"), Alone: curve(may-3, 0.2, 0.2, 0.2, 0.2, 0.2)},
		{Says: say.Verbatim("dial: any time"), Alone: curve(may-120, flat...)},
		{Says: say.Verbatim("clasp: much later"), Alone: curve(may+40, 0.5, 0.5), Disagrees: true},
		{Says: say.Verbatim("hands: any time"), Alone: curve(may-120, flat...)},
	}
	got := whole(t, Dates(d))
	if n := strings.Count(got, "clasp: much later"); n != 2 {
		t.Errorf("what disagrees is drawn %d times; want broad and narrow", n)
	}
	if strings.Contains(got, "any time") {
		t.Error("what says nothing of the date is left to the table")
	}
	if n := Unplotted(d); n != 2 {
		t.Errorf("%d left to the table; want 2", n)
	}
	if len(pulling(d.Items)) != 2 || d.Items[0].Says.String() != "serial: about May" ||
		d.Items[2].Says.String() != "clasp: much later" {
		t.Error("the items given were changed")
	}
	whole(t, Dates(opinion.Dating{Known: true, Median: may, Interval90: [2]edtf.Month{may, may}}))
}

func TestPrices(t *testing.T) {
	median := 10000.0
	o := opinion.Opinion{Value: opinion.Value{Known: true, Median: &median,
		Interval: map[string][2]float64{"50": {9000, 11000}, "80": {8000, 12000}, "90": {7000, 13000}},
		Comparables: []opinion.Comparable{{Title: "far & away", Adjusted: 30000, Weight: 0.4},
			{Title: "near", Adjusted: 10100, Weight: 0.6}}}}
	c := newPrices(t.Context(), o, false)
	if len(c.bands) != 3 || len(c.dots) != 2 {
		t.Fatalf("%d bands, %d dots", len(c.bands), len(c.dots))
	}
	for _, d := range c.dots {
		if d.x < c.left || d.x > c.right {
			t.Errorf("dot of %s at %g outside the chart", d.title, d.x)
		}
	}
	if c.dots[1].r <= c.dots[0].r {
		t.Error("the comparable that weighs more must be larger")
	}
	whole(t, Prices(o))
	o.Value.Comparables = nil
	o.Value.Interval = map[string][2]float64{"50": {median, median}, "80": {median, median}, "90": {median, median}}
	whole(t, Prices(o)) // a range of no width
}

func TestQuarters(t *testing.T) {
	whole(t, Quarters(Series{Name: "index", Unit: "first = 100"}))
	whole(t, Quarters(Series{Name: "index", Points: []Point{{"2020-Q1", 100, 100, 100}}}))
	got := whole(t, Quarters(Series{Name: "index", Points: []Point{{"2019-Q4", 90, 80, 100},
		{"2020-Q1", 100, 90, 110}}}))
	if !strings.Contains(got, ">2020<") {
		t.Error("no year on the axis")
	}
}

// TestQuartersSayWhereTheyLie: by its data attributes alone, a value is found where the
// curve was drawn.
func TestQuartersSayWhereTheyLie(t *testing.T) {
	points := []Point{{"2019-Q4", 90, 80.25, 100}, {"2020-Q1", 100, 90, 110.5}, {"2020-Q2", -3, -40, 20}}
	got := whole(t, Quarters(Series{Name: "index", Points: points}))
	drawings := regexp.MustCompile(`(?s)<svg .*?</svg>`).FindAllString(got, -1)
	if len(drawings) != 2 {
		t.Fatalf("%d drawings; want a broad and a narrow one", len(drawings))
	}
	for _, svg := range drawings {
		at := map[string]float64{}
		for _, m := range regexp.MustCompile(`data-([a-z]+)="([-0-9.]+)"`).FindAllStringSubmatch(svg, -1) {
			at[m[1]], _ = strconv.ParseFloat(m[2], 64)
		}
		if at["low"] != -40 || at["high"] != 110.5 || !strings.Contains(svg, `data-scale="linear"`) {
			t.Errorf("the axis reaches from %g to %g", at["low"], at["high"])
		}
		for i, p := range points {
			x := at["left"] + float64(i)/2*(at["right"]-at["left"])
			y := at["foot"] + (p.Value-at["low"])/(at["high"]-at["low"])*(at["top"]-at["foot"])
			if place := fmt.Sprintf("%.1f %.1f", x, y); !strings.Contains(svg, place) {
				t.Errorf("%s is not drawn at %s", p.Quarter, place)
			}
		}
	}
}

func TestPartsLeadToTheirList(t *testing.T) {
	var parts []opinion.Part
	for _, s := range evidence.Slots() {
		parts = append(parts, opinion.Part{Slot: s, Verdict: opinion.Fits})
	}
	got := whole(t, Parts(parts))
	for _, s := range evidence.Slots() {
		if !strings.Contains(got, `href="#part-`+string(s)+`"`) {
			t.Errorf("the drawing has no place for the %s", s.Name())
		}
	}
}

func TestSpansStayInside(t *testing.T) {
	all := Span{edtf.MonthOf(1960, 1), edtf.MonthOf(1970, 12), 1}
	got := bars(all, []Span{{edtf.MonthOf(1950, 1), edtf.MonthOf(1990, 1), 1},
		{edtf.MonthOf(1965, 1), edtf.MonthOf(1965, 12), 0.2}, {edtf.MonthOf(1980, 1), edtf.MonthOf(1981, 1), 1}})
	if len(got) != 2 || got[0].x != 0 || math.Abs(got[0].w-spanWidth) > 1e-9 {
		t.Fatalf("bars %+v", got)
	}
	if got[1].h >= got[0].h {
		t.Error("a smaller share must be thinner")
	}
	whole(t, Spans(all, Span{}))
}
