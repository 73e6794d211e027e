package cli

import (
	"context"
	"fmt"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/money"
)

type watchCmd struct {
	List watchListCmd `cmd:"" help:"List watches."`
	Show watchShowCmd `cmd:"" help:"Show one watch with its evidence."`
	Add  watchAddCmd  `cmd:"" help:"Add a watch."`

	Correct watchCorrectCmd `cmd:"" help:"Correct the maker or reference under which a watch was filed; what it was stays on the record."`
}

type watchListCmd struct {
	table
	Text  string     `arg:"" optional:"" help:"Only watches with this text in title, serial number, place or note."`
	State shop.State `help:"Only watches in this state." placeholder:"STATE"`
}

// Run lists the stock.
func (c watchListCmd) Run(a *app, s *opened) error {
	watches, err := s.Watches(a.ctx, shop.Filter{Text: c.Text, State: c.State})
	return list(a, c.table, seen(a.ctx, watches), err, "No watches found.", "NO.|WATCH|SERIAL|STATE|COST|ASKING",
		func(w shop.Watch) cells { return cells{w.Number, w.Title, w.Serial, w.State, w.Cost, w.Asking} })
}

// seen are watches as whoever runs the command may see them.
func seen(ctx context.Context, watches []shop.Watch) []shop.Watch {
	out := make([]shop.Watch, len(watches))
	for i, w := range watches {
		out[i] = shop.SeenWatch(ctx, w)
	}
	return out
}

type watchShowCmd struct {
	onWatch
	output
}

// Run shows one watch; with --json it prints the watch file that appraise reads.
func (c watchShowCmd) Run(a *app, s *opened, w shop.Watch) error {
	log, err := s.Log(a.ctx, w.ID)
	log.Evidence = shop.SeenItems(a.ctx, log.Evidence)
	return c.print(a, log, err, func() error {
		fmt.Fprintf(a.out, "%s\nno. %d, %s, id %s\n\n", a.bold(w.Title), w.Number, stateWords(w.State), w.ID)
		file := evidence.Fold(log, a.now())
		items := file.Items
		for _, g := range file.Withdrawn {
			items = append(items, g.Item)
		}
		n := 0
		return list(a, table{}, items, nil, "No evidence recorded yet.", "ITEM|RECORDED|BY|SAYS",
			func(it evidence.Item) cells {
				says := value(evidence.Described(it, true), "")
				if n++; n > len(file.Items) {
					says = "withdrawn: " + says
				}
				return cells{it.ID, it.At, it.By, says}
			})
	})
}

type watchAddCmd struct {
	doer
	output
	Maker     string      `required:"" help:"The maker."`
	Reference string      `required:"" help:"The reference number."`
	Serial    string      `help:"The serial number."`
	State     shop.State  `help:"State." default:"offered"`
	Asked     money.Money `help:"Price that the seller asks, such as 6500EUR."`
	Place     string      `help:"Where it is kept."`
	Note      string      `help:"A note."`
	keepOdd
}

// Run takes a watch in.
func (c watchAddCmd) Run(a *app, s making) error {
	w, err := s.Intake.TakeInHeld(a.ctx, intake.Arrival{Maker: c.Maker, Reference: c.Reference, Serial: c.Serial,
		State: c.State, Place: c.Place, Note: c.Note, Asked: c.Asked}, c.AllTheSame, c.who())
	return c.line(a, w, toKeep(err), "no. %d %s, id %s", w.Number, w.Title, w.ID)
}

type watchCorrectCmd struct {
	onWatch
	doer
	output
	Maker     string `help:"The right maker (default: as it is)." placeholder:"MAKER"`
	Reference string `help:"The right reference (default: as it is)." placeholder:"REFERENCE"`
	Reason    string `required:"" help:"Why, such as \"read from the case back\". It is kept for good."`
}

// Run corrects a file.
func (c watchCorrectCmd) Run(a *app, s *opened, w shop.Watch) error {
	to := intake.Correcting{Maker: c.Maker, Reference: c.Reference, Reason: c.Reason}
	is, err := s.Intake.Correct(a.ctx, w.ID, to, c.who())
	return c.line(a, shop.SeenWatch(a.ctx, is), err, "no. %d is now %s, was %s", is.Number, is.Title, w.Title)
}
