package photobench

import (
	"fmt"
	"slices"
	"strings"

	"midcase/condition"
	"midcase/evidence"
	"midcase/refbook"
	"midcase/say"
	"midcase/typed"
)

// Option is one thing to choose.
type Option struct{ Value, Text string }

// Field is one field of a form.
type Field struct {
	Name    string
	Label   string
	Hint    string
	Type    string // points, disc, number, choice, text, area
	Least   int    // of points
	Most    int
	Viewer  string // which picture its points lie in; empty is the first
	Options []Option
	Needed  bool
	Broad   bool
	Value   string
	Error   string
}

// Group is fields that belong together.
type Group struct {
	Legend string
	Says   string
	Fields []Field
	Rows   bool // three fields to a row
	Folded bool // may be left folded
}

// sizeWords names a kind of dimension.
func sizeWords(what string) string {
	switch what {
	case "mid_case_diameter":
		return "mid-case diameter"
	}
	return strings.ReplaceAll(what, "_", " ")
}

func sizeOptions() []Option {
	var out []Option
	for _, d := range evidence.DimensionKinds() {
		if d != droopSize && d != pulledSize {
			out = append(out, Option{d, sizeWords(d)})
		}
	}
	return out
}

// Known is what the book and the file say that helps to fill a form.
type Known struct {
	Ref      *refbook.Reference
	Recorded float64 // mm per px on record with the picture; 0 for none
}

func (k Known) size(what string) float64 {
	if k.Ref == nil {
		return 0
	}
	for _, d := range k.Ref.Dimensions {
		if d.What == what {
			return d.MM
		}
	}
	return 0
}

// sizesSaid lists round sizes of the book, any of which may serve as a known circle.
func (k Known) sizesSaid() string {
	var out []string
	for _, what := range []string{"crystal_diameter", "bezel_diameter", "dial_diameter"} {
		if mm := k.size(what); mm > 0 {
			out = append(out, fmt.Sprintf("%s %.1f", sizeWords(what), mm))
		}
	}
	if len(out) == 0 {
		return "side of the square, distance or diameter"
	}
	return "side, distance or diameter; the book has " + strings.Join(out, ", ")
}

func scaleGroup(k Known) Group {
	ways := []Option{{"square", "the printed square"}, {"points", "two points of known distance"},
		{"circle", "a circle of known diameter"}}
	if k.Recorded > 0 {
		ways = slices.Insert(ways, 0, Option{"recorded", fmt.Sprintf("as recorded with the picture: %.4f mm a pixel",
			k.Recorded)})
	}
	return Group{Legend: "What gives the scale", Says: "The square also shows how far the picture is tilted. Its " +
		"sides are found near the four corners that you point at.",
		Fields: []Field{
			{Name: "scale", Label: "Scale from", Type: "choice", Options: ways},
			{Name: "scale_at", Label: "Where it lies", Type: "points", Least: 2, Most: mostPoints,
				Hint: "square: four corners clockwise from the top left; distance: two points; circle: three or " +
					"more", Broad: true},
			{Name: "scale_mm", Label: "Its size, mm", Type: "number", Hint: k.sizesSaid()},
			{Name: "scale_plus", Label: "± mm", Type: "number", Hint: "of that size, 95 of 100"},
			{Name: "camera_mm", Label: "Lens above it, mm", Type: "number",
				Hint: "about; empty takes it from the picture"},
		}}
}

// SizesGroups are the fields of the form of sizes, with so many rows.
func SizesGroups(k Known, rows int) []Group {
	g := Group{Legend: "What to measure", Says: "Two points measure a length. Three or more round an edge measure " +
		"a diameter; the edge is found near them. Height is how far the part stands above the plane of the scale: " +
		"5 mm nearer to the lens reads about 1.5 % too large.", Rows: true}
	for i := range rows {
		g.Fields = append(g.Fields,
			Field{Name: fmt.Sprintf("what%d", i), Label: fmt.Sprintf("Size %d", i+1), Type: "choice",
				Options: append([]Option{{"", "choose"}}, sizeOptions()...)},
			Field{Name: fmt.Sprintf("at%d", i), Label: fmt.Sprintf("Points %d", i+1), Type: "points", Least: 2,
				Most: mostPoints},
			Field{Name: fmt.Sprintf("h%d", i), Label: fmt.Sprintf("Height %d, mm", i+1), Type: "number"})
	}
	return []Group{scaleGroup(k), g}
}

