package chart

import (
	"bytes"
	"context"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/examples"
	"midcase/opinion"
	"midcase/say"
	"midcase/timing"
)

var english = say.Writer{Catalogue: say.InEnglish(), Locale: say.English}

var formats = []Format{Broad, Narrow, Paper}

func TestStep(t *testing.T) {
	for _, c := range []struct{ of, want float64 }{{0.03, 0.05}, {1, 1}, {1.01, 2}, {3, 5}, {7, 10}, {1200, 2000},
		{0, 1}, {-4, 1}, {math.Inf(1), 1}} {
		if got := Step(c.of); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("Step(%g) = %g; want %g", c.of, got, c.want)
		}
	}
}

// TestTicksAreRoundAndInside: every tick is a multiple of the step and lies on the axis.
func TestTicksAreRoundAndInside(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.Float64Range(-1e6, 1e6).Draw(t, "low")
		s := scale{low, low + rapid.Float64Range(1e-3, 1e6).Draw(t, "reach"), 10, 700}
		ticks, step := s.ticks(6)
		if len(ticks) < 2 || len(ticks) > 8 {
			t.Fatalf("%d ticks", len(ticks))
		}
		for _, v := range ticks {
			if k := v / step; math.Abs(k-math.Round(k)) > 1e-6 || v < s.low-step*1e-6 || v > s.high+step*1e-6 {
				t.Fatalf("tick %g of step %g outside %g to %g", v, step, s.low, s.high)
			}
		}
	})
}

func TestTicks(t *testing.T) {
	for _, c := range []struct {
		low, high, n float64
		want         int
	}{{0, 30, 8, 7}, {-1.2, 1.4, 5, 3}, {3, 3, 5, 0}, {0, math.Inf(1), 5, 0}} {
		if got, _ := (scale{c.low, c.high, 0, 1}).ticks(c.n); len(got) != c.want {
			t.Errorf("%g to %g: %v; want %d", c.low, c.high, got, c.want)
		}
	}
}

// drawn fails unless the drawing is whole XML, every place in it is a number and lies
// within it.
func drawn(t *testing.T, d Drawing) string {
	t.Helper()
	var b bytes.Buffer
	if err := d.Render(context.Background(), &b); err != nil {
		t.Fatal(err)
	}
	x := xml.NewDecoder(strings.NewReader(b.String()))
	for {
		_, err := x.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatalf("the drawing is not whole: %v", err)
		}
	}
	if strings.Contains(b.String(), "NaN") || strings.Contains(b.String(), "Inf") || strings.Contains(b.String(), "{") {
		t.Errorf("%s: a place or word is missing: %s", d.Format.Name, b.String())
	}
	inside(t, d, d.Marks)
	return b.String()
}

func inside(t *testing.T, d Drawing, marks []Mark) {
	t.Helper()
	for _, m := range marks {
		at := m.places()
		switch m := m.(type) {
		case Link:
			inside(t, d, m.Marks)
			continue
		case Rect:
			at = []float64{m.At.X, m.At.Y, m.At.X + m.Wide, m.At.Y + m.High}
		case Circle:
			at = []float64{m.At.X, m.At.Y}
		}
		for i := 0; i+1 < len(at); i += 2 {
			if x, y := at[i], at[i+1]; x < -0.01 || y < -0.01 || x > d.Width+0.01 || y > d.Height+0.01 {
				t.Errorf("%s: %+v outside %.0f × %.0f", d.Format.Name, m, d.Width, d.Height)
			}
		}
	}
}

func curve(first edtf.Month, p ...float64) []opinion.MonthChance {
	var out []opinion.MonthChance
	for i, v := range p {
		out = append(out, opinion.MonthChance{Month: first + edtf.Month(i), P: v})
	}
	return out
}

func dated() opinion.Dating {
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
	return d
}

func TestDates(t *testing.T) {
	d := dated()
	for _, f := range formats {
		got := drawn(t, Dates(d, f, english))
		if !strings.Contains(got, "clasp: much later") || strings.Contains(got, "any time") {
			t.Errorf("%s: what disagrees must stand in the drawing and what says nothing in the table: %s", f.Name, got)
		}
		if !strings.Contains(got, "90\u00a0%: March–July\u00a01968") {
			t.Errorf("%s: the range is not written over its band", f.Name)
		}
		if n := Unplotted(d, f); n != 2 {
			t.Errorf("%d left to the table; want 2", n)
		}
	}
	if rows := Dates(d, Paper, english).Rows; len(rows) != 2 || rows[0].Of != 0 || rows[1].Of != 2 ||
		rows[0].Y >= rows[1].Y {
		t.Errorf("rows %v; want those of the items 0 and 2", rows)
	}
}

