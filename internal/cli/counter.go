package cli

import (
	"fmt"
	"strings"
	"time"

	"midcase/estimate"
	"midcase/gate"
	"midcase/internal/shop"
	"midcase/internal/shop/desk"
	"midcase/market"
	"midcase/money"
	"midcase/opinion"
	"midcase/refbook"
)

// looksFirst is how many things to look at first are named over the counter.
const looksFirst = 2

type counterCmd struct {
	doer
	output
	Line []string `arg:"" help:"What is offered, in one line: \"KR-1 414459 silver dial box 5200\". Reference first; number or year, metal, dial, box, papers and price in any order."`
	keepOdd
	Keep     bool           `help:"Open a watch file of it in the shop, with everything that was heard."`
	Book     string         `help:"Folder of the reference book, to answer without a shop." type:"existingdir" placeholder:"DIR"`
	Sales    string         `help:"Sales file, to answer without a shop." type:"existingfile" placeholder:"FILE.csv"`
	Rates    string         `help:"Exchange rates as CSV: a date column, then one column per currency." type:"existingfile" placeholder:"FILE.csv"`
	Currency money.Currency `help:"Currency of the value, without a shop (ISO 4217; default: EUR)." placeholder:"EUR"`
	Basis    market.Basis   `help:"Basis of value, without a shop." placeholder:"BASIS"`
	AsOf     time.Time      `help:"Answer as of this day." placeholder:"2026-03-01"`
}

// counterAnswer is what the command prints as JSON.
type counterAnswer struct {
	Maker         string              `json:"maker"`
	Reference     string              `json:"reference"`
	Name          string              `json:"name,omitempty"`
	InBook        bool                `json:"in_book"`
	Heard         counterHeard        `json:"heard"`
	NotUnderstood string              `json:"not_understood,omitempty"`
	Impossible    []gate.Doubt        `json:"impossible"` // what the book has not, or has otherwise
	Made          string              `json:"made,omitempty"`
	Dating        []opinion.DateRange `json:"ranges_90,omitempty"`
	Value         opinion.Value       `json:"value"`
	Deal          opinion.Deal        `json:"deal"`
	LookFirst     []opinion.Look      `json:"look_first"`
	Watch         *shop.Watch         `json:"watch,omitempty"` // the file that was opened of it
}

// counterHeard is the inquiry as it was understood.
type counterHeard struct {
	Serial string      `json:"serial,omitempty"`
	Year   int         `json:"year,omitempty"`
	Metal  string      `json:"metal,omitempty"`
	Set    string      `json:"set,omitempty"`
	Asked  money.Money `json:"asked,omitzero"`
	Seen   []string    `json:"seen"` // at a glance, in words

	words string
}

// Run answers an offer over the counter.
func (c counterCmd) Run(a *app) error {
	line := strings.Join(c.Line, " ")
	asOf, err := a.past(c.AsOf)
	if err != nil {
		return err
	}
	answer := c.fromShop
	if c.Book != "" || c.Sales != "" {
		answer = c.fromFiles
	}
	got, err := answer(a, line, asOf)
	if err != nil {
		return refused(err)
	}
	return c.print(a, got, nil, func() error { return a.printCounter(got) })
}

func (c counterCmd) fromShop(a *app, line string, asOf time.Time) (counterAnswer, error) {
	s, err := a.hold(a.open(false))
	if err != nil {
		return counterAnswer{}, err
	}
	q, err := s.Desk.Heard(a.ctx, line)
	if err != nil {
		return counterAnswer{}, err
	}
	o, err := s.Desk.Counter(a.ctx, q, asOf)
	if err != nil {
		return counterAnswer{}, err
	}
	got := answerOf(q, o)
	if c.Keep {
		w, err := s.Desk.TakeInInquiry(a.ctx, q, c.AllTheSame, c.who())
		if err != nil {
			return counterAnswer{}, toKeep(err)
		}
		got.Watch = &w
	}
	return got, nil
}

