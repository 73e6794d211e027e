package shop

import (
	"context"
	"crypto/sha256"
	"fmt"
	"slices"
	"strings"
	"time"

	"midcase/deal"
	"midcase/say"
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

// daysOnOffer is for how long a watch has been on offer by a day, unsold, since it last came in: days at the
// workshop, in the safe or with the photographer do not count.
func daysOnOffer(moves []Movement, day string) float64 {
	var known []Movement
	for _, m := range moves {
		if m.Day <= day {
			known = append(known, m)
		}
	}
	sum := 0.0
	for _, sp := range SpellsOf(known) {
		if sp.Sold {
			sum = 0 // what came in again is offered anew
			continue
		}
		to := sp.To
		if to == "" {
			to = day
		}
		sum += max(0, daysBetween(sp.From, to))
	}
	return sum
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
	return s.timesToSell(ctx, s.opt.Now())
}

// timesToSell is TimeToSell as it was known on a day: nothing that happened after it counts.
func (s *Shop) timesToSell(ctx context.Context, asOf time.Time) (*deal.TimeToSell, error) {
	set, err := s.KeptSettings(ctx)
	if err != nil {
		return nil, err
	}
	rev, err := s.Revision(ctx)
	if err != nil {
		return nil, fmt.Errorf("time to sell: %w", err)
	}
	today := s.opt.Now().Format(time.DateOnly)
	day := min(today, asOf.Format(time.DateOnly))
	return s.known.times.Get(ctx, day, timesMark{today, rev.Book, set.Sum},
		func(ctx context.Context) (*deal.TimeToSell, error) {
			spells, last, err := s.dealSpells(ctx, day)
			if err != nil {
				return nil, err
			}
			prior := deal.PriorAround(set.Terms.TimeToSell)
			fit, err := deal.FitTimeToSell(undated(spells), prior)
			if err != nil {
				return nil, fmt.Errorf("time to sell: %w", err)
			}
			if last != "" && last < day {
				fit.Says = append(fit.Says, say.That("time.until", say.Day("day", last)))
			}
			held, ok, err := deal.BackTestTimeToSell(spells, prior)
			if err != nil {
				return nil, fmt.Errorf("time to sell: %w", err)
			}
			if ok {
				fit.Says = append(fit.Says, held.Says())
			}
			return fit, nil
		})
}

// dealSpells are the shop's spells as package deal counts them. The value of a watch at the
// time when it was listed is not looked up again, so that the asked price is not among what they
// depend on; neither is whether it was a full set. Nothing after the day counts. What is still on sale
// counts up to the last day on which anything was recorded, which is returned: where nobody records, watches
// do not get slower to sell by the calendar.
func (s *Shop) dealSpells(ctx context.Context, day string) (out []deal.DatedSpell, last string, err error) {
	all, err := s.stores.Steps.Movements(ctx, "")
	if err != nil {
		return nil, "", fmt.Errorf("time to sell: %w", err)
	}
	watches, err := s.Stock(ctx)
	if err != nil {
		return nil, "", fmt.Errorf("time to sell: %w", err)
	}
	var moves []Movement
	for _, m := range all {
		if m.Day <= day {
			moves, last = append(moves, m), max(last, m.Day)
		}
	}
	for _, sp := range SpellsOf(moves) {
		to := sp.To
		if to == "" {
			to = last
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
		out = append(out, deal.DatedSpell{From: daysBetween("1970-01-01", sp.From), Spell: one})
	}
	return out, last, nil
}

// undated are the spells without their days.
func undated(spells []deal.DatedSpell) []deal.Spell {
	out := make([]deal.Spell, len(spells))
	for i, s := range spells {
		out[i] = s.Spell
	}
	return out
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
