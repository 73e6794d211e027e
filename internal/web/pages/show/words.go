package show

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"midcase/estimate"
	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/frame"
	"midcase/internal/web/pages/plot"
	"midcase/opinion"
	"midcase/say"
	"midcase/telling"
)

// Data is what a client is shown. All of it is for everybody: nothing that somebody typed for the shop is in it.
type Data struct {
	Frame     frame.Data
	W         say.Writer // in the language of the client
	Language  string
	Languages []Tongue
	Watch     string // address of the watch's own page, for whoever is not held to this one
	Title     string
	Opening   string
	Pictures  []Picture
	Points    []Group
	Questions []Group
	Condition []Group
	Dating    opinion.Dating
	Dated     []Group
	Beside    []Pair
	IsExample bool // this watch is the reference example
	Family    Family
	Curves    []Curve
	Guide     telling.Guide
	Premium   bool // one of the curves is that of the metal
	Held      bool // this browser is held to the presentation
}

// Picture is one large picture with the faults of the parts on it: those whose place in it is known, and the rest.
type Picture struct {
	At, View      string
	Width, Height int // of the original, in which places are given
	Marks         []Mark
	Findings      []string
}

// Mark is a fault at its place in a picture.
type Mark struct {
	N      int
	X, Y   float64
	Radius float64
	Says   string
}

// least is the smallest ring around a fault, as a share of the picture's longer side.
const least = 0.012

func (p Picture) side() float64 { return float64(max(p.Width, p.Height)) }

func (p Picture) box() string { return fmt.Sprintf("0 0 %d %d", p.Width, p.Height) }

func (p Picture) fontSize() string { return px(p.side() * 0.03) }

// Place puts a fault on the picture; it reports false where the place is not known or not within the picture.
func (p *Picture) Place(n int, at [2]float64, radius float64, says string) bool {
	if p.Width <= 0 || p.Height <= 0 || radius <= 0 || at[0] < 0 || at[1] < 0 || at[0] > float64(p.Width) ||
		at[1] > float64(p.Height) {
		return false
	}
	p.Marks = append(p.Marks, Mark{n, at[0], at[1], max(radius, least*p.side()), says})
	return true
}

func (m Mark) x() string     { return px(m.X) }
func (m Mark) y() string     { return px(m.Y) }
func (m Mark) r() string     { return px(m.Radius) }
func (m Mark) textX() string { return px(m.X + m.Radius*1.1) }
func (m Mark) textY() string { return px(m.Y - m.Radius*0.8) }

func px(v float64) string { return fmt.Sprintf("%.1f", v) }

// Group is what is said under one heading.
type Group struct {
	Heading string
	Points  []Point
}

// Point is a sentence with what it stands on.
type Point struct {
	Text    string
	Grounds []string
}

// Tongue is a language to choose.
type Tongue struct{ Tag, Name string }

// Pair is the watch beside the reference example.
type Pair struct{ View, This, That string }

// Family is the line of references.
type Family struct {
	Name    string
	Line    []Reference
	Changes []Change
}

// Reference is one of the line.
type Reference struct {
	Name, Made string
	Own        bool
}

// Change is what changed from one reference to the next.
type Change struct {
	From, To string
	Lines    []Changed
}

// Changed is one feature that changed.
type Changed struct{ Feature, From, To string }

// Curve is a series by quarter.
type Curve struct {
	Series plot.Series
	Says   string
	Label  string // of the drawing, for those who do not see it
}

// Start is the page on which the leaving key is chosen.
type Start struct {
	Frame frame.Data
	Watch shop.Watch
	Form  *form.View
	Open  bool // the shop lets every browser in
}

// Grounds says in plain words what a sentence stands on. Numbers, names and notes of the file are not in them.
func Grounds(w say.Writer, s telling.Subject, x telling.Spoken) []string {
	var out []string
	add := func(says say.Statement) {
		if text := tied(w.Capital(says)); !slices.Contains(out, text) {
			out = append(out, text)
		}
	}
	for _, id := range x.Evidence {
		for _, it := range s.File.Items {
			if it.ID == id {
				add(ground(it))
			}
		}
	}
	sales := 0
	for _, b := range x.Basis {
		switch b.Source {
		case estimate.Book:
			add(say.That("show.ground-book"))
		case estimate.Sale:
			sales++
		}
	}
	if sales > 0 {
		add(say.That("show.ground-sales", say.Count("n", sales)))
	}
	if x.Chance > 0 {
		add(say.That("show.ground-chance", say.Share("p", x.Chance)))
	}
	return out
}

// tied keeps a figure and its sign on one line.
func tied(text string) string { return strings.ReplaceAll(text, " %", "\u00a0%") }

// ground is an item of evidence as a client is told of it.
func ground(it evidence.Item) say.Statement {
	day := it.At.Format(time.DateOnly)
	part := func(s evidence.Slot) string {
		if s == "" {
			return "watch"
		}
		return string(s)
	}
	switch d := it.Data.(type) {
	case *evidence.Mark:
		return say.That("show.ground-read", say.Term("mark", "mark", d.What, ""),
			say.Term("slot", "slot", part(d.Slot), ""), say.Day("day", day))
	case *evidence.Fitted:
		return say.That("show.ground-compared", say.Term("slot", "slot", part(d.Slot), ""), say.Day("day", day))
	case *evidence.Finding:
		return say.That("show.ground-looked", say.Term("slot", "slot", part(d.Slot), ""), say.Day("day", day))
	case *evidence.Dimension, *evidence.Reading:
		return say.That("show.ground-measured", say.Day("day", day))
	case *evidence.Weighing:
		return say.That("show.ground-weighed", say.Day("day", day))
	case *evidence.Rate, *evidence.Recording:
		return say.That("show.ground-timed", say.Day("day", day))
	case *evidence.Trial:
		return say.That("show.ground-tried", say.Day("day", day))
	case *evidence.Photo:
		return say.That("show.ground-seen", say.Term("view", "view", d.View, ""))
	case *evidence.Document:
		return say.That("show.ground-paper", say.Day("day", day))
	case *evidence.Work:
		return telling.Worked(d)
	case *evidence.Check:
		return say.That("show.ground-register", say.Day("day", day))
	}
	return say.That("show.ground-entered", say.Day("day", day))
}

// saying is a sentence of the page, in the language of the client.
func (d Data) saying(s say.Statement) string { return tied(d.W.Capital(s)) }

func (d Data) datesLabel() string {
	return d.saying(say.That("show.dated-curve", say.Month("first", d.Dating.Interval90[0]),
		say.Month("last", d.Dating.Interval90[1])))
}

func sceneID(name string, i int) string { return fmt.Sprintf("%s-%d", name, i) }
