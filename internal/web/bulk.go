package web

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/trade"
	"midcase/internal/squarecode"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/stock"
	"midcase/internal/web/pages/wording"
	"midcase/money"
	"midcase/say"
)

// chosen are the watches that a bulk form is about: those ticked, or all of the list
// that it stood under.
func (s *stockPages) chosen(r *http.Request) ([]shop.Watch, error) {
	query := url.Values{}
	if r.PostFormValue("scope") == "all" {
		var err error
		if query, err = url.ParseQuery(r.PostFormValue("query")); err != nil {
			return nil, &shop.Invalid{What: "several watches", Problems: evidence.Problems{{Field: "query",
				Found: strconv.Quote(r.PostFormValue("query")), Want: "the address of a list"}}}
		}
	} else if only := strings.Join(r.PostForm["no"], ","); only != "" {
		query.Set("only", only)
	} else {
		return nil, nil
	}
	list := r.Clone(r.Context())
	list.Form, list.PostForm = query, nil
	l, err := s.listed(list)
	if err != nil {
		return nil, err
	}
	out := make([]shop.Watch, len(l.rows))
	for i, b := range l.rows {
		out[i] = b.Watch
	}
	return out, nil
}

func (s *stockPages) changeMany(w http.ResponseWriter, r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		return err
	}
	watches, err := s.chosen(r)
	if err != nil {
		return err
	}
	d := stock.Done{Frame: s.frame("stock", "Several watches"), Back: "/"}
	if q, err := url.ParseQuery(r.PostFormValue("query")); err == nil && len(q) > 0 {
		d.Back = "/?" + q.Encode()
	}
	if to, ok := printed[r.PostFormValue("do")]; ok && len(watches) > 0 {
		http.Redirect(w, r, to+"?only="+numbers(watches), http.StatusSeeOther)
		return nil
	}
	change, wrong, err := bulkOf(r)
	if d.Wrong = wrong; wrong != "" {
		w.WriteHeader(http.StatusUnprocessableEntity)
		return stock.DonePage(d).Render(r.Context(), w)
	}
	if err == nil {
		ids := make([]shop.WatchID, len(watches))
		for i, x := range watches {
			ids[i] = x.ID
		}
		d.Outcomes, err = s.shop.Trade.ChangeMany(r.Context(), ids, change)
	}
	var invalid *shop.Invalid
	if errors.As(err, &invalid) {
		d.Wrong = invalid.Error() + "."
		w.WriteHeader(http.StatusUnprocessableEntity)
	} else if err != nil {
		return err
	}
	if change.State == "" {
		d.Undo = before(d.Outcomes)
	}
	return stock.DonePage(d).Render(r.Context(), w)
}

var printed = map[string]string{"labels": "/stock/labels", "list": "/stock/list", "csv": "/stock.csv"}

func numbers(watches []shop.Watch) string {
	out := make([]string, len(watches))
	for i, w := range watches {
		out[i] = strconv.Itoa(w.Number)
	}
	return strings.Join(out, ",")
}

// bulkForm is what can be changed on several watches at once; a button each says which.
type bulkForm struct {
	Scope   string     `form:"scope" label:"Which" kind:"choice" id:"scope"`
	Place   string     `form:"place" label:"Place" list:"bulk-places" want:"a place, for example safe, tray 3" id:"bulk-place"`
	State   shop.State `form:"state" label:"State" kind:"choice" id:"bulk-state"`
	Percent float64    `form:"percent" label:"Change asking price by" unit:"%" hint:"for example 5 or −10; rounded to tens from 1,000 on" want:"a percentage, for example 5 or −10" id:"bulk-percent"`
}

var changingMany = form.Define[bulkForm]("several watches")

// bulkStates are the states that several watches may be put into at once: those by which no money is booked.
var bulkStates = []shop.State{shop.Photographed, shop.Listed, shop.AtWorkshop}

// bulkFields is the form beside a list of so many watches.
func bulkFields(ctx context.Context, listed int) stock.BulkFields {
	f := changingMany.Of(ctx, bulkForm{})
	f.Offer(&f.V.Scope, form.Option{Value: "chosen", Text: "watches chosen in the list"},
		form.Option{Value: "all", Text: fmt.Sprintf("all %s of this list", wording.Count(ctx, listed))})
	states := make([]form.Option, len(bulkStates))
	for i, s := range bulkStates {
		states[i] = form.Option{Value: string(s), Text: wording.State(s)}
	}
	f.Offer(&f.V.State, states...)
	return stock.BulkFields{Scope: f.Field(&f.V.Scope), Place: f.Field(&f.V.Place), State: f.Field(&f.V.State),
		Percent: f.Field(&f.V.Percent)}
}

