package cli

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"time"

	"midcase/evidence"
	"midcase/market"
	"midcase/money"
	"midcase/opinion"
	"midcase/refbook"
)

// subjectFlags say which watch an opinion is on and by which book, sales and terms.
type subjectFlags struct {
	Watch    string   `arg:"" help:"A watch file (.json), or a watch of the shop: id, file number or serial number."`
	Book     string   `help:"Folder of the reference book, for a watch file outside any shop." type:"existingdir" placeholder:"DIR"`
	Sales    string   `help:"Sales file, for a watch file outside any shop." type:"existingfile" placeholder:"FILE.csv"`
	Rates    string   `help:"Exchange rates as CSV: a date column, then one column a currency." type:"existingfile" placeholder:"FILE.csv"`
	AsOf     string   `help:"Form the opinion as of this day." placeholder:"2026-03-01"`
	Basis    string   `help:"Basis of value: retail, trade, private, auction-hammer, auction-all-in, insurance." placeholder:"BASIS"`
	Currency string   `help:"Currency of the value (ISO 4217)." placeholder:"EUR"`
	Spot     []string `help:"Price of fine metal per troy ounce with its date, such as gold=2400EUR@2026-02-27." placeholder:"METAL=PRICE@DAY" sep:"none"`
	Asked    string   `help:"Price asked, such as 6500EUR; otherwise the latest one claimed." placeholder:"PRICE"`
}

type appraiseCmd struct {
	subjectFlags
	JSON bool `help:"Print the opinion as one JSON document." name:"json"`
}

// Run prints the opinion.
func (c appraiseCmd) Run(a *app) error {
	s, err := c.subject(a)
	if err != nil {
		return err
	}
	defer s.close()
	if c.JSON {
		return a.printJSON(s.opinion)
	}
	return a.printOpinion(s.opinion)
}

// subject is a watch with its opinion, from a file or from the shop.
type subject struct {
	opinion opinion.Opinion
	file    evidence.File
	folder  string  // of the watch file, where its pictures lie
	shop    *opened // nil outside a shop
	number  string
}

func (s *subject) close() {
	if s.shop != nil {
		s.shop.close()
	}
}

func (c subjectFlags) subject(a *app) (*subject, error) {
	asOf, err := c.day(a)
	if err != nil {
		return nil, err
	}
	if info, err := os.Stat(c.Watch); err == nil && info.IsDir() {
		return nil, fmt.Errorf("%s: it is a folder; want a watch file (.json), or the number of a watch of the shop",
			c.Watch)
	}
	if strings.HasSuffix(strings.ToLower(c.Watch), ".json") || isFile(c.Watch) {
		return c.fromFile(a, asOf)
	}
	if c.Book != "" || c.Sales != "" {
		return nil, wrong("--book and --sales go with a watch file; %s is looked up in the shop, which has its own",
			c.Watch)
	}
	return c.fromShop(a, asOf)
}

func isFile(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.Mode().IsRegular()
}

// day is the end of the day asked for, or now.
func (c subjectFlags) day(a *app) (time.Time, error) {
	if c.AsOf == "" {
		return a.now(), nil
	}
	return parseDay(c.AsOf, a.now())
}

func parseDay(text string, now time.Time) (time.Time, error) {
	t, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return time.Time{}, wrong("day %q: want a day such as 2026-03-01", text)
	}
	end := t.Add(24*time.Hour - time.Nanosecond)
	if t.After(now.Add(24 * time.Hour)) {
		return time.Time{}, wrong("day %s lies in the future; an opinion can be formed as of today or earlier", text)
	}
	return end, nil
}

func (c subjectFlags) settings(now time.Time) (opinion.Settings, error) {
	s := opinion.Settings{Basis: market.Basis(c.Basis)}
	if c.Basis != "" && s.Basis.Definition() == "" {
		return s, wrong("basis %q: want one of %s", c.Basis, joined(market.Bases()))
	}
	if c.Currency != "" {
		cur, err := money.ParseCurrency(c.Currency)
		if err != nil {
			return s, misuse{err}
		}
		s.Currency = cur
	}
	for _, text := range c.Spot {
		spot, err := parseSpot(text, now)
		if err != nil {
			return s, misuse{err}
		}
		s.Spots = append(s.Spots, spot)
	}
	if c.Asked != "" {
		m, err := parseMoney(c.Asked)
		if err != nil {
			return s, misuse{err}
		}
		if m.Sign() <= 0 {
			return s, wrong("price asked %q: want an amount above zero", c.Asked)
		}
		s.Asked = m
	}
	return s, nil
}

