package cli

import (
	"fmt"
	"slices"
	"strings"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/desk"
	"midcase/internal/shop/rights"
	"midcase/money"
)

type stockListCmd struct {
	table
	Words     []string      `arg:"" optional:"" help:"What to look for, as with --search."`
	Search    string        `help:"What to look for: such as \"cream dial 1960s no papers unpolished\". All must hold." placeholder:"WORDS"`
	Saved     string        `help:"Use a saved search, by its name." placeholder:"NAME"`
	Save      string        `help:"Save this search under a name." placeholder:"NAME"`
	Mine      bool          `help:"With --save: for you alone, not for the shop."`
	State     shop.State    `help:"Only watches in this state." placeholder:"STATE"`
	Maker     string        `help:"Only this maker." placeholder:"MAKER"`
	Reference string        `help:"Only this reference." placeholder:"REFERENCE"`
	MadeFrom  int           `help:"Made in this year or later, by the 90 % range." placeholder:"YEAR"`
	MadeTo    int           `help:"Made in this year or before, by the 90 % range." placeholder:"YEAR"`
	PriceFrom float64       `help:"Our price, else the value, at least." placeholder:"PRICE"`
	PriceTo   float64       `help:"Our price, else the value, at most." placeholder:"PRICE"`
	GradeFrom float64       `help:"Grade at least." placeholder:"GRADE"`
	GradeTo   float64       `help:"Grade at most." placeholder:"GRADE"`
	Part      evidence.Slot `help:"The part that --judged is about, such as dial (default: any)." placeholder:"PART"`
	Judged    string        `help:"Only watches with a part judged original, replaced, redone, missing or unexamined." enum:",original,replaced,redone,missing,unexamined" default:""`
}

// stockRow is a watch of the list, for other programs.
type stockRow struct {
	ID        shop.WatchID `json:"id"`
	Number    int          `json:"number"`
	Title     string       `json:"title"`
	Maker     string       `json:"maker"`
	Reference string       `json:"reference"`
	Serial    string       `json:"serial,omitempty"`
	State     shop.State   `json:"state"`
	Place     string       `json:"place,omitempty"`
	Made      string       `json:"made,omitempty"` // EDTF interval
	Grade     *float64     `json:"grade"`
	Median    *float64     `json:"value_median"`
	Range     *[2]float64  `json:"value_interval_80"`
	Troubles  []string     `json:"troubles"`
	Asking    money.Money  `json:"asking,omitzero"`
	Cost      money.Money  `json:"cost,omitzero"`
}

// stockFound is what the list prints as JSON.
type stockFound struct {
	desk.Sought
	Watches []stockRow `json:"watches"`
}

// Run lists the stock, or the part of it that is searched for.
func (c stockListCmd) Run(a *app, s *opened) error {
	v, err := c.view(a, s)
	if err != nil {
		return err
	}
	found, formed, err := s.Desk.Find(a.ctx, v.Text, v.Filter, a.progress("opinions"))
	if err != nil {
		return refused(err)
	}
	if c.Save != "" {
		v.Name, v.Mine = c.Save, c.Mine
		if err := s.Desk.SaveView(a.ctx, v); err != nil {
			return refused(err)
		}
	}
	rows := []stockRow{}
	for _, b := range desk.Seen(a.ctx, found.Rows) {
		rows = append(rows, rowOf(b))
	}
	if c.JSON {
		return a.printJSON(stockFound{found, rows})
	}
	c.explain(a, found, formed)
	head := "NO.|WATCH|SERIAL|MADE|GRADE|VALUE|STATE|ASKING"
	if sees := rights.May(a.ctx, rights.Cost); sees {
		head += "|COST"
	}
	return list(a, c.table, rows, nil, "No watches found.", head, func(r stockRow) cells { return r.cells(a, c.CSV) })
}

// view is the saved search that was named, or the one that was typed.
func (c stockListCmd) view(a *app, s *opened) (desk.View, error) {
	if c.MadeFrom != 0 && c.MadeTo != 0 && c.MadeFrom > c.MadeTo {
		return desk.View{}, wrong("--made-from %d is after --made-to %d. Give the earlier year first", c.MadeFrom,
			c.MadeTo)
	}
	v := desk.View{Text: strings.TrimSpace(strings.Join(append(slices.Clone(c.Words), c.Search), " ")),
		Filter: desk.Filter{State: c.State, Maker: c.Maker, Reference: c.Reference, MadeFrom: c.MadeFrom,
			MadeTo: c.MadeTo, PriceFrom: c.PriceFrom, PriceTo: c.PriceTo, GradeFrom: c.GradeFrom,
			GradeTo: c.GradeTo, Part: c.Part, Judged: c.Judged}}
	if c.Saved == "" {
		return v, nil
	}
	if v != (desk.View{}) {
		return v, wrong("--saved stands for a whole search. Leave out the other words and filters")
	}
	return s.Desk.SavedView(a.ctx, c.Saved)
}

// explain says on standard error how the words were understood.
func (c stockListCmd) explain(a *app, found desk.Sought, formed bool) {
	for _, t := range found.Understood {
		fmt.Fprintf(a.err, "%s: %s\n", t.Words, t.As)
	}
	for _, w := range found.NotUnderstood {
		fmt.Fprintf(a.err, "Not understood: “%s”. No watch has it; leave it out or write it otherwise.\n", w)
	}
	if !formed && len(found.Rows) > 0 {
		fmt.Fprintf(a.err, "Year, grade and value are left out for so many watches. Search more narrowly to see them.\n")
	}
}

func rowOf(b desk.Brief) stockRow {
	w := b.Watch
	r := stockRow{w.ID, w.Number, w.Title, w.Maker, w.Reference, w.Serial, w.State, w.Place, b.Made, b.Grade, b.Median,
		nil, filled(b.Troubles), w.Asking, w.Cost}
	if b.Median != nil {
		r.Range = &[2]float64{b.Low, b.High}
	}
	return r
}

func (r stockRow) cells(a *app, machineRead bool) cells {
	grade, value := "", ""
	if r.Grade != nil {
		grade = figure(*r.Grade, 1)
	}
	if r.Median != nil {
		value = price(*r.Median, *r.Range, "", "range")
	}
	if machineRead && r.Grade != nil {
		grade = machine(*r.Grade)
	}
	if machineRead && r.Median != nil {
		value = machine(*r.Median)
	}
	out := cells{r.Number, r.Title, r.Serial, edtf.Shortest(r.Made), grade, value, r.State, r.Asking}
	if rights.May(a.ctx, rights.Cost) {
		out = append(out, r.Cost)
	}
	return out
}