// BraceletGroups are the fields of the form of the bracelet.
func BraceletGroups(k Known) []Group {
	return []Group{scaleGroup(k),
		{Legend: "Held out flat by the case side", Says: "Hold the watch by its case with the bracelet level on " +
			"its edge, and let the free end hang. A spirit level or a plumb line in the picture shows what is level.",
			Fields: []Field{
				{Name: "held", Label: "Where the free part begins", Type: "points", Least: 1, Most: 1},
				{Name: "free", Label: "Middle of the last link", Type: "points", Least: 1, Most: 1},
				{Name: "line", Label: "The line is", Type: "choice", Options: []Option{{"level", "a level line"},
					{"plumb", "a plumb line"}}},
				{Name: "level", Label: "Two points of that line", Type: "points", Least: 2, Most: 2},
				{Name: "along", Label: "Points along the bracelet", Type: "points", Least: 1, Most: mostPoints,
					Hint: "between the two, in order; may be left out"},
				{Name: "links", Label: "Links between", Type: "number", Hint: "where they can be counted"},
				{Name: "gaps", Label: "Gaps between links", Type: "points", Least: 2, Most: mostPoints,
					Hint: "two points across each gap that shows; may be left out"},
			}},
		{Legend: "Or its length under a pull",
			Says: "Lay it flat, pull it straight by a known weight, and point at the same place of two links.",
			Fields: []Field{
				{Name: "pulled", Label: "Both ends of the length", Type: "points", Least: 2, Most: 2},
				{Name: "pulled_links", Label: "Links between them", Type: "number"},
				{Name: "pull_n", Label: "Pull, N", Type: "number", Hint: "a 500 g weight pulls 4.9 N"},
			}},
	}
}

func dialFields(suffix, viewer string, k Known) []Field {
	said := ""
	if mm := k.size("dial_diameter"); mm > 0 {
		said = fmt.Sprintf("; the book has %.1f", mm)
	}
	out := []Field{
		{Name: "edge" + suffix, Label: "Edge of the dial", Type: "points", Least: 3, Most: mostPoints,
			Hint: "three points or more round it; five and more are better", Viewer: viewer, Broad: true},
		{Name: "twelve" + suffix, Label: "The mark at twelve", Type: "points", Least: 1, Most: 1, Viewer: viewer},
		{Name: "six" + suffix, Label: "The mark at six", Type: "points", Least: 1, Most: 1, Viewer: viewer},
	}
	if suffix == "" {
		out = append(out, Field{Name: "dial_mm", Label: "Diameter, mm", Type: "number", Hint: "for sizes in mm" + said})
	}
	return out
}

// DialGroups are the fields of the form of plots and dial.
func DialGroups(k Known) []Group {
	return []Group{
		{Legend: "Where the dial lies", Fields: dialFields("", "", k)},
		{Legend: "Grey card and hands", Says: "Without a grey card in the same light, plots can be compared with " +
			"each other but not with another picture.",
			Fields: []Field{
				{Name: "grey", Label: "Grey card: click the centre, then the edge", Type: "disc", Least: 2, Most: 2,
					Hint: "an even part of the card, without glare"},
				{Name: "grey_l", Label: "L* of the card", Type: "number", Hint: "empty counts as 49.5, an 18 % card"},
				{Name: "hour_hand", Label: "Lume of the hour hand: click the centre, then the edge", Type: "disc",
					Least: 2, Most: 2},
				{Name: "minute_hand", Label: "Lume of the minute hand: click the centre, then the edge",
					Type: "disc", Least: 2, Most: 2},
			}},
		{Legend: "Plots, where they are not found", Says: "The plots are looked for. Where that fails, point at " +
			"one plot and its edge, then at the middles of the others; each takes the hour that it lies at.",
			Folded: true,
			Fields: []Field{{Name: "plots", Label: "Plots", Type: "points", Least: 3, Most: 13, Broad: true}}},
	}
}

