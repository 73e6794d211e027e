package telling

import (
	"cmp"
	"slices"
	"strings"

	"midcase/edtf"
	"midcase/opinion"
	"midcase/refbook"
	"midcase/say"
)

// Guide is what readers are told of a reference: its history, the versions of its parts, how it is told from its near
// twins, what to look for, and the best example seen. It comes from the book and from what was found on that example;
// notes, numbers and sources of the book are not in it. Words that are the book's own stay in the book's language.
type Guide struct {
	Language string
	Title    string
	Sections []GuideSection
	Note     string // where all this comes from
}

// GuideSection is one of its sections.
type GuideSection struct {
	ID       string // history, versions, twins, look, best
	Heading  string
	Says     []string
	Points   []GuidePoint
	Versions []Version
}

// GuidePoint is a line under a heading; By are words of the book's own.
type GuidePoint struct{ Says, By string }

// Version is a version of a part in its time.
type Version struct {
	Part, Name, Look string
	When             string
	From, To         float64 // shares of the time in which the reference was made; both 0 for a service part
	Service          bool
}

// Best is the example that the shop holds others of the reference against, and its opinion.
type Best struct{ Opinion opinion.Opinion }

// guiding is the work on a guide.
type guiding struct {
	w     say.Writer
	book  *refbook.Book
	maker *refbook.Maker
	ref   *refbook.Reference
	guide Guide
}

// GuideTo writes the guide to a reference; ok is false where the book does not have it. best is nil where no example
// was named.
func GuideTo(w say.Writer, language string, book *refbook.Book, maker, reference string, best *Best) (g Guide,
	ok bool) {
	m, ref, ok := book.Reference(maker, reference)
	if !ok {
		return g, false
	}
	x := &guiding{w: w, book: book, maker: m, ref: ref}
	x.guide = Guide{Language: language, Title: x.says(say.That("guide.title", say.Name("maker", m.Name),
		say.Name("reference", ref.ID), say.Name("name", orNone(ref.Name)))), Note: x.says(say.That("guide.by-book"))}
	x.history()
	x.versions()
	x.twins()
	x.look()
	x.best(best)
	return x.guide, true
}

func (x *guiding) says(s say.Statement) string { return plain(x.w.Capital(s)) }

// add puts a section in that says something.
func (x *guiding) add(s GuideSection) {
	if len(s.Says)+len(s.Points)+len(s.Versions) > 0 {
		x.guide.Sections = append(x.guide.Sections, s)
	}
}

func (x *guiding) history() {
	s := GuideSection{ID: "history", Heading: x.says(say.That("guide.history"))}
	if first, last, ok := months(x.ref.Made); ok {
		s.Says = append(s.Says, x.says(say.That("guide.made", say.Span("made", first, last))))
	}
	metal := x.ref.Metal
	if m, ok := x.maker.Metal(metal); ok && !say.Lists("metal", metal) {
		metal = strings.ToLower(m.Name)
	}
	s.Says = append(s.Says, x.says(say.That("guide.case", say.Term("metal", "metal", x.ref.Metal, metal))))
	for _, d := range x.ref.Dimensions {
		if d.What == "mid_case_diameter" {
			s.Says = append(s.Says, x.says(say.That("guide.size", say.Fixed("size", d.MM, say.MM, 1))))
			if d.SpokenMM > 0 {
				s.Says = append(s.Says, x.says(say.That("guide.spoken", say.Fixed("size", d.SpokenMM, say.MM, 0))))
			}
		}
	}
	for _, id := range x.ref.Calibres {
		if c, ok := x.maker.Calibre(id); ok {
			s.Says = append(s.Says, x.says(say.That("guide.movement", say.Name("calibre", id),
				say.Name("winding", orNone(c.Winding)), say.Count("beats", c.BeatsPerHour))))
		}
	}
	before, after := x.neighbours()
	if before != "" {
		s.Says = append(s.Says, x.says(say.That("guide.before", say.Name("reference", before))))
	}
	if after != "" {
		s.Says = append(s.Says, x.says(say.That("guide.after", say.Name("reference", after))))
	}
	x.add(s)
}

func months(d edtf.Date) (first, last edtf.Month, ok bool) {
	first, ok = d.FirstMonth()
	last, ends := d.LastMonth()
	return first, last, ok && ends
}

// neighbours are the references of the same family that came right before and after this one.
func (x *guiding) neighbours() (before, after string) {
	own, _ := x.ref.Made.FirstMonth()
	line := slices.Clone(x.maker.References)
	slices.SortStableFunc(line, func(a, b refbook.Reference) int { return cmp.Compare(firstOf(a), firstOf(b)) })
	for _, r := range line {
		switch {
		case r.Family != x.ref.Family:
		case firstOf(r) < own:
			before = r.ID
		case firstOf(r) > own && after == "":
			after = r.ID
		}
	}
	return before, after
}

func firstOf(r refbook.Reference) edtf.Month {
	m, _ := r.Made.FirstMonth()
	return m
}