// TestDatesBear: nothing known, no curve, or figures that are none break no drawing.
func TestDatesBear(t *testing.T) {
	may := edtf.MonthOf(1968, 5)
	for name, d := range map[string]opinion.Dating{
		"empty":     {},
		"one month": {Known: true, Median: may, Interval90: [2]edtf.Month{may, may}},
		"not known": {Months: curve(may, 0.5, 0.5), Items: dated().Items},
		"no numbers": {Known: true, Median: may, Interval90: [2]edtf.Month{may, may},
			Months: curve(may, math.NaN(), math.Inf(1))},
		"centuries": {Known: true, Median: may, Interval90: [2]edtf.Month{1, may * 4}},
	} {
		t.Run(name, func(t *testing.T) {
			for _, f := range formats {
				drawn(t, Dates(d, f, english))
			}
		})
	}
}

func valued() opinion.Value {
	median := 10000.0
	return opinion.Value{Known: true, Median: &median, Currency: "EUR",
		Interval: map[string][2]float64{"50": {9000, 11000}, "80": {8000, 12000}, "90": {7000, 13000}},
		Comparables: []opinion.Comparable{
			{Title: "far & away", Date: "2025-01-05", Adjusted: 30000, Price: 29000, Weight: 0.4, SaleBasis: "asking"},
			{Title: "near", Date: "2025-02-05", Adjusted: 10100, Price: 9000, Currency: "USD", Weight: 0.6},
		}}
}

func TestPrices(t *testing.T) {
	v := valued()
	deal := []Named{{"pay at most", 7000}, {"asked", 31000}}
	for _, f := range formats {
		d := Prices(v, deal, f, english)
		got := drawn(t, d)
		for _, want := range []string{"dot asked", "pay at most 7,000\u00a0EUR", "80\u00a0%: 8,000–12,000\u00a0EUR"} {
			if !strings.Contains(got, want) {
				t.Errorf("%s: no %q", f.Name, want)
			}
		}
		if n := strings.Count(got, `class="sold"`); n != 1 {
			t.Errorf("%s: %d prices as sold; one is in another currency than the axis", f.Name, n)
		}
		var circles []Circle
		for _, m := range d.Marks {
			if c, ok := m.(Circle); ok {
				circles = append(circles, c)
			}
		}
		if len(circles) != 2 || circles[0].R <= circles[1].R {
			t.Errorf("%s: %v; the comparable that weighs more stands first and is larger", f.Name, circles)
		}
	}
}

func TestPricesBear(t *testing.T) {
	median := 10000.0
	flat := [2]float64{median, median}
	many := valued()
	for range 40 {
		many.Comparables = append(many.Comparables, many.Comparables[0])
	}
	for name, v := range map[string]opinion.Value{
		"nothing": {}, "no width": {Median: &median, Interval: map[string][2]float64{"50": flat, "80": flat,
			"90": flat}},
		"no numbers": {Median: &median, Comparables: []opinion.Comparable{{Adjusted: math.NaN()},
			{Adjusted: 1e300, Price: -4}}},
		"many": many,
	} {
		t.Run(name, func(t *testing.T) {
			for _, f := range formats {
				drawn(t, Prices(v, nil, f, english))
			}
		})
	}
	if got := drawn(t, Prices(many, nil, Broad, english)); !strings.Contains(got, "34 more") {
		t.Error("the comparables without a row of their own are not counted")
	}
}

func TestPartsLeadToTheirList(t *testing.T) {
	var parts []opinion.Part
	for _, s := range evidence.Slots() {
		parts = append(parts, opinion.Part{Slot: s, Verdict: opinion.Fits})
	}
	parts = append(parts, parts[0])
	for _, f := range formats {
		got := drawn(t, Parts(parts, f, english))
		for _, s := range evidence.Slots() {
			if n := strings.Count(got, `href="#part-`+string(s)+`"`); n != 1 {
				t.Errorf("%s: %d places for the %s; want 1", f.Name, n, s.Name())
			}
		}
	}
}

// TestPartsStandApart: no two numbers touch, whichever parts there are.
func TestPartsStandApart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var parts []opinion.Part
		for _, s := range evidence.Slots() {
			if rapid.Bool().Draw(t, string(s)) {
				parts = append(parts, opinion.Part{Slot: s, Verdict: opinion.CannotTell})
			}
		}
		for _, f := range formats {
			var all []Circle
			for _, m := range Parts(parts, f, english).Marks {
				if l, ok := m.(Link); ok {
					all = append(all, l.Marks[0].(Circle))
				}
			}
			if len(all) != len(parts) {
				t.Fatalf("%d numbers for %d parts", len(all), len(parts))
			}
			for i, a := range all {
				for _, b := range all[:i] {
					if math.Hypot(a.At.X-b.At.X, a.At.Y-b.At.Y) < a.R+b.R {
						t.Fatalf("%s: numbers touch at %v and %v", f.Name, a.At, b.At)
					}
				}
			}
		}
	})
}

