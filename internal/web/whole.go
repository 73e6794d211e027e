package web

import (
	"errors"
	"net/http"
	"time"

	"midcase/internal/shop"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/whole"
	"midcase/opinion"
)

const usualMonths = 12

// wholeWait is how long the page waits for a stock that has to be valued first.
const wholeWait = 3 * time.Second

func (s *stockPages) wholePage(w http.ResponseWriter, r *http.Request) error {
	f, err := assuming.Read(r, assumption{Months: usualMonths, By: 0.2})
	if err != nil {
		return err
	}
	months, falls := f.V.asked(f.OK())
	d := whole.Data{Frame: s.frame("stock", "The whole stock"), Form: &f.View}
	worth, valued, ready, err := s.shop.Desk.StockWorthSoon(r.Context(), s.shop.Now(), months, falls, wholeWait)
	if err == nil && !ready {
		w.Header().Set("Refresh", "2")
		w.Header().Set("Cache-Control", "no-store")
		d.Valued = valued
		d.Valuing = true
		return whole.Page(d).Render(r.Context(), w)
	}
	switch {
	case errors.Is(err, shop.ErrNotFound):
		d.Why = err.Error()
	case err != nil && len(falls) > 0: // a metal that no sale is of
		f.Wrong(&f.V.Metal, "No sales of “"+f.V.Metal+"” are on record. Enter another metal, for example gold18.")
		if worth, err = s.shop.Desk.StockWorth(r.Context(), s.shop.Now(), months, nil); err != nil {
			return err
		}
		d.Worth = &worth
	case err != nil:
		return err
	default:
		d.Worth = &worth
	}
	if !f.OK() {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	return whole.Page(d).Render(r.Context(), w)
}

// assumption is what the page assumes of prices.
type assumption struct {
	Months float64 `form:"months,zero,keep" label:"Months ahead that prices may move" min:"0" max:"120"`
	Metal  string  `form:"metal" label:"Fall of the premium of" hint:"such as gold18; leave empty for each dearer metal in stock"`
	By     float64 `form:"by,keep" label:"by" unit:"% of the premium" min:"0.1" max:"100"`
}

var assuming = form.Define[assumption]("whole stock")

// asked are the assumptions to compute with: the usual ones where those typed cannot be read.
func (a assumption) asked(ok bool) (months float64, falls []opinion.MetalFall) {
	if !ok {
		return usualMonths, nil
	}
	if a.Metal != "" {
		falls = []opinion.MetalFall{{Metal: a.Metal, By: a.By}}
	}
	return a.Months, falls
}
