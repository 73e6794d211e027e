package web

import (
	"errors"
	"net/http"
	"strconv"
	"strings"
	"time"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/web/pages/life"
	"midcase/internal/web/pages/whole"
	"midcase/internal/web/pages/wording"
	"midcase/opinion"
)

// whole serves the page of the whole stock.
func (s *Server) whole(mux *http.ServeMux) {
	mux.Handle("GET /stock/whole", s.page(s.wholePage))
}

const usualMonths = 12

// wholeWait is how long the page waits for a stock that has to be valued first.
const wholeWait = 3 * time.Second

func (s *Server) wholePage(w http.ResponseWriter, r *http.Request) error {
	months, falls, values, problems := wholeAsked(r)
	d := whole.Data{Frame: s.frame("stock", "The whole stock"), Wrong: len(problems) > 0}
	worth, valued, ready, err := s.shop.StockWorthSoon(r.Context(), s.shop.Now(), months, falls, wholeWait)
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
		problems = append(problems, evidence.Problem{Field: "metal", Found: strconv.Quote(values["metal"]), Want: "a metal of which sales are on record, such as gold18"})
		d.Wrong = true
		if worth, err = s.shop.StockWorth(r.Context(), s.shop.Now(), months, nil); err != nil {
			return err
		}
		d.Worth = &worth
	case err != nil:
		return err
	default:
		d.Worth = &worth
	}
	d.Groups, _ = life.Fill(wholeFields(), values, problems)
	if d.Wrong {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	return whole.Page(d).Render(r.Context(), w)
}

func wholeFields() []life.Inputs {
	return []life.Inputs{{Fields: []life.Field{{Name: "months", Label: "Months ahead that prices may move", Kind: "number"},
		{Name: "metal", Label: "A fall of the premium of", Hint: "such as gold18; empty: each dearer metal in stock"}, {Name: "by", Label: "by, % of the premium", Kind: "number"}}}}
}

// wholeAsked reads the assumptions of the address.
func wholeAsked(r *http.Request) (months float64, falls []opinion.MetalFall, values map[string]string, p evidence.Problems) {
	months, by := usualMonths, 20.0
	values = map[string]string{"months": strconv.Itoa(usualMonths), "by": "20", "metal": strings.TrimSpace(r.FormValue("metal"))}
	for _, x := range []struct {
		name      string
		low, high float64
		into      *float64
	}{{"months", 0, 120, &months}, {"by", 0.1, 100, &by}} {
		text := strings.TrimSpace(r.FormValue(x.name))
		if text == "" {
			continue
		}
		values[x.name] = text
		plain, err := wording.ReaderOf(r.Context()).Locale.Measure(text)
		v := 0.0
		if err == nil {
			v, err = strconv.ParseFloat(plain, 64)
		}
		if err != nil || !(v >= x.low && v <= x.high) {
			p = append(p, evidence.Problem{Field: x.name, Found: strconv.Quote(text), Want: "a number from " + number(x.low) + " to " + number(x.high)})
			continue
		}
		*x.into = v
	}
	if values["metal"] != "" && len(p) == 0 {
		falls = []opinion.MetalFall{{Metal: values["metal"], By: by / 100}}
	}
	return months, falls, values, p
}
