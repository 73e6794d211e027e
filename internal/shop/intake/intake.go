package intake

import (
	"context"
	"fmt"
	"strings"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/money"
)

// Arrival is what is known when a watch comes in.
type Arrival struct {
	ID        shop.WatchID // a new one where empty
	Maker     string
	Reference string
	Serial    string
	State     shop.State // Offered where empty
	Place     string
	Cost      money.Money
	Asked     money.Money
	Asking    money.Money
	Acquired  edtf.Date
	Client    string
	Note      string
	Evidence  []evidence.Item // already made items, such as from a watch file
}

// TakeIn opens a watch file. A serial number given becomes its first mark; an asked
// price becomes a claim.
func (r *Room) TakeIn(ctx context.Context, in Arrival, by string) (shop.Watch, error) {
	w, items, err := r.arrived(ctx, in, by)
	if err != nil {
		return shop.Watch{}, err
	}
	return r.open(ctx, w, items)
}

// TakeInHeld is TakeIn where nothing is odd about what is known. Where something is, it
// returns a *Doubtful and opens no file, unless a reason is given; that stands beside what
// was odd then.
func (r *Room) TakeInHeld(ctx context.Context, in Arrival, reason, by string) (shop.Watch, error) {
	w, items, err := r.arrived(ctx, in, by)
	if err != nil {
		return shop.Watch{}, err
	}
	h, err := r.Holder(ctx)
	if err != nil {
		return shop.Watch{}, err
	}
	odd := &Doubtful{What: "take in a watch", Doubts: h.First(w, items, reason)}
	if len(odd.Doubts) > 0 && strings.TrimSpace(reason) == "" {
		return shop.Watch{}, odd
	}
	for _, it := range items {
		if p := it.Check(r.shop.Now()); len(p) > 0 {
			return shop.Watch{}, &shop.Invalid{What: odd.What, Problems: p}
		}
	}
	return r.open(ctx, w, items)
}

func (r *Room) open(ctx context.Context, w shop.Watch, items []evidence.Item) (shop.Watch, error) {
	kept, err := r.stores.Watches.CreateWatch(ctx, w, items...)
	if err != nil {
		return shop.Watch{}, fmt.Errorf("take in %s: %w", w.Title, err)
	}
	return kept, nil
}

// arrived is the record of a watch that comes in, and its first evidence.
func (r *Room) arrived(ctx context.Context, in Arrival, by string) (shop.Watch, []evidence.Item, error) {
	var p evidence.Problems
	if strings.TrimSpace(in.Maker) == "" {
		p = append(p, evidence.Problem{Field: "maker", Found: "nothing", Want: "the maker"})
	}
	if strings.TrimSpace(in.Reference) == "" {
		p = append(p, evidence.Problem{Field: "reference", Found: "nothing", Want: "the reference number, or unknown"})
	}
	if len(p) > 0 {
		return shop.Watch{}, nil, &shop.Invalid{What: "take in a watch", Problems: p}
	}
	if in.State == "" {
		in.State = shop.Offered
	}
	now := r.shop.Now()
	if in.ID == "" {
		in.ID = shop.WatchID(r.shop.NewID("w"))
	}
	w := shop.Watch{
		ID: in.ID, Maker: strings.TrimSpace(in.Maker), Reference: strings.TrimSpace(in.Reference), Serial: strings.TrimSpace(in.Serial),
		State: in.State, Place: in.Place, Cost: in.Cost, Asked: in.Asked, Asking: in.Asking, Acquired: in.Acquired, Client: in.Client, Note: in.Note,
		Created: now, Changed: now,
	}
	r.title(ctx, &w)
	items := append([]evidence.Item(nil), in.Evidence...)
	var first []evidence.Data
	if w.Serial != "" && len(in.Evidence) == 0 {
		first = append(first, &evidence.Mark{What: evidence.MarkSerial, Text: w.Serial})
	}
	if !w.Asked.IsZero() && len(in.Evidence) == 0 {
		first = append(first, &evidence.Claim{About: "price", Text: "asks " + w.Asked.String(), Price: w.Asked})
	}
	made, err := r.shop.NewItems("take in a watch", by, first)
	return w, append(items, made...), err
}
