package desk

import (
	"context"
	"fmt"
	"strconv"
	"strings"
	"time"

	"midcase/evidence"
	"midcase/gate"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/money"
	"midcase/opinion"
	"midcase/refbook"
)

// Inquiry is what is known of a watch that somebody offers at the counter: told or
// seen at a glance, nothing examined. Only the reference is needed.
type Inquiry struct {
	Reference string // with or without its maker, as people say it: KR-1, Corvane KR-1, kr1 steel
	Metal     string // where it is not the one that the book says
	Serial    string
	Year      int     // of making, where no serial number is to hand
	Condition float64 // 1–10 at a glance; 0 where not judged
	Set       string  // watch, papers or full
	Asked     money.Money
	Seen      []evidence.Data // at a glance, by whoever stands at the counter
	Note      string          // words that were not understood
}

// Offer is the answer to an inquiry.
type Offer struct {
	Named
	Opinion opinion.Opinion
	Looks   []opinion.Look // what to check first
	Odd     []gate.Doubt   // what the book has not, or has otherwise
}

// Counter answers an inquiry without opening a watch file, as the file that
// TakeInInquiry makes of it would: what was told are claims, which count for the value
// alone; a serial number read is evidence.
func (r *Room) Counter(ctx context.Context, q Inquiry, asOf time.Time) (Offer, error) {
	n, err := r.referenceNamed(ctx, q.Reference)
	if err != nil {
		return Offer{}, err
	}
	set, m, err := r.reckoning(ctx, asOf)
	if err != nil {
		return Offer{}, err
	}
	return Answer(n, q, r.shop.Book(ctx), m, set, asOf)
}

// Answer answers an inquiry about a watch that was named, by a book, a market and terms.
func Answer(n Named, q Inquiry, book *refbook.Book, m opinion.Market, set opinion.Settings, asOf time.Time) (Offer,
	error) {
	q = q.as(n)
	if err := q.check(asOf); err != nil {
		return Offer{}, err
	}
	file := evidence.Fold(evidence.Watch{Schema: evidence.SchemaVersion, Maker: n.Maker.Name, Reference: n.Reference.ID,
		Evidence: q.items(asOf)}, asOf)
	o, err := opinion.Form(file, book, m, set, asOf)
	if err != nil {
		return Offer{}, fmt.Errorf("counter offer: %w", err)
	}
	looks, err := opinion.NextLooks(file, book, m, set, asOf)
	if err != nil {
		return Offer{}, fmt.Errorf("counter offer: %w", err)
	}
	return Offer{n, o, looks, doubts(n, file)}, nil
}

// doubts are what the book has not: a metal, a number or a year that the reference never had.
func doubts(n Named, file evidence.File) []gate.Doubt {
	if !n.InBook {
		return nil
	}
	known := gate.Known{Maker: n.Maker, Reference: n.Reference}
	var out []gate.Doubt
	for _, it := range file.Items {
		out = append(out, gate.Doubts(it.Data, known)...)
	}
	return out
}

// TakeInInquiry opens a watch file of an inquiry. What was told becomes claims. Where
// something is odd about it, it returns an *intake.Doubtful, unless a reason is given.
func (r *Room) TakeInInquiry(ctx context.Context, q Inquiry, reason, by string) (shop.Watch, error) {
	n, err := r.referenceNamed(ctx, q.Reference)
	if err != nil {
		return shop.Watch{}, err
	}
	q = q.as(n)
	if err := q.check(r.shop.Now()); err != nil {
		return shop.Watch{}, err
	}
	items := q.items(r.shop.Now())
	for i := range items {
		items[i].ID, items[i].By = evidence.ID(r.shop.NewID("ev")), by
	}
	note := strings.TrimSpace("from the counter " + q.Note)
	return r.intake.TakeInHeld(ctx, intake.Arrival{Maker: n.Maker.Name, Reference: n.Reference.ID, Serial: q.Serial,
		Asked: q.Asked, Note: note, Evidence: items}, reason, by)
}

// reckoning is what an opinion is formed with on the shop's own terms: the settings,
// and the market, which is nil where the shop has no sales.
func (r *Room) reckoning(ctx context.Context, asOf time.Time) (opinion.Settings, opinion.Market, error) {
	set, err := r.shop.OwnTerms(ctx, asOf, opinion.Settings{})
	if err != nil {
		return set, nil, err
	}
	m, err := r.shop.MarketFor(ctx, asOf, &set)
	return set, m, err
}

// as takes the metal over that the text of the reference named.
func (q Inquiry) as(n Named) Inquiry {
	if q.Metal == "" && n.Metal != "" && n.Metal != n.Reference.Metal {
		q.Metal = n.Metal
	}
	return q
}

func (q Inquiry) check(now time.Time) error {
	switch {
	case q.Condition != 0 && !(q.Condition >= 1 && q.Condition <= 10):
		return shop.Refuse("counter offer", "condition", fmt.Sprint(q.Condition), "a grade from 1 to 10")
	case q.Year != 0 && (q.Year < 1850 || q.Year > now.Year()):
		return shop.Refuse("counter offer", "serial", fmt.Sprint(q.Year), "a year of making that is not in the future")
	case q.Set != "" && q.Set != "watch" && q.Set != "papers" && q.Set != "full":
		return shop.Refuse("counter offer", "set", strconv.Quote(q.Set), "watch, papers or full")
	}
	return nil
}

// items is the evidence of an inquiry: the serial number, which was read, and what was
// told, which are claims.
func (q Inquiry) items(now time.Time) []evidence.Item {
	var data []evidence.Data
	if q.Serial != "" {
		data = append(data, &evidence.Mark{What: evidence.MarkSerial, Text: q.Serial, Confidence: 0.95})
	}
	var out []evidence.Item
	for i, d := range append(append(data, q.Seen...), q.claims()...) {
		out = append(out, evidence.Item{ID: evidence.ID(fmt.Sprintf("ev_counter_%d", i+1)), At: now, By: "counter",
			Data: d})
	}
	return out
}

// claims are what was told.
func (q Inquiry) claims() []evidence.Data {
	var out []evidence.Data
	add := func(about, text string, told evidence.Told) {
		out = append(out, &evidence.Claim{About: about, Text: text, From: "at the counter", Told: told})
	}
	if !q.Asked.IsZero() {
		out = append(out, &evidence.Claim{About: "price", Text: "asks " + q.Asked.String(), From: "at the counter",
			Price: q.Asked})
	}
	if q.Year != 0 {
		add("year", fmt.Sprintf("made in %d", q.Year), evidence.Told{Year: q.Year})
	}
	if q.Condition != 0 {
		add("condition", fmt.Sprintf("about %g of 10 at a glance", q.Condition), evidence.Told{Grade: q.Condition})
	}
	if q.Set != "" {
		words := map[string]string{"watch": "the watch alone", "papers": "with papers", "full": "with box and papers"}
		add("set", words[q.Set], evidence.Told{Set: q.Set})
	}
	if q.Metal != "" {
		add("metal", q.Metal, evidence.Told{Metal: q.Metal})
	}
	return out
}
