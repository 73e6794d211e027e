package desk

import (
	"context"
	"fmt"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"midcase/evidence"
	"midcase/internal/shop"
)

// View is a way to look at the stock that was given a name: the query string of the list's address, which is
// what is kept, and the search that it holds.
type View struct {
	Name  string `json:"name"`
	Query string `json:"query"`
	By    string `json:"by,omitempty"` // whose alone it is; empty for the whole shop's

	Mine   bool   `json:"-"` // to be kept for whoever saves it
	Text   string `json:"-"`
	Filter Filter `json:"-"`
}

const (
	viewsName   = "stock views"
	maxViews    = 400
	maxViewName = 60
)

// Views lists the saved searches of the shop and of whoever asks, by name.
func (r *Room) Views(ctx context.Context) ([]View, error) {
	var all []View
	_, err := r.shop.ReadSetting(ctx, viewsName, "views", &all)
	me := shop.User(ctx)
	return slices.DeleteFunc(all, func(v View) bool { return v.By != "" && v.By != me }), err
}

// SavedView is a saved search by its name; one's own goes before the shop's.
func (r *Room) SavedView(ctx context.Context, name string) (View, error) {
	all, err := r.Views(ctx)
	if err != nil {
		return View{}, err
	}
	var found *View
	names := make([]string, len(all))
	for i := range all {
		names[i] = all[i].Name
		if strings.EqualFold(all[i].Name, name) && (found == nil || all[i].By != "") {
			found = &all[i]
		}
	}
	if found == nil {
		return View{}, shop.Refuse("saved search", "name", strconv.Quote(name), "one of: "+strings.Join(names, ", "))
	}
	found.read()
	return *found, nil
}

// SaveView keeps a search under its name, in place of an older one of that name and owner; with an empty query
// the name is forgotten.
func (r *Room) SaveView(ctx context.Context, v View) error {
	v.Name = strings.TrimSpace(v.Name)
	if v.Name == "" || len(v.Name) > maxViewName {
		return shop.Refuse("save a view", "name", fmt.Sprintf("%q", v.Name),
			fmt.Sprintf("a name of 1 to %d bytes", maxViewName))
	}
	if v.Query == "" {
		v.Query = v.Filter.query(v.Text).Encode()
	}
	if v.Mine {
		v.By = shop.User(ctx)
	}
	var views []View
	return r.shop.ChangeSetting(ctx, viewsName, "views", &views, func() error {
		views = slices.DeleteFunc(views, func(o View) bool { return o.Name == v.Name && o.By == v.By })
		if v.Query != "" {
			views = append(views, v)
		}
		if len(views) > maxViews {
			return shop.Refuse("save a view", "name", fmt.Sprintf("%d views", len(views)),
				fmt.Sprintf("at most %d; forget one first", maxViews))
		}
		slices.SortFunc(views, func(a, b View) int { return strings.Compare(a.Name, b.Name) })
		return nil
	})
}

// query is a search as the list's address has it.
func (f Filter) query(text string) url.Values {
	v := url.Values{}
	for name, value := range map[string]string{"q": text, "state": string(f.State), "maker": f.Maker,
		"reference": f.Reference, "place": f.Place, "part": string(f.Part), "judged": f.Judged,
		"made-from": figureText(float64(f.MadeFrom)), "made-to": figureText(float64(f.MadeTo)),
		"price-from": figureText(f.PriceFrom), "price-to": figureText(f.PriceTo),
		"grade-from": figureText(f.GradeFrom), "grade-to": figureText(f.GradeTo)} {
		if value != "" {
			v.Set(name, value)
		}
	}
	return v
}

func figureText(v float64) string {
	if v == 0 {
		return ""
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// FilterOf reads a filter from a query; what is no figure does not narrow.
func FilterOf(v url.Values) Filter {
	year := func(name string) int { n, _ := strconv.Atoi(v.Get(name)); return n }
	figure := func(name string) float64 {
		x, _ := searchAmount(strings.ToLower(strings.ReplaceAll(v.Get(name), " ", "")))
		return x
	}
	return Filter{State: shop.State(v.Get("state")), Maker: v.Get("maker"), Reference: v.Get("reference"),
		Place: v.Get("place"), Part: evidence.Slot(v.Get("part")), Judged: v.Get("judged"),
		MadeFrom: year("made-from"), MadeTo: year("made-to"), PriceFrom: figure("price-from"), PriceTo: figure("price-to"),
		GradeFrom: figure("grade-from"), GradeTo: figure("grade-to")}
}

// Query is the filter as a query.
func (f Filter) Query() url.Values { return f.query("") }

// read takes the search out of the query that is kept.
func (v *View) read() {
	q, err := url.ParseQuery(v.Query)
	if err != nil {
		return
	}
	v.Text, v.Filter = q.Get("q"), FilterOf(q)
}
