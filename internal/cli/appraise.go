package cli

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/market"
	"midcase/money"
	"midcase/opinion"
	"midcase/refbook"
)

// subjectFlags say which watch an opinion is on and by which book, sales and terms.
type subjectFlags struct {
	Watch    string              `arg:"" help:"A watch file (.json), or id, file number or serial number of a watch of the shop."`
	Book     string              `help:"Folder of the reference book, for a watch file." type:"existingdir" placeholder:"DIR"`
	Sales    string              `help:"Sales file, for a watch file." type:"existingfile" placeholder:"FILE.csv"`
	Rates    string              `help:"Exchange rates as CSV: a date column, then one column per currency." type:"existingfile" placeholder:"FILE.csv"`
	AsOf     time.Time           `help:"Form the opinion as of this day." placeholder:"2026-03-01"`
	Basis    market.Basis        `help:"Basis of value: retail, trade, private, auction-hammer, auction-all-in or insurance." placeholder:"BASIS"`
	Currency money.Currency      `help:"Currency of the value (ISO 4217)." placeholder:"EUR"`
	Spot     []opinion.SpotPrice `help:"Price of fine metal per troy ounce with its date, such as gold=2400EUR@2026-02-27; may be repeated." placeholder:"METAL=PRICE@DAY" sep:"none"`
	Asked    money.Money         `help:"Price asked, such as 6500EUR (default: the latest one claimed)." placeholder:"PRICE"`
}

type appraiseCmd struct {
	subjectFlags
	output
}

// Run prints the opinion.
func (c appraiseCmd) Run(a *app) error {
	s, err := c.subject(a)
	if err != nil {
		return err
	}
	return c.print(a, s.opinion, nil, func() error { return a.printOpinion(s.opinion) })
}

// subject is a watch with its opinion, from a file or from the shop.
type subject struct {
	opinion opinion.Opinion
	file    evidence.File
	folder  string     // of the watch file, where its pictures lie
	shop    *opened    // nil outside a shop
	watch   shop.Watch // likewise empty
	number  string
}

func (c subjectFlags) subject(a *app) (*subject, error) {
	set, err := c.settings()
	if err != nil {
		return nil, err
	}
	asOf, err := a.past(c.AsOf)
	if err != nil {
		return nil, err
	}
	if !c.isFile() {
		return c.fromShop(a, asOf, set)
	}
	g, err := c.files(a, asOf)
	if err != nil {
		return nil, err
	}
	o, err := opinion.Form(g.file, g.book, g.market, set, asOf)
	return &subject{opinion: o, file: g.file, folder: filepath.Dir(c.Watch),
		number: strings.TrimSuffix(filepath.Base(c.Watch), ".json")}, err
}

// isFile reports whether the watch is one in a file.
func (c subjectFlags) isFile() bool {
	info, err := os.Stat(c.Watch)
	return err == nil || strings.HasSuffix(strings.ToLower(c.Watch), ".json") && info == nil
}

func isFile(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.Mode().IsRegular()
}

func (c subjectFlags) settings() (opinion.Settings, error) {
	s := opinion.Settings{Basis: c.Basis, Currency: c.Currency, Spots: c.Spot, Asked: c.Asked}
	return s, aboveZero("--asked", c.Asked)
}

// aboveZero refuses an amount of nothing or less; one that was not given is fine.
func aboveZero(flag string, m money.Money) error {
	if m.Currency() != "" && m.Sign() <= 0 {
		return wrong("%s: %s is not a price. Give an amount above zero", flag, exact(m))
	}
	return nil
}

// given is what lies in files: a watch, a book and a market. Without a file there is no
// book or no market.
type given struct {
	file   evidence.File
	book   *refbook.Book
	market opinion.Market
}

func (c subjectFlags) files(a *app, asOf time.Time) (given, error) {
	var g given
	if err := notFolder(c.Watch); err != nil {
		return g, err
	}
	f, err := os.Open(c.Watch)
	if err != nil {
		return g, err
	}
	defer f.Close()
	w, err := evidence.ReadWatch(f, c.Watch, a.now())
	if err != nil {
		return g, err
	}
	g.file = evidence.Fold(w, asOf)
	if g.book, err = c.book(a); err != nil {
		return g, err
	}
	g.market, err = c.market(a, asOf)
	return g, err
}

func notFolder(path string) error {
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		return fmt.Errorf("%s is a folder. Give a watch file (.json), or the number of a watch of the shop", path)
	}
	return nil
}

// book loads the folder given; without one nothing can be judged by a book.
func (c subjectFlags) book(a *app) (*refbook.Book, error) {
	if c.Book == "" {
		fmt.Fprintln(a.err, "without --book, date and parts cannot be judged")
		return nil, nil
	}
	if err := folder(c.Book); err != nil {
		return nil, err
	}
	book, err := refbook.LoadDir(c.Book)
	var problems refbook.Problems
	if errors.As(err, &problems) {
		return nil, fmt.Errorf("%s: %s:\n%w", c.Book, count(len(problems), "problem"), err)
	}
	return book, err
}

// market fits the sales file given; without one there is no market.
func (c subjectFlags) market(a *app, asOf time.Time) (opinion.Market, error) {
	if c.Sales == "" {
		fmt.Fprintln(a.err, "without --sales, no value can be stated")
		return nil, nil
	}
	table, bad, err := readSales(a, c.Sales)
	if err != nil {
		return nil, err
	}
	if len(bad) > 0 {
		fmt.Fprintf(a.err, "%s: %s rejected; 'midcase sales check %s' lists them\n", c.Sales, count(len(bad), "row"),
			c.Sales)
	}
	opt := market.Options{Currency: c.Currency, AsOf: asOf}
	if opt.Currency == "" {
		opt.Currency = "EUR"
	}
	if opt.Rates, err = readRates(c.Rates, c.Sales); err != nil {
		return nil, err
	}
	model, _, err := market.Fit(table, opt)
	if err != nil {
		fmt.Fprintf(a.err, "%s: no value can be stated: %v\n", c.Sales, err)
		return nil, nil
	}
	return model, nil
}

// readRates reads the rates file given, or rates.csv beside the sales file.
func readRates(path, beside string) (*market.Rates, error) {
	if path == "" {
		path = filepath.Join(filepath.Dir(beside), "rates.csv")
		if !isFile(path) {
			return nil, nil
		}
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	r, err := market.ReadRates(f)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return r, nil
}

func readSales(a *app, path string) (*market.Table, []market.RowError, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, nil, err
	}
	defer f.Close()
	return market.ReadCSV(f, path, market.ReadOptions{Now: a.now()})
}

// inShop opens the shop for a watch of it; book and sales are then the shop's own.
func (c subjectFlags) inShop(a *app) (*opened, shop.Watch, error) {
	if c.Book != "" || c.Sales != "" {
		return nil, shop.Watch{}, wrong("--book and --sales are for a watch file. “%s” is a watch of the shop, which has its own", c.Watch)
	}
	s, err := a.hold(a.open(false))
	if err != nil {
		return nil, shop.Watch{}, err
	}
	w, err := s.Find(a.ctx, c.Watch)
	return s, w, err
}

func (c subjectFlags) fromShop(a *app, asOf time.Time, set opinion.Settings) (*subject, error) {
	s, w, err := c.inShop(a)
	if err != nil {
		return nil, err
	}
	o, file, err := s.OpinionOn(a.ctx, w.ID, asOf, set)
	return &subject{opinion: o, file: file, shop: s, watch: w, number: fmt.Sprint(w.Number)}, err
}
