package people

import (
	"context"
	"slices"
	"strings"
	"time"

	"midcase/internal/shop"
)

// Line is a client as the list shows one.
type Line struct {
	Client shop.Client
	Last   time.Time    // when something last passed between the two; zero: never
	Bought []shop.Watch // of the shop's, still on record as sold to them
}

// Lines lists the clients whose name, address, number, place, note or wants hold all words
// of a text, by name. Those whose data were erased are left out. That they were listed is
// logged.
func (r *Room) Lines(ctx context.Context, text string) ([]Line, error) {
	all, err := r.All(ctx)
	if err != nil {
		return nil, err
	}
	sold, err := r.soldTo(ctx)
	if err != nil {
		return nil, err
	}
	p, err := r.whatPassed(ctx)
	if err != nil {
		return nil, err
	}
	words := strings.Fields(strings.ToLower(text))
	var found []Line
	for _, c := range all {
		if c.Erased.IsZero() && holds(c, words) {
			found = append(found, Line{Client: c, Bought: sold[c.ID], Last: p.with(c.ID, "").Last})
		}
	}
	return found, nil
}

// holds reports whether a client's record holds all words, written in lower case.
func holds(c shop.Client, words []string) bool {
	if len(words) == 0 {
		return true
	}
	parts := []string{c.Name, c.Email, c.Phone, c.Country, c.Address.City, c.Note, c.ID}
	for _, x := range c.Channels {
		parts = append(parts, x.Value)
	}
	for _, w := range c.Wants {
		parts = append(parts, w.Maker, w.Family, w.Reference, w.Metal, w.Dial, w.Note)
	}
	have := strings.ToLower(strings.Join(parts, "\n"))
	return !slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(have, w) })
}

// soldTo are the watches sold to each client.
func (r *Room) soldTo(ctx context.Context) (map[string][]shop.Watch, error) {
	stock, err := r.shop.StockList(ctx)
	if err != nil {
		return nil, err
	}
	out := map[string][]shop.Watch{}
	for _, w := range stock {
		if w.State == shop.Sold && w.Client != "" {
			out[w.Client] = append(out[w.Client], w)
		}
	}
	return out, nil
}

// BoughtBy lists the watches sold to a client, by file number.
func (r *Room) BoughtBy(ctx context.Context, client string) ([]shop.Watch, error) {
	sold, err := r.soldTo(ctx)
	return sold[client], err
}