// bulkOf reads the one change that the button pressed stands for. wrong is what has to be entered first.
func bulkOf(r *http.Request) (change trade.Bulk, wrong string, err error) {
	f, err := changingMany.Read(r, bulkForm{})
	if err != nil {
		return trade.Bulk{}, "", err
	}
	do := r.PostFormValue("do")
	switch {
	case do == "place" && f.V.Place == "":
		f.Missing(&f.V.Place)
	case do == "place":
		change.Place = f.V.Place
	case do == "state" && !slices.Contains(shop.States(), f.V.State):
		f.Wrong(&f.V.State, "Choose a state of the list.")
	case do == "state":
		change.State = f.V.State
	case do == "percent" && f.V.Percent == 0:
		f.Missing(&f.V.Percent)
	case do == "percent":
		change.Percent = 100 * f.V.Percent
	default:
		return change, "Choose one of the changes.", nil
	}
	return change, f.Problems()[do], nil
}

// before is what stood before, of those that were changed.
func before(all []trade.Outcome) []stock.Was {
	var out []stock.Was
	for _, o := range all {
		if o.Failed == "" && o.Before.Version != o.Watch.Version {
			was := stock.Was{Number: strconv.Itoa(o.Before.Number), Place: o.Before.Place}
			if !o.Before.Asking.IsZero() {
				was.Asking = o.Before.Asking.Amount() + " " + string(o.Before.Asking.Currency())
			}
			out = append(out, was)
		}
	}
	return out
}

// undoMany puts back what stood before a change of several watches.
func (s *stockPages) undoMany(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	if err := r.ParseForm(); err != nil {
		return err
	}
	d := stock.Done{Frame: s.frame("stock", "Several watches"), Back: "/"}
	places, asked := r.PostForm["place"], r.PostForm["asking"]
	for i, n := range r.PostForm["no"] {
		if i >= len(places) || i >= len(asked) || i >= trade.MostAtOnce {
			break
		}
		now, err := s.shop.Find(ctx, "#"+n)
		if err != nil {
			return err
		}
		was := now
		was.Place = places[i]
		if amount, currency, ok := strings.Cut(asked[i], " "); ok {
			if was.Asking, err = money.Parse(amount, currency); err != nil {
				return &shop.Invalid{What: "undo", Problems: evidence.Problems{{Field: "asking",
					Found: strconv.Quote(asked[i]), Want: "an amount such as 9500.00 EUR"}}}
			}
		}
		kept, err := s.shop.Trade.Change(ctx, was)
		if err != nil {
			return err
		}
		d.Outcomes = append(d.Outcomes, trade.Outcome{Before: now, Watch: kept})
	}
	return stock.DonePage(d).Render(ctx, w)
}

// printStock shows watches as labels or as lines to tick off, for paper.
func (s *stockPages) labels(w http.ResponseWriter, r *http.Request) error {
	return s.printStock(w, r, true)
}

func (s *stockPages) printedList(w http.ResponseWriter, r *http.Request) error {
	return s.printStock(w, r, false)
}

func (s *stockPages) printStock(w http.ResponseWriter, r *http.Request, labels bool) error {
	l, err := s.listed(r)
	if err != nil {
		return err
	}
	d := stock.Print{Frame: s.frame("stock", "Stock to print"), Rows: l.rows, Labels: labels,
		Day: wording.DayOf(r.Context(), s.shop.Now()), Totals: stock.Sum(r.Context(), l.rows, s.shop.Currency())}
	set, err := s.shop.Settings(r.Context())
	if err != nil {
		return err
	}
	d.Words, _ = say.In(say.LanguageOf(r.FormValue("language"), set.Locale))
	letter, err := s.shop.Letterhead(r.Context())
	if err != nil {
		return err
	}
	d.Code = labelCode(cmp.Or(letter.CheckedAt, s.opt.Address))
	return stock.PrintPage(d).Render(r.Context(), w)
}

// labelCode gives the square code of a label: it opens the watch's file where the shop is served.
func labelCode(at string) func(shop.WatchID) string {
	return func(id shop.WatchID) string {
		c, err := squarecode.Encode(at + "/watches/" + url.PathEscape(string(id)))
		if err != nil {
			return ""
		}
		return c.SVG("opens the file of this watch")
	}
}
