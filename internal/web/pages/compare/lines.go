package compare

import (
	"context"
	"math"
	"slices"
	"strings"

	"midcase/estimate"
	"midcase/evidence"
	"midcase/internal/web/pages/wording"
	"midcase/opinion"
	"midcase/say"
)

// Line is one feature of both sides.
type Line struct {
	Feature string
	A, B    Cell
	// Weight, 0 to 1, is how much the difference matters to a buyer; 0 where there is
	// none, or where one side is not known. The scale of each kind of feature stands
	// beside its reckoning; it is a judgement from common practice, no published source.
	Weight float64
}

// Differs reports a difference that is worth a word.
func (l Line) Differs() bool { return l.Weight >= 0.1 }

// Cell is what one side has of a feature.
type Cell struct {
	Text    string
	Range   string
	Verdict string // of a part
	Class   string // of the verdict
}

// Section is a table of lines.
type Section struct {
	ID, Name string
	Lines    []Line
}

// Sections sets two sides beside each other, in the order of a watch file. Lines that
// differ come first in each. The sides are not changed.
func Sections(ctx context.Context, a, b Side) []Section {
	all := []Section{
		{"about", "What it is", about(a, b)},
		{"parts", "Parts", parts(a, b)},
		{"condition", "Condition", condition(ctx, a, b)},
		{"sizes", "Sizes", sizes(ctx, a, b)},
		{"running", "Running", running(ctx, a, b)},
		{"metal", "Metal", metals(ctx, a, b)},
		{"price", "Value and price", price(ctx, a, b)},
	}
	var out []Section
	for _, s := range all {
		slices.SortStableFunc(s.Lines, func(x, y Line) int { return byWeight(x, y) })
		if len(s.Lines) > 0 {
			out = append(out, s)
		}
	}
	return out
}

func byWeight(x, y Line) int {
	switch {
	case x.Weight > y.Weight:
		return -1
	case x.Weight < y.Weight:
		return 1
	}
	return 0
}

// most is how many differences are named on top.
const most = 8

// Weightiest are the differences that matter first, of all sections.
func Weightiest(all []Section) []Line {
	var out []Line
	for _, s := range all {
		for _, l := range s.Lines {
			if l.Differs() {
				out = append(out, l)
			}
		}
	}
	slices.SortStableFunc(out, byWeight)
	return out[:min(len(out), most)]
}

// full is the weight of a difference of which so much is as plain as can be.
func full(difference, plain float64) float64 {
	w := math.Abs(difference) / plain
	if math.IsNaN(w) {
		return 0
	}
	return math.Min(1, w)
}

// apart lessens a weight where the two ranges overlap: the difference may be none.
func apart(weight float64, a, b [2]float64) float64 {
	if a[0] <= b[1] && b[0] <= a[1] {
		return weight * 0.4
	}
	return weight
}

func text(feature, a, b string, weight float64) Line {
	if a == "" && b == "" {
		return Line{}
	}
	l := Line{Feature: feature, A: Cell{Text: orDash(a)}, B: Cell{Text: orDash(b)}}
	if a != "" && b != "" && !strings.EqualFold(a, b) {
		l.Weight = weight
	}
	return l
}

func orDash(s string) string {
	if s == "" {
		return "–"
	}
	return s
}

func kept(lines ...Line) []Line {
	return slices.DeleteFunc(lines, func(l Line) bool { return l.Feature == "" })
}

var sets = map[string]string{"watch": "watch alone", "papers": "with papers", "full": "full set"}

func about(a, b Side) []Line {
	made := text("Made", a.Made(), b.Made(), 0)
	if x, y := a.Opinion.Dating, b.Opinion.Dating; x.Known && y.Known { // five years are as plain as can be
		made.Weight = apart(full(float64(x.Median-y.Median), 60), months(x), months(y))
	}
	ref := func(s Side) string {
		if s.Watch == nil {
			return s.maker.Name + " " + s.reference.ID
		}
		return s.Watch.Maker + " " + s.Watch.Reference
	}
	calibre := func(s Side) string {
		if s.Watch == nil {
			return strings.Join(s.reference.Calibres, " or ")
		}
		return s.Opinion.Watch.Calibre
	}
	same := text("Calibre", calibre(a), calibre(b), 0.9)
	if a.Watch == nil || b.Watch == nil {
		same.Weight = outside(calibre(a), calibre(b), a.Watch == nil, 0.9)
	}
	return kept(text("Reference", ref(a), ref(b), 0.7), made, same,
		text("Serial number", a.Opinion.Watch.Serial, b.Opinion.Watch.Serial, 0.02),
		text("Comes as", sets[a.Opinion.Watch.Set], sets[b.Opinion.Watch.Set], 0.5))
}

// outside is the weight where what a watch has is none of what the book allows.
func outside(a, b string, bookIsA bool, weight float64) float64 {
	has, allowed := a, b
	if bookIsA {
		has, allowed = b, a
	}
	if has == "" || allowed == "" || slices.Contains(strings.Split(allowed, " or "), has) {
		return 0
	}
	return weight
}

func months(d opinion.Dating) [2]float64 {
	return [2]float64{float64(d.Interval90[0]), float64(d.Interval90[1])}
}

