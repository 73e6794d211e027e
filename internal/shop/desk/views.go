package desk

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"midcase/internal/shop"
)

// View is a way to look at the stock that was given a name: Query is the query string
// of the list's address.
type View struct {
	Name  string `json:"name"`
	Query string `json:"query"`
}

const (
	viewsName   = "stock views"
	maxViews    = 40
	maxViewName = 60
)

// Views lists the saved views by name.
func (r *Room) Views(ctx context.Context) ([]View, error) {
	var out []View
	_, err := r.shop.ReadSetting(ctx, viewsName, "views", &out)
	return out, err
}

// SaveView keeps a view under its name, in place of an older one of that name; with
// an empty query the name is forgotten.
func (r *Room) SaveView(ctx context.Context, v View) error {
	v.Name = strings.TrimSpace(v.Name)
	if v.Name == "" || len(v.Name) > maxViewName {
		return shop.Refuse("save a view", "name", fmt.Sprintf("%q", v.Name),
			fmt.Sprintf("a name of 1 to %d bytes", maxViewName))
	}
	var views []View
	return r.shop.ChangeSetting(ctx, viewsName, "views", &views, func() error {
		views = slices.DeleteFunc(views, func(o View) bool { return o.Name == v.Name })
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
