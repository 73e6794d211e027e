package shop

import (
	"context"
	"crypto/sha256"
	"fmt"
	"slices"
	"strings"
	"time"

	"midcase/deal"
	"midcase/internal/shop/memo"
)

// onSale are the states in which a watch is on sale.
var onSale = []State{Listed, Reserved, OnMemo}

// Spell is one time that a watch was on sale.
type Spell struct {
	Watch WatchID
	From  string // the day on which it was listed
	To    string // the day on which it was sold or taken off; empty while it is on sale
	Sold  bool
}

// SpellsOf reads from the movements of watches when each was on sale: from being listed until it was
// sold, or taken off sale for the workshop, the safe or its owner. Movements that were undone count
// for nothing; a watch that was sold without ever being listed has no spell.
func SpellsOf(moves []Movement) []Spell {
	var order []WatchID
	byWatch := map[WatchID][]Movement{}
	for _, m := range moves {
		if _, ok := byWatch[m.Watch]; !ok {
			order = append(order, m.Watch)
		}
		byWatch[m.Watch] = append(byWatch[m.Watch], m)
	}
	var out []Spell
	for _, id := range order {
		open := -1
		for _, m := range Effective(byWatch[id]) {
			switch {
			case open < 0 && m.To == Listed:
				open = len(out)
				out = append(out, Spell{Watch: id, From: m.Day})
			case open >= 0 && !slices.Contains(onSale, m.To):
				out[open].To, out[open].Sold = max(m.Day, out[open].From), m.To == Sold
				open = -1
			}
		}
	}
	return out
}

// shopTimes is what the history says of the time to sell.
type shopTimes struct {
	fit  *deal.TimeToSell
	open map[WatchID]string // watches on sale now, with the day since when
}

// timesMark is what it is learned from. It is learned once a day, since the movements of a day more
// or less change it little.
type timesMark struct {
	day, book string
	terms     [sha256.Size]byte
}

// TimeToSell is how long watches take to sell by the shop's own history, shrunk to the
// shop's stated time; it is learned once a day.
func (s *Shop) TimeToSell(ctx context.Context) (*deal.TimeToSell, error) {
	fit, _, err := s.timesToSell(ctx)
	return fit, err
}

func (s *Shop) timesToSell(ctx context.Context) (*deal.TimeToSell, map[WatchID]string, error) {
	set, err := s.KeptSettings(ctx)
	if err != nil {
		return nil, nil, err
	}
	rev, err := s.Revision(ctx)
	if err != nil {
		return nil, nil, fmt.Errorf("time to sell: %w", err)
	}
	today := s.opt.Now().Format(time.DateOnly)
	t, err := s.known.times.Get(ctx, memo.One{}, timesMark{today, rev.Book, set.Sum},
		func(ctx context.Context) (shopTimes, error) {
			spells, open, err := s.dealSpells(ctx, today)
			if err != nil {
				return shopTimes{}, err
			}
			fit, err := deal.FitTimeToSell(spells, deal.PriorAround(set.Terms.TimeToSell))
			if err != nil {
				return shopTimes{}, fmt.Errorf("time to sell: %w", err)
			}
			return shopTimes{fit, open}, nil
		})
	return t.fit, t.open, err
}

// dealSpells are the shop's spells as package deal counts them. The value of a watch at the
// time when it was listed is not looked up again, so that the asked price is not among what they
// depend on; neither is whether it was a full set.
func (s *Shop) dealSpells(ctx context.Context, today string) ([]deal.Spell, map[WatchID]string, error) {
	open := map[WatchID]string{}
	moves, err := s.stores.Steps.Movements(ctx, "")
	if err != nil {
		return nil, nil, fmt.Errorf("time to sell: %w", err)
	}
	watches, err := s.Stock(ctx)
	if err != nil {
		return nil, nil, fmt.Errorf("time to sell: %w", err)
	}
	var out []deal.Spell
	for _, sp := range SpellsOf(moves) {
		to := sp.To
		if to == "" {
			open[sp.Watch], to = sp.From, today
		}
		days := daysBetween(sp.From, to)
		if days < 0 || days > 36525 {
			continue
		}
		w, _ := watches.Watch(sp.Watch)
		one := deal.Spell{Days: days, Sold: sp.Sold, Covariates: deal.Covariates{Reference: strings.TrimSpace(w.Maker +
			" " + w.Reference)}}
		if _, ref, ok := s.Book(ctx).Reference(w.Maker, w.Reference); ok {
			one.Metal = ref.Metal
		}
		out = append(out, one)
	}
	return out, open, nil
}

// daysBetween is the number of days from one to another; below zero where either is no day.
func daysBetween(from, to string) float64 {
	a, err := time.Parse(time.DateOnly, from)
	b, err2 := time.Parse(time.DateOnly, to)
	if err != nil || err2 != nil {
		return -1
	}
	return b.Sub(a).Hours() / 24
}
