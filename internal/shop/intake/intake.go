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

// Intake is what is known when a watch comes in.
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
	var p evidence.Problems
	if strings.TrimSpace(in.Maker) == "" {
		p = append(p, evidence.Problem{Field: "maker", Found: "nothing", Want: "the maker"})
	}
	if strings.TrimSpace(in.Reference) == "" {
		p = append(p, evidence.Problem{Field: "reference", Found: "nothing", Want: "the reference number, or unknown"})
	}
	if len(p) > 0 {
		return shop.Watch{}, &shop.Invalid{What: "take in a watch", Problems: p}
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
	if m, ref, ok := r.shop.Book(ctx).Reference(w.Maker, w.Reference); ok {
		w.Maker, w.Reference = m.Name, ref.ID
		w.Title = strings.TrimSpace(m.Name + " " + ref.ID + " " + ref.Name)
	} else {
		w.Title = w.Maker + " " + w.Reference
	}
	items := append([]evidence.Item(nil), in.Evidence...)
	var first []evidence.Data
	if w.Serial != "" && len(in.Evidence) == 0 {
		first = append(first, &evidence.Mark{What: evidence.MarkSerial, Text: w.Serial})
	}
	if !w.Asked.IsZero() && len(in.Evidence) == 0 {
		first = append(first, &evidence.Claim{About: "price", Text: "asks " + w.Asked.String(), Price: w.Asked})
	}
	made, err := r.shop.NewItems("take in a watch", by, first)
	if err != nil {
		return shop.Watch{}, err
	}
	items = append(items, made...)
	kept, err := r.stores.Watches.CreateWatch(ctx, w, items...)
	if err != nil {
		return shop.Watch{}, fmt.Errorf("take in %s: %w", w.Title, err)
	}
	return kept, nil
}
