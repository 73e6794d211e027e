package web

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"midcase/edtf"
	"midcase/internal/shop"
	"midcase/internal/shop/desk"
	"midcase/internal/web/pages/stock"
	"midcase/money"
	"midcase/typed"
)

// stockPages list the stock, value the whole of it and change many watches at once.
type stockPages struct{ *site }

func (s *stockPages) routes(mux *http.ServeMux) {
	mux.Handle("GET /{$}", s.page(s.stockPage))
	mux.Handle("GET /stock.csv", s.page(s.stockCSV))
	mux.Handle("POST /views", s.page(s.saveView))
	mux.Handle("GET /stock/whole", s.page(s.wholePage))
	mux.Handle("POST /stock/bulk", s.page(s.changeMany))
	mux.Handle("POST /stock/undo", s.page(s.undoMany))
	mux.Handle("GET /stock/labels", s.page(s.labels))
	mux.Handle("GET /stock/list", s.page(s.printedList))
}

// choice reads what the list is to be narrowed to.
func choice(r *http.Request) (stock.Choice, error) {
	if err := r.ParseForm(); err != nil {
		return stock.Choice{}, err
	}
	c := stock.Choice{Filter: desk.FilterOf(r.Form), Text: r.FormValue("q"), Metal: r.FormValue("metal"),
		Age: r.FormValue("age"), Todo: r.FormValue("todo")}
	if c.State != "" && !slices.Contains(shop.States(), c.State) {
		return c, fmt.Errorf("state %q: %w", c.State, shop.ErrNotFound)
	}
	return c, nil
}

// listing is the stock as a request asks for it.
type listing struct {
	choice  stock.Choice
	sought  desk.Sought
	rows    []desk.Brief // that pass the choice, in their order
	all     []desk.Brief
	forming int // opinions being formed anew
}

// listed lists the watches of a choice in their order. Where file numbers are named, it
// is those alone.
func (s *stockPages) listed(r *http.Request) (l listing, err error) {
	ctx := r.Context()
	if l.choice, err = choice(r); err != nil {
		return l, err
	}
	if l.all, l.forming, err = s.shop.Desk.Overview(ctx); err != nil {
		return l, err
	}
	l.all = desk.Seen(ctx, l.all)
	l.rows = l.all
	if text := r.FormValue("only"); text != "" {
		only := map[string]bool{}
		for _, n := range strings.Split(text, ",") {
			only[n] = true
		}
		l.rows = slices.DeleteFunc(slices.Clone(l.rows),
			func(b desk.Brief) bool { return !only[strconv.Itoa(b.Watch.Number)] })
	}
	if l.sought, err = s.shop.Desk.Search(ctx, l.rows, l.choice.Text); err != nil {
		return l, err
	}
	l.rows = l.choice.Narrow(l.sought.Rows, s.shop.Book(r.Context()), s.shop.Now())
	stock.Sort(l.rows, r.FormValue("sort"))
	return l, nil
}

func (s *stockPages) stockPage(w http.ResponseWriter, r *http.Request) error {
	l, err := s.listed(r)
	if err != nil {
		return err
	}
	d, err := s.stockData(r, l)
	if err != nil {
		return err
	}
	return stock.Page(d).Render(r.Context(), w)
}

func (s *stockPages) stockData(r *http.Request, l listing) (stock.Data, error) {
	ctx := r.Context()
	d := stock.Data{Frame: s.frameOf(ctx, "stock", "Stock", stockNow), Choice: l.choice, Sought: l.sought,
		Known: stock.Offer(l.all, s.shop.Book(r.Context())).Of(l.choice), Sort: r.FormValue("sort"),
		Totals: stock.Sum(ctx, l.rows, s.shop.Currency()), Tasks: stock.Due(l.all,
			s.shop.Now()), Forming: l.forming, All: r.FormValue("all") != "",
		Page: 1, Pages: (len(l.rows) + stock.PageRows - 1) / stock.PageRows}
	var err error
	if d.Views, err = s.shop.Desk.Views(ctx); err != nil {
		return d, err
	}
	overdue, today, _, err := s.shop.Desk.Agenda(ctx)
	if err != nil {
		return d, err
	}
	if len(l.all) == 0 {
		if d.New, err = s.shop.Empty(ctx); err != nil {
			return d, err
		}
	}
	d.Overdue, d.DueToday = len(overdue), len(today)
	if s.opt.BackedUp != nil {
		d.BackedUp = s.opt.BackedUp()
	}
	d.NoSheet = s.opt.Care.SheetToPrint != nil && s.opt.Care.SheetToPrint()
	if n, err := strconv.Atoi(r.FormValue("page")); err == nil && n > 1 {
		d.Page = n
	}
	first := min(len(l.rows), (d.Page-1)*stock.PageRows)
	d.Rows = l.rows[first:min(len(l.rows), first+stock.PageRows)]
	d.Frame.Query, d.Bulk = l.choice.Text, bulkFields(ctx, len(l.rows))
	return d, nil
}

// saveView names the view of the list that the query stands for, or forgets a name.
func (s *stockPages) saveView(w http.ResponseWriter, r *http.Request) error {
	v := desk.View{Name: r.FormValue("name"), Query: r.PostFormValue("query"), Mine: r.PostFormValue("for") == "me"}
	if q, err := url.ParseQuery(v.Query); err == nil {
		v.Query = q.Encode()
	}
	if err := s.shop.Desk.SaveView(r.Context(), v); err != nil {
		return err
	}
	to := "/"
	if v.Query != "" {
		to += "?" + v.Query
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
	return nil
}

func (s *stockPages) stockCSV(w http.ResponseWriter, r *http.Request) error {
	l, err := s.listed(r)
	if err != nil {
		return err
	}
	set, err := s.shop.KeptSettings(r.Context())
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/csv; charset=utf-8")
	w.Header().Set("Content-Disposition", `attachment; filename="stock.csv"`)
	out := typed.NewSheet(w)
	_ = out.Write([]string{"number", "title", "maker", "reference", "serial", "state", "place", "made", "grade",
		"value_median", "value_low_80", "value_high_80", "value_currency", "cost", "cost_currency", "asking",
		"asking_currency"})
	for _, b := range l.rows {
		median, low, high, in := "", "", "", ""
		if b.Median != nil {
			median, low, high = fmt.Sprintf("%.2f", *b.Median), fmt.Sprintf("%.2f", b.Low), fmt.Sprintf("%.2f", b.High)
			in = string(set.Currency)
		}
		grade := ""
		if b.Grade != nil {
			grade = fmt.Sprintf("%.1f", *b.Grade)
		}
		_ = out.Write([]string{fmt.Sprint(b.Watch.Number), b.Watch.Title, b.Watch.Maker, b.Watch.Reference, b.Watch.Serial, string(b.Watch.State), b.Watch.Place, edtf.Shortest(b.Made), grade,
			median, low, high, in, csvMoney(b.Watch.Cost), string(b.Watch.Cost.Currency()), csvMoney(b.Watch.Asking),
			string(b.Watch.Asking.Currency())})
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
