package web

import (
	"encoding/csv"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"

	"midcase/internal/shop"
	"midcase/internal/web/pages/frame"
	"midcase/internal/web/pages/stock"
	"midcase/internal/web/pages/wording"
	"midcase/money"
)

func (s *Server) frame(place, title string) frame.Data {
	return frame.Data{Shop: s.shop.Name(), Title: title, Place: place}
}

func (s *Server) nowhere(http.ResponseWriter, *http.Request) error {
	return fmt.Errorf("page: %w", shop.ErrNotFound)
}

// choice reads what the list is to be narrowed to.
func choice(r *http.Request) (stock.Choice, error) {
	c := stock.Choice{Text: r.FormValue("q"), State: shop.State(r.FormValue("state")), Maker: r.FormValue("maker"), Reference: r.FormValue("reference"),
		Metal: r.FormValue("metal"), Place: r.FormValue("place"), Age: r.FormValue("age"), Todo: r.FormValue("todo")}
	if c.State != "" && !slices.Contains(shop.States(), c.State) {
		return c, fmt.Errorf("state %q: %w", c.State, shop.ErrNotFound)
	}
	return c, nil
}

// rows lists the watches of a choice in their order, and all watches beside.
func (s *Server) rows(r *http.Request) (rows, all []shop.Brief, c stock.Choice, err error) {
	ctx := r.Context()
	if c, err = choice(r); err != nil {
		return nil, nil, c, err
	}
	if all, err = s.shop.Briefs(ctx, shop.Filter{}); err != nil {
		return nil, nil, c, err
	}
	rows = slices.Clone(all)
	if f := c.Filter(); f != (shop.Filter{}) {
		found, err := s.shop.Watches(ctx, f)
		if err != nil {
			return nil, nil, c, err
		}
		keep := map[shop.WatchID]bool{}
		for _, w := range found {
			keep[w.ID] = true
		}
		rows = slices.DeleteFunc(rows, func(b shop.Brief) bool { return !keep[b.Watch.ID] })
	}
	rows = c.Narrow(rows, s.shop.Book(), s.shop.Now())
	stock.Sort(rows, r.FormValue("sort"))
	return rows, all, c, nil
}

func (s *Server) stockPage(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	rows, all, c, err := s.rows(r)
	if err != nil {
		return err
	}
	views, err := s.shop.Views(ctx)
	if err != nil {
		return err
	}
	d := stock.Data{Frame: s.frame("stock", "Stock"), Choice: c, Known: stock.Offer(all, s.shop.Book()), Sort: r.FormValue("sort"), Totals: s.totals(rows),
		Tasks: stock.Due(all, s.shop.Now()), Views: views, Page: 1, Pages: (len(rows) + stock.PageRows - 1) / stock.PageRows}
	if n, err := strconv.Atoi(r.FormValue("page")); err == nil && n > 1 {
		d.Page = n
	}
	first := min(len(rows), (d.Page-1)*stock.PageRows)
	d.Rows = rows[first:min(len(rows), first+stock.PageRows)]
	d.Frame.Query = c.Text
	return stock.Page(d).Render(ctx, w)
}

// saveView names the view of the list that the query stands for, or forgets a name.
func (s *Server) saveView(w http.ResponseWriter, r *http.Request) error {
	v := shop.View{Name: r.FormValue("name"), Query: r.PostFormValue("query")}
	if q, err := url.ParseQuery(v.Query); err == nil {
		v.Query = q.Encode()
	}
	if err := s.shop.SaveView(r.Context(), v); err != nil {
		return err
	}
	to := "/"
	if v.Query != "" {
		to += "?" + v.Query
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
	return nil
}

// totals sums costs exactly in the shop's currency; costs in others are left out of
// the sum and show in the rows.
func (s *Server) totals(rows []shop.Brief) stock.Totals {
	t := stock.Totals{Watches: len(rows)}
	var cost money.Money
	median := 0.0
	for _, b := range rows {
		if b.Watch.Cost.Currency() == s.shop.Currency() {
			if sum, err := cost.Add(b.Watch.Cost); err == nil {
				cost = sum
			}
		}
		if b.Median != nil {
			median += *b.Median
		} else {
			t.NotValued++
		}
	}
	if !cost.IsZero() {
		t.Cost = wording.Money(cost)
	}
	if median > 0 {
		t.Median = wording.Amount(median) + "\u00a0" + string(s.shop.Currency())
	}
	return t
}

func (s *Server) stockCSV(w http.ResponseWriter, r *http.Request) error {
	rows, _, _, err := s.rows(r)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/csv; charset=utf-8")
	w.Header().Set("Content-Disposition", `attachment; filename="stock.csv"`)
	out := csv.NewWriter(w)
	_ = out.Write([]string{"number", "title", "maker", "reference", "serial", "state", "place", "made", "grade", "value_median", "value_low_80", "value_high_80", "cost", "asking", "currency"})
	for _, b := range rows {
		median, low, high := "", "", ""
		if b.Median != nil {
			median, low, high = fmt.Sprintf("%.2f", *b.Median), fmt.Sprintf("%.2f", b.Low), fmt.Sprintf("%.2f", b.High)
		}
		grade := ""
		if b.Grade != nil {
			grade = fmt.Sprintf("%.1f", *b.Grade)
		}
		_ = out.Write([]string{fmt.Sprint(b.Watch.Number), csvText(b.Watch.Title), csvText(b.Watch.Maker), csvText(b.Watch.Reference), csvText(b.Watch.Serial), string(b.Watch.State), csvText(b.Watch.Place), b.Made, grade,
			median, low, high, csvMoney(b.Watch.Cost), csvMoney(b.Watch.Asking), string(s.shop.Currency())})
	}
	out.Flush()
	return out.Error()
}

func csvMoney(m money.Money) string {
	if m.IsZero() {
		return ""
	}
	return m.Amount()
}

// csvText keeps text from being read as a formula by a spreadsheet.
func csvText(s string) string {
	if s != "" && (s[0] == '=' || s[0] == '+' || s[0] == '-' || s[0] == '@') {
		return "'" + s
	}
	return s
}
