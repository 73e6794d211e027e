package shop

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
)

// View is a way to look at the stock that was given a name: Query is the query string
// of the list's address.
type View struct {
	Name  string `json:"name"`
	Query string `json:"query"`
}

const (
	viewsName  = "stock views"
	mostViews  = 40
	longestKey = 60
)

// Views lists the saved views by name.
func (s *Shop) Views(ctx context.Context) ([]View, error) {
	text, err := s.stores.Settings.Setting(ctx, viewsName)
	if errors.Is(err, ErrNotFound) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("views: %w", err)
	}
	var out []View
	if err := json.Unmarshal([]byte(text), &out); err != nil {
		return nil, fmt.Errorf("views are damaged: %w", err)
	}
	return out, nil
}

// SaveView keeps a view under its name, in place of an older one of that name; with
// an empty query the name is forgotten.
func (s *Shop) SaveView(ctx context.Context, v View) error {
	v.Name = strings.TrimSpace(v.Name)
	if v.Name == "" || len(v.Name) > longestKey {
		return invalid("save a view", "name", fmt.Sprintf("%q", v.Name), fmt.Sprintf("a name of 1 to %d bytes", longestKey))
	}
	views, err := s.Views(ctx)
	if err != nil {
		return err
	}
	views = slices.DeleteFunc(views, func(o View) bool { return o.Name == v.Name })
	if v.Query != "" {
		views = append(views, v)
	}
	if len(views) > mostViews {
		return invalid("save a view", "name", fmt.Sprintf("%d views", len(views)), fmt.Sprintf("at most %d; forget one first", mostViews))
	}
	slices.SortFunc(views, func(a, b View) int { return strings.Compare(a.Name, b.Name) })
	b, err := json.Marshal(views)
	if err != nil {
		return fmt.Errorf("views: %w", err)
	}
	if err := s.stores.Settings.SetSetting(ctx, viewsName, string(b)); err != nil {
		return fmt.Errorf("views: %w", err)
	}
	return nil
}
