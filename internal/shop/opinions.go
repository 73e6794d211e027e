package shop

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"midcase/evidence"
	"midcase/money"
	"midcase/opinion"
	"midcase/say"
)

// Opinion forms the opinion on a watch as of a moment, on the shop's own terms.
func (s *Shop) Opinion(ctx context.Context, id WatchID, asOf time.Time) (opinion.Opinion, error) {
	o, _, err := s.OpinionOn(ctx, id, asOf, opinion.Settings{})
	return o, err
}

// OpinionOn forms the opinion with the evidence that it was formed from. Settings
// that are given take the place of the shop's own.
func (s *Shop) OpinionOn(ctx context.Context, id WatchID, asOf time.Time, given opinion.Settings) (opinion.Opinion,
	evidence.File, error) {
	log, err := s.Log(ctx, id)
	if err != nil {
		return opinion.Opinion{}, evidence.File{}, fmt.Errorf("opinion: %w", err)
	}
	return s.OpinionOf(ctx, log, asOf, given)
}

// OpinionOf is OpinionOn from evidence that was read already.
func (s *Shop) OpinionOf(ctx context.Context, log evidence.Watch, asOf time.Time, given opinion.Settings) (opinion.Opinion,
	evidence.File, error) {
	set, err := s.OwnTerms(ctx, asOf, given)
	if err != nil {
		return opinion.Opinion{}, evidence.File{}, err
	}
	w, err := s.stores.Watches.Watch(ctx, WatchID(log.ID))
	if err != nil {
		return opinion.Opinion{}, evidence.File{}, fmt.Errorf("opinion: %w", err)
	}
	var noRate *Invalid // the opinion says so itself
	if err := s.standing(ctx, w, &set, asOf); err != nil && !errors.As(err, &noRate) {
		return opinion.Opinion{}, evidence.File{}, err
	}
	if !given.Asked.IsZero() {
		set.Stock.Paid = money.Money{} // what was asked about is the price given
	}
	if set.Peers, err = s.peers(ctx, log, asOf); err != nil {
		return opinion.Opinion{}, evidence.File{}, err
	}
	valued := asOf
	if !set.ValueDay.IsZero() { // what was sold later was not known then
		valued = set.ValueDay
	}
	m, err := s.MarketFor(ctx, valued, &set)
	if err != nil {
		return opinion.Opinion{}, evidence.File{}, err
	}
	file := evidence.Fold(log, asOf)
	o, err := opinion.Form(file, s.Book(ctx), m, set, asOf)
	if err != nil {
		return opinion.Opinion{}, evidence.File{}, fmt.Errorf("opinion on %s: %w", log.Title, err)
	}
	if n := s.datedAhead(log); n > 0 {
		o.Cautions = append([]say.Statement{say.That("caution.dated-ahead", say.Count("n", n))}, o.Cautions...)
	}
	return o, file, nil
}

// datedAhead counts the items that a clock which was ahead has dated after now.
func (s *Shop) datedAhead(log evidence.Watch) (n int) {
	now := s.opt.Now()
	for _, it := range log.Evidence {
		if it.At.After(now) {
			n++
		}
	}
	return n
}

// peers gathers the comparisons among the examples of the watch's reference, whichever file they were recorded on.
func (s *Shop) peers(ctx context.Context, log evidence.Watch, asOf time.Time) ([]opinion.Peer, error) {
	all, err := s.Judgements(ctx, log.Maker, log.Reference, asOf)
	if err != nil {
		return nil, err
	}
	var out []opinion.Peer
	for _, j := range all {
		out = append(out, opinion.Peer{ID: j.ID, Slot: j.Slot, Better: string(j.A), Worse: string(j.B), Same: j.Same})
	}
	return out, nil
}

// Keep stores an opinion, so that it can be seen again and held against a later one.
func (s *Shop) Keep(ctx context.Context, id WatchID, o opinion.Opinion, items int) error {
	b, err := json.Marshal(o)
	if err != nil {
		return fmt.Errorf("keep opinion: %w", err)
	}
	err = s.stores.Opinions.KeepOpinion(ctx, KeptOpinion{Watch: id, AsOf: o.AsOf, Formed: s.opt.Now(),
		Evidence: items, JSON: b})
	if errors.Is(err, ErrDiskFull) {
		return nil // a report can be read on a full disk; only it is not kept
	}
	return err
}

// Opinions returns the kept opinions of a watch, latest first.
func (s *Shop) Opinions(ctx context.Context, id WatchID) ([]KeptOpinion, error) {
	return s.stores.Opinions.Opinions(ctx, id)
}

// NextLooks ranks the observations of a watch that have not been made by what each
// is expected to bring.
func (s *Shop) NextLooks(ctx context.Context, id WatchID) ([]opinion.Look, error) {
	log, err := s.Log(ctx, id)
	if err != nil {
		return nil, fmt.Errorf("next looks: %w", err)
	}
	set, err := s.Settings(ctx)
	if err != nil {
		return nil, err
	}
	now := s.opt.Now()
	own := set.ForOpinion(opinion.Settings{})
	m, err := s.MarketFor(ctx, now, &own)
	if err != nil {
		return nil, err
	}
	return opinion.NextLooks(evidence.Fold(log, now), s.Book(ctx), m, own, now)
}
