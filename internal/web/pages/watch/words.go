package watch

import (
	"context"
	"fmt"
	"strings"

	"midcase/estimate"
	"midcase/evidence"
	"midcase/internal/web/pages/wording"
	"midcase/opinion"
	"midcase/say"
)

// fact is one figure of the line under the sentence.
type fact struct{ Name, Value, Range string }

// glance gathers the figures that a dealer looks for first.
func glance(ctx context.Context, d Data) []fact {
	var out []fact
	add := func(name, value, reach string) {
		if value != "" {
			out = append(out, fact{name, value, reach})
		}
	}
	o := d.Opinion
	add("Serial", o.Watch.Serial, "")
	add("Calibre", o.Watch.Calibre, "")
	add("Comes as", map[string]string{"watch": "watch alone", "papers": "with papers",
		"full": "full set"}[o.Watch.Set],
		"")
	if o.Condition.Overall != nil {
		add("Grade", wording.Grade(ctx, o.Condition.Overall), wording.Fixed(ctx, o.Condition.Interval[0],
			1)+"–"+wording.Fixed(ctx, o.Condition.Interval[1], 1))
	}
	if o.Metal.MeltFloor != nil {
		add("Melt floor", wording.About(ctx, *o.Metal.MeltFloor), "")
	}
	return out
}

// figured is a whole figure; what was not read stays empty.
func figured(v float64, unit string) string {
	if v == 0 {
		return ""
	}
	return fmt.Sprintf("%.0f%s", v, unit)
}

// section is one entry of the way about the page.
type section struct{ ID, Name string }

func sectionList(d Data) []section {
	out := []section{{"evidence", "Evidence"}}
	if len(d.Opinion.Disagreements) > 0 {
		out = append(out, section{"disagrees", "What disagrees"})
	}
	out = append(out, []section{{"dating", "Date"}, {"parts", "Parts"}, {"condition", "Condition"},
		{"measured", "Sizes"}, {"running", "Running"}, {"metal", "Metal"}, {"value", "Value"}, {"deal",
			"What to pay"}}...)
	if len(d.Looks) > 0 {
		out = append(out, section{"next", "Next looks"})
	}
	if len(d.Opinion.Unknown) > 0 {
		out = append(out, section{"unknown", "Not known"})
	}
	if len(d.Opinion.Cautions) > 0 {
		out = append(out, section{"cautions", "Cautions"})
	}
	return out
}

// mainPhoto is the picture of the dial, or the first there is.
func mainPhoto(d Data) (*evidence.Photo, bool) {
	all := evidence.All[*evidence.Photo](d.File)
	for _, p := range all {
		if p.Data.View == "dial" {
			return p.Data, true
		}
	}
	if len(all) > 0 {
		return all[0].Data, true
	}
	return nil, false
}

// group is the evidence of one kind.
type group struct {
	Kind   evidence.Kind
	Name   string
	CanAdd bool
	Items  []evidence.Item
}

// groups puts items of a kind together, in the order in which a watch is looked at.
func groups(items []evidence.Item) []group {
	order := []group{
		{Kind: evidence.KindMark, Name: "Numbers, stamps and marks", CanAdd: true}, {Kind: evidence.KindFitted,
			Name: "Parts as fitted", CanAdd: true},
		{Kind: evidence.KindFinding, Name: "Findings", CanAdd: true}, {Kind: evidence.KindDimension, Name: "Sizes",
			CanAdd: true},
		{Kind: evidence.KindWeighing, Name: "Weighings", CanAdd: true}, {Kind: evidence.KindRate, Name: "Rates",
			CanAdd: true},
		{Kind: evidence.KindRecording, Name: "Recordings"}, {Kind: evidence.KindReading,
			Name: "Readings from pictures"},
		{Kind: evidence.KindDocument, Name: "Documents", CanAdd: true}, {Kind: evidence.KindClaim,
			Name: "What the seller says", CanAdd: true},
		{Kind: evidence.KindWork, Name: "Work", CanAdd: true}, {Kind: evidence.KindTrial,
			Name: "Looked over and tried"}, {Kind: evidence.KindNeed, Name: "Work needed", CanAdd: true},
		{Kind: evidence.KindOwnership, Name: "Owners", CanAdd: true}, {Kind: evidence.KindCheck,
			Name:   "Register checks",
			CanAdd: true},
		{Kind: evidence.KindComparison, Name: "Beside other watches", CanAdd: true}, {Kind: evidence.KindPhoto,
			Name: "Photographs", CanAdd: true},
		{Kind: evidence.KindCorrection, Name: "Corrections of the file"},
		{Kind: evidence.KindRedacted, Name: "Words taken away"},
		{Kind: evidence.KindWithdrawal, Name: "Withdrawals"},
	}
	at := map[evidence.Kind]int{}
	for i, g := range order {
		at[g.Kind] = i
	}
	for _, it := range items {
		if i, ok := at[it.Kind()]; ok {
			order[i].Items = append(order[i].Items, it)
		}
	}
	var out []group
	for _, g := range order {
		if len(g.Items) > 0 {
			out = append(out, g)
		}
	}
	return out
}