// FindingGroups are the fields by which a finding is placed.
func FindingGroups(slot evidence.Slot) []Group {
	var slots, terms []Option
	slots = append(slots, Option{"", "choose"})
	for _, s := range evidence.Slots() {
		slots = append(slots, Option{string(s), s.Name()})
	}
	list := condition.Terms()
	if slot.Valid() {
		list = condition.TermsFor(string(slot))
	}
	terms = append(terms, Option{"", "choose"})
	for _, t := range list {
		terms = append(terms, Option{t.ID, t.Name})
	}
	slices.SortStableFunc(terms[1:], func(a, b Option) int { return strings.Compare(a.Text, b.Text) })
	return []Group{{Legend: "What is seen, and where", Fields: []Field{
		{Name: "place", Label: "Place: click the centre, then the edge", Type: "disc", Least: 2, Most: 2, Needed: true,
			Hint: "the middle of what is seen, then a point of its edge", Broad: true},
		{Name: "slot", Label: "Part", Type: "choice", Options: slots, Needed: true},
		{Name: "term", Label: "Term", Type: "choice", Options: terms, Needed: true,
			Hint: "from the list; each is explained under Terms"},
		{Name: "severity", Label: "Severity", Type: "choice", Needed: true,
			Options: []Option{{"", "choose"}, {"0", "0 good point / none found"}, {"1", "1 slight"},
				{"2", "2 obvious"}, {"3", "3 severe"}, {"4", "4 beyond repair"}}},
		{Name: "extent", Label: "Extent", Type: "number", Hint: "share of the part, 0 to 1; empty if not judged"},
		{Name: "where", Label: "Where, in words", Type: "text", Hint: "such as: at 4, lower left lug"},
		{Name: "note", Label: "Note", Type: "area", Broad: true},
	}}}
}

// ListingGroups are the fields by which a picture is made ready for a listing.
func ListingGroups() []Group {
	return []Group{{Legend: "What may be done",
		Says: "Turned, cropped, balanced by a grey card: nothing else. All may be left empty.",
		Fields: []Field{
			{Name: "level", Label: "A line that is level or upright", Type: "points", Least: 2, Most: 2,
				Hint: "two points far apart"},
			{Name: "square", Label: "Square: click the centre, then the edge", Type: "disc", Least: 2, Most: 2,
				Hint: "empty keeps the largest square in the middle"},
			{Name: "grey", Label: "Grey card: click the centre, then the edge", Type: "disc", Least: 2, Most: 2,
				Hint: "without one the colours stay as the camera gave them"},
			{Name: "grey_l", Label: "L* of the card", Type: "number", Hint: "empty counts as 49.5, an 18 % card"},
		}}}
}

// BesideGroups are the fields by which two dials are placed.
func BesideGroups(k Known) []Group {
	return []Group{{Legend: "This dial", Fields: dialFields("", "", k)},
		{Legend: "The other dial", Fields: dialFields("_2", "other", k)}}
}

// Fill puts what was typed, and what is wrong with it, into the fields; it returns the
// problems that no field shows.
func Fill(groups []Group, f *Form) (out []Group, rest evidence.Problems) {
	shown := map[string]bool{}
	for _, g := range groups {
		g.Fields = slices.Clone(g.Fields)
		for i := range g.Fields {
			x := &g.Fields[i]
			x.Value = f.Values.Get(x.Name)
			shown[x.Name] = true
			for _, p := range f.Problems {
				if p.Field == x.Name && x.Error == "" {
					x.Error = say.Capital(typed.Refusal(strings.TrimPrefix(p.Found, "found "), p.Want)) + "."
					g.Folded = false
				}
			}
			if x.Value != "" {
				g.Folded = false
			}
		}
		out = append(out, g)
	}
	for _, p := range f.Problems {
		if !shown[p.Field] {
			rest = append(rest, p)
		}
	}
	return out, rest
}

// Rows is how many rows of sizes a form shows: those filled and one more, at least
// three.
func Rows(f *Form) int {
	n := 2
	for i := range mostRows {
		if f.get(fmt.Sprintf("at%d", i)) != "" || f.get(fmt.Sprintf("what%d", i)) != "" {
			n = max(n, i+1)
		}
	}
	return min(n+1, mostRows)
}