// fromFiles answers by a book and a sales file alone.
func (c counterCmd) fromFiles(a *app, line string, asOf time.Time) (counterAnswer, error) {
	if c.Keep {
		return counterAnswer{}, wrong("--keep opens a file in a shop. Leave out --book and --sales")
	}
	if c.Book == "" {
		return counterAnswer{}, wrong("--sales needs the reference book beside it: add --book DIR")
	}
	given := subjectFlags{Book: c.Book, Sales: c.Sales, Rates: c.Rates, Currency: c.Currency}
	book, err := given.book(a)
	if err != nil {
		return counterAnswer{}, err
	}
	ear := desk.Ear{Book: book, Met: desk.MetInBook(book), Year: asOf.Year(), Currency: c.Currency}
	if ear.Currency == "" {
		ear.Currency = "EUR"
	}
	q, n, err := heardIn(ear, book, line)
	if err != nil {
		return counterAnswer{}, err
	}
	m, err := given.market(a, asOf)
	if err != nil {
		return counterAnswer{}, err
	}
	o, err := desk.Answer(n, q, book, m, opinion.Settings{Basis: c.Basis, Currency: c.Currency}, asOf)
	return answerOf(q, o), err
}

func heardIn(ear desk.Ear, book *refbook.Book, line string) (desk.Inquiry, desk.Named, error) {
	q, err := ear.Hear(line)
	if err != nil {
		return q, desk.Named{}, err
	}
	n, err := desk.NamedIn(ear.Met, book, q.Reference)
	return q, n, err
}

func answerOf(q desk.Inquiry, o desk.Offer) counterAnswer {
	h := counterHeard{Serial: q.Serial, Year: q.Year, Metal: q.Metal, Set: q.Set, Asked: q.Asked, Seen: []string{},
		words: q.Words(o.Named, exact)}
	for _, d := range q.Seen {
		h.Seen = append(h.Seen, desk.SeenWords(d))
	}
	made := ""
	if o.Opinion.Dating.Known {
		made = o.Opinion.Dating.EDTF
	}
	return counterAnswer{Maker: o.Maker.Name, Reference: o.Reference.ID, Name: o.Reference.Name, InBook: o.InBook,
		Heard: h, NotUnderstood: q.Note, Impossible: filled(o.Odd), Made: made, Dating: o.Opinion.Dating.Ranges,
		Value: o.Opinion.Value, Deal: o.Opinion.Deal, LookFirst: filled(o.Looks[:min(looksFirst, len(o.Looks))])}
}

// printCounter writes the answer in a few lines, what counts first.
func (a *app) printCounter(got counterAnswer) error {
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	line("%s", a.bold(strings.TrimSpace(got.Maker+" "+got.Reference+" "+got.Name)))
	line("Heard: %s.", got.Heard.words)
	for _, x := range got.Impossible {
		line("! %s", x.Says)
	}
	if got.NotUnderstood != "" {
		line("Not understood: “%s”.", got.NotUnderstood)
	}
	if !got.InBook {
		line("Not in the reference book: answered from sales alone, without parts and date.")
	}
	if got.Made != "" {
		line("Made:       %s (90 %% range)", strings.ReplaceAll(got.Made, "/", " to "))
	}
	if v := got.Value; v.Known {
		r := v.Interval["80"]
		line("Worth:      %s to %s %s (%s, 80 %% range)", price(r[0], r, "", "value"), price(r[1], r, "", "value"),
			v.Currency, v.Kind)
		for _, s := range v.Lacks() {
			line("            %s", s)
		}
	} else {
		line("No value:   %s.", v.CannotTell)
	}
	got.payLines(line)
	for i, l := range got.LookFirst {
		head := "Look first: "
		if i > 0 {
			head = "            "
		}
		line("%s%s (%g min)", head, l.What, l.Minutes)
	}
	if w := got.Watch; w != nil {
		line("Kept as no. %d %s, id %s.", w.Number, w.Title, w.ID)
	}
	line("Not examined: the range allows for it. Look in a loss register before you pay.")
	_, err := fmt.Fprint(a.out, b.String())
	return err
}

// payLines say what to pay at most and what the price asked comes to.
func (got counterAnswer) payLines(line func(string, ...any)) {
	d := got.Deal
	if !d.Known || d.HighestPrice == nil {
		return
	}
	line("Pay at most %s: keeps a margin of %s with %s confidence.", exact(*d.HighestPrice), percent(d.WantedMargin),
		percent(d.Confidence))
	if d.AskedPrice == nil || d.ChanceOfLoss == nil {
		return
	}
	how := "leaves the margin"
	if d.AskedPrice.Float() > d.HighestPrice.Float() {
		how = "is too much"
	}
	line("The %s asked %s: chance of a loss %s.", exact(*d.AskedPrice), how, estimate.Percent(*d.ChanceOfLoss))
}
