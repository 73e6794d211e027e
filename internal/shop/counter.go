package shop

import (
	"context"
	"fmt"
	"strconv"
	"strings"
	"time"

	"midcase/evidence"
	"midcase/market"
	"midcase/money"
	"midcase/opinion"
	"midcase/refbook"
)

// Inquiry is what is known of a watch that somebody offers at the counter: told or
// seen at a glance, nothing examined. Only the reference is needed.
type Inquiry struct {
	Reference string // of the book, with or without its maker: KR-1, or Corvane KR-1
	Metal     string // where it is not the one that the book says
	Serial    string
	Year      int     // of making, where no serial number is to hand
	Condition float64 // 1–10 at a glance; 0 where not judged
	Set       string  // watch, papers or full
	Asked     money.Money
}

// Offer is the answer to an inquiry.
type Offer struct {
	Maker     *refbook.Maker
	Reference *refbook.Reference
	Opinion   opinion.Opinion
	Looks     []opinion.Look // what to check first
}

// glanceSD is how far a grade given at a glance lies from one given on the bench:
// common practice, no published source.
const glanceSD = 0.8

// toldYearSD is how far, in years, a year that was told lies from the year of making:
// common practice, no published source.
const toldYearSD = 1.0

// Counter answers an inquiry without opening a watch file: what was told goes into
// the value alone and is not taken for evidence; a serial number read is.
func (s *Shop) Counter(ctx context.Context, q Inquiry, asOf time.Time) (Offer, error) {
	maker, ref, err := s.referenceNamed(ctx, q.Reference)
	if err != nil {
		return Offer{}, err
	}
	if err := q.check(asOf); err != nil {
		return Offer{}, err
	}
	set, m, err := s.reckoning(ctx, asOf)
	if err != nil {
		return Offer{}, err
	}
	set.Asked = q.Asked
	if m != nil {
		m = told{m, q}
	}
	file := evidence.Fold(evidence.Watch{Schema: evidence.SchemaVersion, Maker: maker.Name, Reference: ref.ID, Evidence: q.items(asOf)}, asOf)
	o, err := opinion.Form(file, s.Book(ctx), m, set, asOf)
	if err != nil {
		return Offer{}, fmt.Errorf("counter offer: %w", err)
	}
	looks, err := opinion.NextLooks(file, s.Book(ctx), m, set, asOf)
	if err != nil {
		return Offer{}, fmt.Errorf("counter offer: %w", err)
	}
	return Offer{maker, ref, o, looks}, nil
}

// TakeInInquiry opens a watch file of an inquiry. What was told becomes claims.
func (s *Shop) TakeInInquiry(ctx context.Context, q Inquiry, by string) (Watch, error) {
	maker, ref, err := s.referenceNamed(ctx, q.Reference)
	if err != nil {
		return Watch{}, err
	}
	if err := q.check(s.opt.Now()); err != nil {
		return Watch{}, err
	}
	items, err := s.items("take in from the counter", by, q.claims())
	if err != nil {
		return Watch{}, err
	}
	items = append(q.items(s.opt.Now()), items...)
	for i := range items {
		items[i].ID, items[i].By = evidence.ID(s.opt.NewID("ev")), by
	}
	return s.TakeIn(ctx, Intake{Maker: maker.Name, Reference: ref.ID, Serial: q.Serial, Asked: q.Asked, Note: "from the counter", Evidence: items}, by)
}

// reckoning is what an opinion is formed with on the shop's own terms: the settings,
// and the market, which is nil where the shop has no sales.
func (s *Shop) reckoning(ctx context.Context, asOf time.Time) (opinion.Settings, opinion.Market, error) {
	own, err := s.Settings(ctx)
	if err != nil {
		return opinion.Settings{}, nil, err
	}
	set := own.forOpinion(opinion.Settings{})
	model, err := s.marketIn(ctx, asOf, set.Currency)
	if err != nil || model == nil {
		return set, nil, err
	}
	return set, model, nil
}

