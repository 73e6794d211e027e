package trade

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"midcase/internal/shop"
	"midcase/money"
)

// MostAtOnce is how many watches are changed in one go.
const MostAtOnce = 500

// Bulk is one change of several watches. Zero fields do not change anything.
type Bulk struct {
	Place   string
	State   shop.State
	Percent float64 // by which what the shop asks is raised; below 0 lowered
}

// Outcome is what became of one watch of a bulk change.
type Outcome struct {
	Watch  shop.Watch // as it is now
	Before shop.Watch // as it was
	Failed string     // why it was not changed; empty where it was
}

// ChangeMany makes one change to several watches, each by itself: what is refused for
// one is told and leaves the others changed.
func (r *Room) ChangeMany(ctx context.Context, ids []shop.WatchID, b Bulk) ([]Outcome, error) {
	const what = "change several watches"
	switch {
	case len(ids) == 0:
		return nil, shop.Refuse(what, "watches", "none chosen", "one or more watches of the list")
	case len(ids) > MostAtOnce:
		return nil, shop.Refuse(what, "watches", strconv.Itoa(len(ids))+" watches",
			fmt.Sprintf("at most %d at once; narrow the list", MostAtOnce))
	case strings.TrimSpace(b.Place) == "" && b.State == "" && b.Percent == 0:
		return nil, shop.Refuse(what, "change", "nothing", "a place, a state or a percentage")
	case math.IsNaN(b.Percent) || b.Percent < -90 || b.Percent > 300:
		return nil, shop.Refuse(what, "percent", fmt.Sprint(b.Percent), "a percentage from −90 to 300")
	}
	out := make([]Outcome, 0, len(ids))
	for _, id := range ids {
		o, err := r.changeOne(ctx, id, b)
		if err != nil {
			return out, err
		}
		out = append(out, o)
	}
	return out, nil
}

// changeOne changes one watch; what stands in the way of it alone is in the outcome.
func (r *Room) changeOne(ctx context.Context, id shop.WatchID, b Bulk) (Outcome, error) {
	before, err := r.stores.Watches.Watch(ctx, id)
	if err != nil {
		return Outcome{}, fmt.Errorf("change watch %s: %w", id, err)
	}
	o := Outcome{Before: before, Watch: before}
	w := before
	if place := strings.TrimSpace(b.Place); place != "" {
		w.Place = place
	}
	if b.State != "" {
		w.State = b.State
	}
	if b.Percent != 0 {
		if w.Asking.IsZero() {
			o.Failed = "nothing is asked for it yet"
			return o, nil
		}
		if w.Asking, err = raised(w.Asking, b.Percent); err != nil {
			return Outcome{}, err
		}
	}
	if w == before {
		return o, nil
	}
	w, err = r.Change(ctx, w)
	var refused *shop.Invalid
	switch {
	case errors.As(err, &refused):
		o.Failed = refused.Error()
	case errors.Is(err, shop.ErrConflict):
		o.Failed = "somebody else changed it at the same moment"
	case err != nil:
		return Outcome{}, err
	default:
		o.Watch = w
	}
	return o, nil
}

// raised is a price changed by a percentage and rounded as prices are asked: to tens
// from 1,000 on, to whole units below.
func raised(m money.Money, percent float64) (money.Money, error) {
	v := m.Float() * (1 + percent/100)
	step := 1.0
	if v >= 1000 {
		step = 10
	}
	return money.Round(math.Max(step, math.Round(v/step)*step), m.Currency())
}
