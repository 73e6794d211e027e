package cli

import (
	"context"
	"fmt"

	"midcase/evidence"
	"midcase/internal/document"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
)

type watchCmd struct {
	List watchListCmd `cmd:"" help:"List the watches of the shop."`
	Show watchShowCmd `cmd:"" help:"Show one watch with its evidence."`
	Add  watchAddCmd  `cmd:"" help:"Take a watch in."`
}

type watchListCmd struct {
	Text  string `arg:"" optional:"" help:"Only watches with this text in title, serial, place or note."`
	State string `help:"Only watches in this state." placeholder:"STATE"`
	JSON  bool   `name:"json" help:"Print JSON."`
}

// Run lists the stock.
func (c watchListCmd) Run(a *app) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	if c.State != "" && !known(shop.States(), shop.State(c.State)) {
		return wrong("state %q: want one of %s", c.State, joined(shop.States()))
	}
	watches, err := s.Watches(a.ctx, shop.Filter{Text: c.Text, State: shop.State(c.State)})
	if err != nil {
		return err
	}
	if c.JSON {
		return a.printJSON(seen(a.ctx, watches))
	}
	rows := [][]string{{"NO.", "WATCH", "SERIAL", "STATE", "COST", "ASKING"}}
	for _, w := range seen(a.ctx, watches) {
		rows = append(rows, []string{fmt.Sprint(w.Number), w.Title, w.Serial, string(w.State),
			amountOrDash(w.Cost.IsZero(), w.Cost.String()), amountOrDash(w.Asking.IsZero(), w.Asking.String())})
	}
	return a.table(rows)
}

// seen are watches as whoever runs the command may see them.
func seen(ctx context.Context, watches []shop.Watch) []shop.Watch {
	out := make([]shop.Watch, len(watches))
	for i, w := range watches {
		out[i] = shop.SeenWatch(ctx, w)
	}
	return out
}

func amountOrDash(none bool, s string) string {
	if none {
		return "–"
	}
	return s
}

func known[T comparable](all []T, v T) bool {
	for _, x := range all {
		if x == v {
			return true
		}
	}
	return false
}

type watchShowCmd struct {
	Watch string `arg:"" help:"Id, file number or serial number."`
	JSON  bool   `name:"json" help:"Print the watch file as JSON."`
}

// Run shows one watch; with --json it prints the watch file that appraise reads.
func (c watchShowCmd) Run(a *app) error {
	s, w, err := a.openWatch(c.Watch)
	if err != nil {
		return err
	}
	defer s.close()
	log, err := s.Log(a.ctx, w.ID)
	if err != nil {
		return err
	}
	if c.JSON {
		return a.printJSON(log)
	}
	fmt.Fprintf(a.out, "%s\nno. %d, %s, id %s\n\n", a.bold(w.Title), w.Number, w.State, w.ID)
	file := evidence.Fold(log, a.now())
	rows := [][]string{{"ITEM", "RECORDED", "BY", "SAYS"}}
	for _, it := range file.Items {
		rows = append(rows, []string{string(it.ID), it.At.Format("2006-01-02 15:04"), it.By,
			document.ItemWords(it, true)})
	}
	for _, g := range file.Withdrawn {
		rows = append(rows, []string{string(g.Item.ID), g.Item.At.Format("2006-01-02 15:04"), g.Item.By,
			"withdrawn: " + document.ItemWords(g.Item, true)})
	}
	return a.table(rows)
}

type watchAddCmd struct {
	Maker     string `required:"" help:"The maker."`
	Reference string `required:"" help:"The reference number."`
	Serial    string `help:"The serial number."`
	State     string `help:"State." default:"offered"`
	Asked     string `help:"Price that the seller asks, such as 6500EUR."`
	Place     string `help:"Where it is kept."`
	Note      string `help:"A note."`
	By        string `help:"Who takes it in; default the user." env:"MIDCASE_USER"`
}

// Run takes a watch in.
func (c watchAddCmd) Run(a *app) error {
	if !known(shop.States(), shop.State(c.State)) {
		return wrong("state %q: want one of %s", c.State, joined(shop.States()))
	}
	in := intake.Arrival{Maker: c.Maker, Reference: c.Reference, Serial: c.Serial, State: shop.State(c.State),
		Place: c.Place, Note: c.Note}
	if c.Asked != "" {
		m, err := parseMoney(c.Asked)
		if err != nil {
			return misuse{err}
		}
		in.Asked = m
	}
	s, err := a.open(true)
	if err != nil {
		return err
	}
	defer s.close()
	w, err := s.Intake.TakeIn(a.ctx, in, user(c.By))
	if err != nil {
		return refused(err)
	}
	_, err = fmt.Fprintf(a.out, "no. %d %s, id %s\n", w.Number, w.Title, w.ID)
	return err
}