func TestPositions(t *testing.T) {
	mean := 3.0
	r := opinion.Running{Mean: &mean, Positions: []opinion.PositionRate{
		{Position: "CH", SecPerDay: 6, SE: 1, AmplitudeDeg: 280}, {Position: "FH", SecPerDay: -4}, {Position: "1H30",
			SecPerDay: 1e9},
		{Position: "odd", SecPerDay: math.NaN()}, {Position: "3H", SecPerDay: 9, HoursSinceWind: 24},
	}}
	for _, f := range formats {
		got := drawn(t, Positions(r, f, english))
		for want, n := range map[string]int{`class="read"`: 3, `class="read later"`: 1, "280°": 1, `class="mean"`: 1} {
			if strings.Count(got, want) != n {
				t.Errorf("%s: %d of %s; want %d", f.Name, strings.Count(got, want), want, n)
			}
		}
	}
	drawn(t, Positions(opinion.Running{}, Broad, english))
}

func TestUppermost(t *testing.T) {
	for p, want := range map[string]float64{"3H": 3, "12H": 12, "1H30": 1.5, "10H30": 10.5} {
		if h, ok := uppermost(p); !ok || h != want {
			t.Errorf("%s: %v", p, h)
		}
	}
	for _, p := range []string{"CH", "FH", "", "H"} {
		if _, ok := uppermost(p); ok {
			t.Errorf("%s stands", p)
		}
	}
}

func TestBeats(t *testing.T) {
	for name, beats := range map[string][]timing.Trace{
		"none": nil, "one": {{AtS: 1}}, "none used": {{AtS: 1, LateMS: 3}, {AtS: 2, LateMS: 3}},
		"not finite": {{AtS: math.NaN(), LateMS: 1, Used: true}, {AtS: 1, LateMS: math.Inf(1), Used: true}},
		"far":        {{AtS: 1, LateMS: 1e12, Used: true}, {AtS: 2e9, LateMS: -1e12, Used: true}},
	} {
		t.Run(name, func(t *testing.T) {
			for _, f := range formats {
				drawn(t, Beats(timing.Analysis{Seconds: 20, Trace: beats}, f, english))
			}
		})
	}
	got := drawn(t, Beats(timing.Analysis{Seconds: 4, Trace: []timing.Trace{{AtS: 1, Used: true},
		{AtS: 2, Odd: true, Used: true}, {AtS: 3}}}, Broad, english))
	for _, kind := range []string{`"beat even" d="M`, `"beat odd" d="M`, `"beat out" d="M`} {
		if !strings.Contains(got, kind) {
			t.Errorf("no %s", kind)
		}
	}
}

func TestThinnedKeepsPairs(t *testing.T) {
	var all []timing.Trace
	for i := range 5001 {
		all = append(all, timing.Trace{AtS: float64(i), Odd: i%2 == 1})
	}
	got := Thinned(all, 360)
	if len(got) != 360 || got[0].AtS != 0 || got[358].AtS < 4990 {
		t.Errorf("%d beats from %v to %v", len(got), got[0].AtS, got[len(got)-1].AtS)
	}
	for i := 0; i+1 < len(got); i += 2 {
		if got[i].Odd || !got[i+1].Odd || got[i+1].AtS != got[i].AtS+1 {
			t.Fatalf("beat %d is no pair", i)
		}
	}
}

// Each example is a dot within the drawing, one that sits badly a ring, and the band of a change lies over its months.
func TestVersions(t *testing.T) {
	w := say.Writer{Catalogue: say.InEnglish()}
	s := examples.Slot{Slot: evidence.Dial, Versions: []examples.Version{
		{ID: "cream", Book: edtf.MustParse("1960/1963-05")}, {ID: "black", Book: edtf.MustParse("1963-06/1968")}},
		Transitions: []examples.Transition{{From: "cream", To: "black", Month: edtf.MonthOf(1964, 2),
			Interval90: [2]edtf.Month{edtf.MonthOf(1963, 11), edtf.MonthOf(1964, 5)}}}}
	for i := range 30 {
		s.Dots = append(s.Dots, examples.Dot{Example: fmt.Sprint(i), Variant: []string{"cream", "black"}[i/15],
			Month: edtf.MonthOf(1960, 6) + edtf.Month(3*i), P: map[bool]float64{true: 0.9}[i == 7]})
	}
	for _, f := range []Format{Broad, Narrow} {
		d := Versions(s, f, w)
		dots, odd, bands := 0, 0, 0
		for _, m := range d.Marks {
			switch m := m.(type) {
			case Circle:
				dots++
				if m.Style == "odd" {
					odd++
				}
				if m.At.X < f.Left || m.At.X > f.Width || m.At.Y > d.Height {
					t.Errorf("%s: a dot at %v", f.Name, m.At)
				}
			case Rect:
				if m.Style == "band" {
					bands++
				}
			}
		}
		if dots != 30 || odd != 1 || bands != 1 {
			t.Errorf("%s: %d dots, %d of them odd, %d bands", f.Name, dots, odd, bands)
		}
	}
	if d := Versions(examples.Slot{}, Broad, w); len(d.Marks) != 0 {
		t.Error("nothing seen, and something drawn")
	}
}