func parts(a, b Side) []Line {
	var out []Line
	for _, slot := range evidence.Slots() {
		ca, na := partCell(a, slot)
		cb, nb := partCell(b, slot)
		if ca.Text == "" && ca.Verdict == "" && cb.Text == "" && cb.Verdict == "" {
			continue
		}
		if ca.Text == "" && ca.Verdict == "" {
			ca.Text = "not looked at"
		}
		if cb.Text == "" && cb.Verdict == "" {
			cb.Text = "not looked at"
		}
		l := Line{Feature: say.Capital(slot.Name()), A: ca, B: cb, Weight: verdictWeight(ca.Verdict, cb.Verdict)}
		if l.Weight == 0 && na != "" && nb != "" && na != nb && a.Watch != nil && b.Watch != nil {
			l.Weight = 0.35 // both belong, or neither can be told, yet they are not the same version
		}
		out = append(out, l)
	}
	return out
}

// partCell is what sits in a slot, with the verdict on it; the version is returned
// beside, to tell whether both have the same.
func partCell(s Side, slot evidence.Slot) (Cell, string) {
	if s.Watch == nil {
		return Cell{Text: s.expects[slot]}, ""
	}
	p, ok := s.part(slot)
	if !ok {
		return Cell{}, ""
	}
	c := Cell{Text: p.VariantName, Verdict: p.Verdict, Class: strings.ReplaceAll(p.Verdict, " ", "-")}
	if p.POriginal != nil {
		c.Range = estimate.Percent(*p.POriginal)
	}
	if p.Variant == evidence.Unknown {
		return c, ""
	}
	return c, p.Variant
}

// verdictWeight is how far two verdicts are apart. Beside the book, which has no
// verdict of its own, a part that does not fit differs from what it expects.
func verdictWeight(a, b string) float64 {
	rank := map[string]float64{opinion.Fits: 0, "": 0, opinion.ProbablyOriginal: 0.2, opinion.Redone: 0.5,
		opinion.ProbablyReplaced: 0.6, opinion.DoesNotBelong: 1,
		opinion.Missing: 0.9}
	x, okA := rank[a]
	y, okB := rank[b]
	if !okA || !okB { // one cannot be told
		return 0
	}
	return math.Abs(x - y)
}

func condition(ctx context.Context, a, b Side) []Line {
	if a.Watch == nil || b.Watch == nil { // the book grades nothing
		return nil
	}
	var out []Line
	grade := func(g *float64, reach [2]float64) Cell {
		if g == nil {
			return Cell{Text: "–"}
		}
		return Cell{Text: wording.Grade(ctx, g), Range: wording.Fixed(ctx, reach[0], 1) + "–" +
			wording.Fixed(ctx, reach[1], 1)}
	}
	add := func(name string, ga, gb *float64, ra, rb [2]float64, share float64) {
		if ga == nil && gb == nil {
			return
		}
		l := Line{Feature: name, A: grade(ga, ra), B: grade(gb, rb)}
		if ga != nil && gb != nil { // three grades are as plain as can be
			l.Weight = share * apart(full(*ga-*gb, 3), ra, rb)
		}
		out = append(out, l)
	}
	ca, cb := a.Opinion.Condition, b.Opinion.Condition
	add("Overall grade", ca.Overall, cb.Overall, ca.Interval, cb.Interval, 1)
	for _, slot := range evidence.Slots() {
		ga, _ := a.grade(slot)
		gb, _ := b.grade(slot)
		share := 0.5
		if slot == evidence.Dial || slot == evidence.Case {
			share = 0.8
		}
		add(say.Capital(slot.Name()), ga.Grade, gb.Grade, ga.Interval, gb.Interval, share)
	}
	return out
}

func sizes(ctx context.Context, a, b Side) []Line {
	var out []Line
	for _, what := range evidence.DimensionKinds() {
		ca, ma, okA := sizeCell(ctx, a, what)
		cb, mb, okB := sizeCell(ctx, b, what)
		if !okA && !okB || !measured(a, what) && !measured(b, what) {
			continue
		}
		l := Line{Feature: say.Capital(wording.Underscored(what)), A: ca, B: cb}
		if okA && okB { // half a millimetre is as plain as can be
			l.Weight = apart(full(ma[1]-mb[1], 0.5), [2]float64{ma[0], ma[2]}, [2]float64{mb[0], mb[2]})
		}
		out = append(out, l)
	}
	return out
}

func measured(s Side, what string) bool {
	_, ok := s.measure(what)
	return ok
}

// sizeCell is a size with its low end, middle and high end in mm.
func sizeCell(ctx context.Context, s Side, what string) (Cell, [3]float64, bool) {
	if s.Watch == nil {
		for _, d := range s.reference.Dimensions {
			if d.What == what {
				give := d.ToleranceMM
				if give == 0 {
					give = 0.1 // as the book counts it
				}
				return Cell{Text: wording.MM(ctx, d.MM) + " mm", Range: "± " +
					wording.MM(ctx, give)}, [3]float64{d.MM - give, d.MM, d.MM + give}, true
			}
		}
		return Cell{Text: "–"}, [3]float64{}, false
	}
	m, ok := s.measure(what)
	if !ok {
		return Cell{Text: "–"}, [3]float64{}, false
	}
	low, high := m.Interval[0], m.Interval[1]
	within := wording.MM(ctx, low) + "–" + wording.MM(ctx, high)
	if say.Even(m.MM, low, high) {
		within = "± " + wording.MM(ctx, (high-low)/2)
	}
	return Cell{Text: wording.MM(ctx, m.MM) + " mm", Range: within}, [3]float64{low, m.MM, high}, true
}
