package show

import (
	"context"
	"fmt"
	"slices"
	"time"

	"midcase/estimate"
	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/frame"
	"midcase/internal/web/pages/plot"
	"midcase/internal/web/pages/wording"
	"midcase/opinion"
	"midcase/say"
	"midcase/telling"
)

// Data is what a client is shown. All of it is for everybody: nothing that somebody typed for the shop is in it.
type Data struct {
	Frame     frame.Data
	Watch     string // address of the watch's own page, for whoever is not held to this one
	Title     string
	Opening   string
	Pictures  []Picture
	Points    []Group
	Questions []Group
	Condition []Group
	Dating    opinion.Dating
	Dated     []Group
	Beside    *Pair
	IsExample bool // this watch is the reference example
	Family    Family
	Curves    []Curve
	Premium   bool // one of the curves is that of the metal
	Held      bool // this browser is held to the presentation
}

// Picture is one large picture with the faults of the parts on it.
type Picture struct {
	At, View string
	Findings []string
}

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
}

// Start is the page on which the leaving key is chosen.
type Start struct {
	Frame frame.Data
	Watch shop.Watch
	Form  *form.View
	Open  bool // the shop lets every browser in
}

// Grounds says in plain words what a sentence stands on. Numbers, names and notes of the file are not in them.
func Grounds(ctx context.Context, s telling.Subject, x telling.Spoken) []string {
	var out []string
	add := func(text string) {
		if text != "" && !slices.Contains(out, text) {
			out = append(out, text)
		}
	}
	for _, id := range x.Evidence {
		for _, it := range s.File.Items {
			if it.ID == id {
				add(ground(ctx, it))
			}
		}
	}
	sales := 0
	for _, b := range x.Basis {
		switch b.Source {
		case estimate.Book:
			add("Held against what our reference book says of this reference.")
		case estimate.Sale:
			sales++
		}
	}
	if sales > 0 {
		add(wording.Say(ctx, say.That("report.sales-on-record", say.Count("n", sales))))
	}
	if x.Chance > 0 {
		add("The chance that it is so, all weighed together, is " + estimate.Percent(x.Chance) + " or more.")
	}
	return out
}

// ground is an item of evidence as a client is told of it.
func ground(ctx context.Context, it evidence.Item) string {
	on := " on " + wording.Day(ctx, it.At.Format(time.DateOnly))
	part := func(s evidence.Slot) string {
		if s == "" {
			return "watch"
		}
		return wording.Word(ctx, "slot", string(s))
	}
	switch d := it.Data.(type) {
	case *evidence.Mark:
		return say.Capital(wording.Underscored(d.What)) + " read off the " + part(d.Slot) + on + "."
	case *evidence.Fitted:
		return say.Capital(part(d.Slot)) + " looked at and compared with the versions on record" + on + "."
	case *evidence.Finding:
		return say.Capital(part(d.Slot)) + " looked at" + on + "."
	case *evidence.Dimension, *evidence.Reading:
		return "Measured" + on + "."
	case *evidence.Weighing:
		return "Weighed" + on + "."
	case *evidence.Rate, *evidence.Recording:
		return "Timed" + on + "."
	case *evidence.Trial:
		return "Tried" + on + "."
	case *evidence.Photo:
		return "Seen in a picture of the " + wording.Word(ctx, "view", d.View) + "."
	case *evidence.Document:
		return "A paper that we were shown" + on + "."
	case *evidence.Work:
		return wording.Capital(ctx, telling.Worked(d))
	case *evidence.Check:
		return "A register was asked" + on + "."
	}
	return "Entered in our file" + on + "."
}

func sceneID(name string, i int) string { return fmt.Sprintf("%s-%d", name, i) }