func madeWords(ctx context.Context, d opinion.Dating) string {
	if len(d.Ranges) > 1 {
		return wording.Say(ctx, say.That("watches.dated-either", say.All("ranges", opinion.RangesSay(d)...)))
	}
	if d.Interval90[0] == d.Interval90[1] {
		return wording.Say(ctx, say.That("watches.dated-month", say.Month("made", d.Median)))
	}
	return wording.Say(ctx, say.That("watches.dated", say.Span("made", d.Interval90[0], d.Interval90[1]),
		say.Month("median", d.Median)))
}

// partsWords counts the verdicts.
func partsWords(ctx context.Context, parts []opinion.Part) string {
	counts := map[string]int{}
	for _, p := range parts {
		counts[p.Verdict]++
	}
	if counts[opinion.NotExamined]+counts[opinion.NotJudged] == len(parts) {
		return wording.Say(ctx, say.That("watches.parts-none", say.Count("of", len(parts))))
	}
	var verdicts []say.Value
	for _, verdict := range opinion.Verdicts() {
		if n := counts[verdict]; n > 0 {
			verdicts = append(verdicts, opinion.CountSays(verdict, n))
		}
	}
	return wording.Say(ctx, say.That("watches.parts", say.Count("of", len(parts)), say.All("verdicts", verdicts...)))
}

const expectedReason = "At this date the book expects:"

// reasonsOf are the reasons of a verdict with what the book expects; the chance has a
// column of its own.
func reasonsOf(ctx context.Context, p opinion.Part) []string {
	var out []string
	told := false
	for _, r := range p.Reasons {
		told = told || r.Kind == "parts.expects"
		if r.Kind != "parts.chance" {
			out = append(out, wording.Say(ctx, r))
		}
	}
	if text := expected(p); text != "" && !told {
		out = append(out, expectedReason+" "+text+".")
	}
	return out
}

// expected names what the book expects in the slot, the likeliest first.
func expected(p opinion.Part) string {
	var out []string
	for _, e := range p.Expected {
		if len(out) < 3 && e.Variant != evidence.Unknown {
			out = append(out, fmt.Sprintf("%s (%s)", e.Name, estimate.Percent(e.P)))
		}
	}
	return strings.Join(out, ", ")
}

func heldRules(all []opinion.Rule) []opinion.Rule {
	var out []opinion.Rule
	for _, r := range all {
		if !r.Broken {
			out = append(out, r)
		}
	}
	return out
}

// sentences joins reasons; where there are none, the words of the grade.
func sentences(reasons []string, otherwise string) string {
	if len(reasons) == 0 {
		return otherwise
	}
	return strings.Join(reasons, "; ")
}

// lookLink leads to the form that takes what a look shows.
func lookLink(d Data, l opinion.Look) string {
	to := base(d) + "/record?kind=" + string(l.Kind)
	if l.Slot != "" && (l.Kind == evidence.KindFitted || l.Kind == evidence.KindFinding) {
		to += "&slot=" + string(l.Slot)
	}
	return to
}

// narrower is a share by which something is expected to become narrower.
func narrower(share float64) string {
	if share < 0.005 {
		return "–"
	}
	return fmt.Sprintf("−%.0f %%", 100*share)
}

func fewer(bits float64) string {
	if bits < 0.005 {
		return "–"
	}
	return fmt.Sprintf("−%.2f", bits)
}

// meanRange is half the 90 % range of the mean rate; empty where it is not stated.
func meanRange(ctx context.Context, r opinion.Running) string {
	if r.MeanSE == nil {
		return ""
	}
	return wording.PlusMinus(ctx, *r.MeanSE)
}
