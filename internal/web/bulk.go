package web

import (
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/trade"
	"midcase/internal/web/pages/stock"
	"midcase/internal/web/pages/wording"
	"midcase/money"
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
	change, err := bulkOf(r)
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

// bulkOf reads the one change that the button pressed stands for.
func bulkOf(r *http.Request) (trade.Bulk, error) {
	wrong := func(field, want string) error {
		return &shop.Invalid{What: "change several watches", Problems: evidence.Problems{{Field: field,
			Found: strconv.Quote(r.PostFormValue(field)), Want: want}}}
	}
	switch r.PostFormValue("do") {
	case "place":
		if place := strings.TrimSpace(r.PostFormValue("place")); place != "" {
			return trade.Bulk{Place: place}, nil
		}
		return trade.Bulk{}, wrong("place", "a place, such as safe, tray 3")
	case "state":
		state := shop.State(r.PostFormValue("state"))
		if slices.Contains(shop.States(), state) {
			return trade.Bulk{State: state}, nil
		}
		return trade.Bulk{}, wrong("state", "a state")
	case "percent":
		text, err := wording.ReaderOf(r.Context()).Locale.ReadMeasure(strings.TrimSuffix(strings.TrimSpace(r.PostFormValue("percent")), "%"))
		if v, wrong := strconv.ParseFloat(text, 64); err == nil && wrong == nil && v != 0 {
			return trade.Bulk{Percent: v}, nil
		}
		return trade.Bulk{}, wrong("percent", "a percentage such as 5 or −10")
	}
	return trade.Bulk{}, wrong("do", "place, state, percent, labels, list or csv")
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
	return stock.PrintPage(d).Render(r.Context(), w)
}