// versions are those of each part of which there were several.
func (x *guiding) versions() {
	s := GuideSection{ID: "versions", Heading: x.says(say.That("guide.versions"))}
	start, end, known := months(x.ref.Made)
	for _, slot := range x.ref.Slots {
		if len(slot.Variants) < 2 {
			continue
		}
		part := say.Capital(x.w.Value(say.Noun{Set: "slot", ID: string(slot.Slot)}, ""))
		for _, v := range slot.Variants {
			one := Version{Part: part, Name: v.Name, Look: v.Look, Service: v.Service}
			if v.Service {
				one.When = x.says(say.That("guide.service"))
				s.Versions = append(s.Versions, one)
				continue
			}
			for _, w := range v.Windows {
				first, last, ok := w.Months(x.ref.Made)
				if !ok {
					continue
				}
				one.When = x.says(say.That("guide.fitted", say.Span("made", first, last)))
				if known && end > start {
					one.From = within(first, start, end)
					one.To = within(last+1, start, end+1)
				}
				s.Versions = append(s.Versions, one)
			}
			if len(v.Windows) == 0 {
				one.When, one.To = x.says(say.That("guide.always")), 1
				s.Versions = append(s.Versions, one)
			}
		}
	}
	x.add(s)
}

// within is a month as a share of a time.
func within(m, start, end edtf.Month) float64 {
	return min(1, max(0, float64(m-start)/float64(end-start)))
}

// mostTwins and twinPoints bound what is said of near twins.
const mostTwins, twinPoints = 3, 4

// twins tells how the reference is told from those that are most like it: the fewer and the fainter the differences,
// the nearer.
func (x *guiding) twins() {
	type twin struct {
		id    string
		apart float64
		by    []refbook.Difference
	}
	var all []twin
	for _, r := range x.maker.References {
		if r.ID == x.ref.ID {
			continue
		}
		c, err := refbook.Compare(x.book, x.maker.ID, x.ref.ID, x.maker.ID, r.ID)
		if err != nil {
			continue // both are in the book
		}
		apart := 0.0
		for _, d := range c.Differences {
			apart += d.Telling
		}
		all = append(all, twin{r.ID, apart, c.Differences[:min(len(c.Differences), twinPoints)]})
	}
	slices.SortStableFunc(all, func(a, b twin) int { return cmp.Compare(a.apart, b.apart) })
	s := GuideSection{ID: "twins", Heading: x.says(say.That("guide.twins"))}
	for _, t := range all[:min(len(all), mostTwins)] {
		for _, d := range t.by {
			s.Points = append(s.Points, GuidePoint{Says: x.says(say.That("guide.twin", say.Name("reference", x.ref.ID),
				say.Name("other", t.id))), By: say.Capital(d.Feature) + ": " + d.A + " / " + d.B})
		}
	}
	x.add(s)
}

// oftenReplaced is the share from which a part is worth a look. Common practice, no published source.
const oftenReplaced = 0.15

func (x *guiding) look() {
	s := GuideSection{ID: "look", Heading: x.says(say.That("guide.look"))}
	for _, slot := range x.ref.Slots {
		if slot.Replaced >= oftenReplaced {
			s.Says = append(s.Says, x.says(say.That("guide.replaced", say.Term("slot", "slot", string(slot.Slot), ""),
				say.Share("share", slot.Replaced))))
		}
	}
	for _, slot := range x.ref.Slots {
		for _, v := range slot.Variants {
			if v.Service {
				known := x.says(say.That("guide.service-part", say.Term("slot", "slot", string(slot.Slot), "")))
				s.Points = append(s.Points, GuidePoint{Says: known, By: strings.Join(nonEmpty(v.Name, v.Look), " – ")})
			}
		}
	}
	for _, r := range x.ref.Rules {
		if r.Says != "" {
			s.Points = append(s.Points, GuidePoint{Says: x.says(say.That("guide.rule")), By: r.Says})
		}
	}
	x.add(s)
}

func nonEmpty(all ...string) []string {
	return slices.DeleteFunc(all, func(s string) bool { return s == "" })
}

// best says why the example that others are held against is the one: its grade, its parts and its faults.
func (x *guiding) best(b *Best) {
	if b == nil {
		return
	}
	o := b.Opinion
	s := GuideSection{ID: "best", Heading: x.says(say.That("guide.best"))}
	if o.Condition.Overall != nil {
		s.Says = append(s.Says, x.says(say.That("guide.grade", say.Fixed("grade", *o.Condition.Overall, say.None, 1))))
	}
	judged, fits := 0, 0
	var doubts []say.Value
	for _, p := range o.Parts {
		switch {
		case p.Verdict == opinion.NotExamined || p.POriginal == nil:
		case p.Verdict == opinion.Fits || p.Verdict == opinion.ProbablyOriginal:
			judged, fits = judged+1, fits+1
		default:
			judged++
			doubts = append(doubts, say.Noun{Set: "slot", ID: string(p.Slot)})
		}
	}
	if judged > 0 {
		s.Says = append(s.Says, x.says(say.That("guide.parts", say.Count("n", fits), say.Count("of", judged))))
	}
	if len(doubts) > 0 {
		s.Says = append(s.Says, x.says(say.That("guide.not-certain", say.All("slots", doubts...))))
	}
	x.add(s)
}

// OfSlots keeps the versions of one part together; a page shows them as a table with their line of time.
func (s GuideSection) OfSlots() (out [][]Version) {
	for _, v := range s.Versions {
		if n := len(out); n > 0 && out[n-1][0].Part == v.Part {
			out[n-1] = append(out[n-1], v)
		} else {
			out = append(out, []Version{v})
		}
	}
	return out
}

// Width is how much of the time of the reference a version was fitted.
func (v Version) Width() float64 { return v.To - v.From }