// referenceNamed finds the one reference of the book that a text names.
func (s *Shop) referenceNamed(ctx context.Context, text string) (*refbook.Maker, *refbook.Reference, error) {
	const want = "a reference of the book, such as KR-1, with its maker where two makers have it"
	named := strings.Join(strings.Fields(text), " ")
	if named == "" {
		return nil, nil, invalid("counter offer", "reference", "nothing", want)
	}
	var maker *refbook.Maker
	var ref *refbook.Reference
	book := s.Book(ctx)
	for i := range book.Makers {
		m := &book.Makers[i]
		for j := range m.References {
			r := &m.References[j]
			if !strings.EqualFold(named, r.ID) && !strings.EqualFold(named, m.Name+" "+r.ID) && !strings.EqualFold(named, refbook.Path(m.ID, r.ID)) {
				continue
			}
			if ref != nil {
				return nil, nil, invalid("counter offer", "reference", fmt.Sprintf("%q of %s and of %s", text, maker.Name, m.Name), want)
			}
			maker, ref = m, r
		}
	}
	if ref == nil {
		return nil, nil, invalid("counter offer", "reference", strconv.Quote(text), want)
	}
	return maker, ref, nil
}

func (q Inquiry) check(now time.Time) error {
	switch {
	case q.Condition != 0 && !(q.Condition >= 1 && q.Condition <= 10):
		return invalid("counter offer", "condition", fmt.Sprint(q.Condition), "a grade from 1 to 10")
	case q.Year != 0 && (q.Year < 1850 || q.Year > now.Year()):
		return invalid("counter offer", "serial", fmt.Sprint(q.Year), "a year of making that is not in the future")
	case q.Set != "" && q.Set != "watch" && q.Set != "papers" && q.Set != "full":
		return invalid("counter offer", "set", strconv.Quote(q.Set), "watch, papers or full")
	}
	return nil
}

// items is the evidence of an inquiry: the serial number, which was read.
func (q Inquiry) items(now time.Time) []evidence.Item {
	if q.Serial == "" {
		return nil
	}
	return []evidence.Item{{ID: "ev_counter", At: now, By: "counter", Data: &evidence.Mark{What: evidence.MarkSerial, Text: q.Serial, Confidence: 0.95}}}
}

// claims are what was told.
func (q Inquiry) claims() []evidence.Data {
	var out []evidence.Data
	add := func(about, text string) {
		out = append(out, &evidence.Claim{About: about, Text: text, From: "at the counter"})
	}
	if !q.Asked.IsZero() {
		out = append(out, &evidence.Claim{About: "price", Text: "asks " + q.Asked.String(), From: "at the counter", Price: q.Asked})
	}
	if q.Year != 0 {
		add("year", fmt.Sprintf("made in %d", q.Year))
	}
	if q.Condition != 0 {
		add("condition", fmt.Sprintf("about %g of 10 at a glance", q.Condition))
	}
	if q.Set != "" {
		add("set", map[string]string{"watch": "the watch alone", "papers": "with papers", "full": "with box and papers"}[q.Set])
	}
	if q.Metal != "" {
		add("metal", q.Metal)
	}
	return out
}

// told is a market that counts what was told of the watch.
type told struct {
	opinion.Market
	q Inquiry
}

// Value implements opinion.Market.
func (t told) Value(s market.Subject, asOf time.Time, basis market.Basis) (*market.Valuation, error) {
	return t.Market.Value(t.subject(s), asOf, basis)
}

// Predict values without comparables, where the market can.
func (t told) Predict(s market.Subject, asOf time.Time, basis market.Basis) (*market.Valuation, error) {
	p, ok := t.Market.(interface {
		Predict(market.Subject, time.Time, market.Basis) (*market.Valuation, error)
	})
	if !ok {
		return t.Value(s, asOf, basis)
	}
	return p.Predict(t.subject(s), asOf, basis)
}

func (t told) subject(s market.Subject) market.Subject {
	q := t.q
	if q.Condition != 0 && s.Condition == nil {
		c := q.Condition
		s.Condition, s.ConditionSD = &c, glanceSD
	}
	if q.Set != "" {
		s.Completeness = q.Set
	}
	if q.Metal != "" {
		s.Metal = q.Metal
	}
	if q.Year != 0 {
		s.Year, s.YearSD = float64(q.Year), toldYearSD
	}
	return s
}