// elements are the metals that have a price of their own.
var elements = []string{"gold", "silver", "platinum", "palladium"}

// parseSpot reads gold=2400EUR@2026-02-27.
func parseSpot(text string, now time.Time) (opinion.SpotPrice, error) {
	element, rest, ok := strings.Cut(text, "=")
	price, day, dated := strings.Cut(rest, "@")
	if !ok || !dated {
		return opinion.SpotPrice{}, fmt.Errorf("spot price %q: want a form such as gold=2400EUR@2026-02-27", text)
	}
	m, err := parseMoney(price)
	if err != nil {
		return opinion.SpotPrice{}, fmt.Errorf("spot price %q: %w", text, err)
	}
	if m.Sign() <= 0 {
		return opinion.SpotPrice{}, fmt.Errorf("spot price %q: want a price above zero", text)
	}
	if t, err := time.Parse(time.DateOnly, day); err != nil {
		return opinion.SpotPrice{}, fmt.Errorf("spot price %q: day %q: want a day such as 2026-02-27", text, day)
	} else if t.After(now.Add(24 * time.Hour)) {
		return opinion.SpotPrice{}, fmt.Errorf("spot price %q: day %s lies in the future; want the day on which the price was read", text, day)
	}
	element = strings.ToLower(strings.TrimSpace(element))
	if !known(elements, element) {
		return opinion.SpotPrice{}, fmt.Errorf("spot price %q: metal %q: want one of %s", text, element,
			strings.Join(elements, ", "))
	}
	return opinion.SpotPrice{Element: element, PerTroyOunce: m, Date: day}, nil
}

var amountForm = regexp.MustCompile(`^\s*(-?[0-9]+(?:\.[0-9]+)?)\s*([A-Za-z]+)\s*$`)

// parseMoney reads 6500EUR or 6500.50 EUR.
func parseMoney(text string) (money.Money, error) {
	m := amountForm.FindStringSubmatch(text)
	if m == nil {
		return money.Money{}, fmt.Errorf("amount %q: want a form such as 6500EUR or 6500.50EUR", text)
	}
	return money.Parse(m[1], m[2])
}

func (c subjectFlags) fromFile(a *app, asOf time.Time) (*subject, error) {
	set, err := c.settings(a.now())
	if err != nil {
		return nil, err
	}
	f, err := os.Open(c.Watch)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	w, err := evidence.ReadWatch(f, c.Watch, a.now())
	if err != nil {
		return nil, err
	}
	book, err := c.book(a)
	if err != nil {
		return nil, err
	}
	m, err := c.market(a, set, asOf)
	if err != nil {
		return nil, err
	}
	file := evidence.Fold(w, asOf)
	o, err := opinion.Form(file, book, m, set, asOf)
	if err != nil {
		return nil, err
	}
	return &subject{opinion: o, file: file, folder: filepath.Dir(c.Watch),
		number: strings.TrimSuffix(filepath.Base(c.Watch), ".json")}, nil
}

// book loads the folder given; without one nothing can be judged by a book.
func (c subjectFlags) book(a *app) (*refbook.Book, error) {
	if c.Book == "" {
		fmt.Fprintln(a.err, "no --book given: date and parts cannot be judged")
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
func (c subjectFlags) market(a *app, set opinion.Settings, asOf time.Time) (opinion.Market, error) {
	if c.Sales == "" {
		fmt.Fprintln(a.err, "no --sales given: no value can be stated")
		return nil, nil
	}
	table, bad, err := readSales(a, c.Sales)
	if err != nil {
		return nil, err
	}
	if len(bad) > 0 {
		fmt.Fprintf(a.err, "%s: %s kept out; see 'midcase sales check %s'\n", c.Sales, count(len(bad), "row"), c.Sales)
	}
	opt := market.Options{Currency: set.Currency, AsOf: asOf}
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

func (c subjectFlags) fromShop(a *app, asOf time.Time) (*subject, error) {
	set, err := c.settings(a.now())
	if err != nil {
		return nil, err
	}
	s, err := a.open(false)
	if err != nil {
		return nil, err
	}
	w, err := s.Find(a.ctx, c.Watch)
	if err != nil {
		s.close()
		return nil, err
	}
	o, file, err := s.OpinionOn(a.ctx, w.ID, asOf, set)
	if err != nil {
		s.close()
		return nil, err
	}
	return &subject{opinion: o, file: file, shop: s, number: fmt.Sprint(w.Number)}, nil
}

func joined[T ~string](all []T) string {
	out := make([]string, len(all))
	for i, v := range all {
		out[i] = string(v)
	}
	return strings.Join(out, ", ")
}
