package people

import (
	"context"
	"fmt"
	"sync"
	"time"

	"midcase/internal/shop"
)

// Past is how a client answered before: of everything shown, how often they bought.
type Past struct {
	Shown, Bought int
	SawThis       string    // what passed about this watch last, such as offered
	Last          time.Time // when something passed last
}

// passed is what passed between the shop and its clients, read on from where it was read last.
type passed struct {
	mu       sync.RWMutex
	next     int64 // place of the next showing to read
	past     map[string]Past
	last     map[about]shop.Showing
	promises map[about]shop.Showing        // not answered yet
	first    map[shop.WatchID]shop.Showing // the promise that stands, by watch
	bought   map[about]bool
}

type about struct {
	watch  shop.WatchID
	client string
}

// whatPassed is what passed so far.
func (r *Room) whatPassed(ctx context.Context) (*passed, error) {
	rev, err := r.shop.Revision(ctx)
	if err != nil {
		return nil, err
	}
	return r.passed.Grow(ctx, struct{}{}, rev.Showings, func(ctx context.Context, p *passed) (*passed, error) {
		if p == nil {
			p = &passed{past: map[string]Past{}, last: map[about]shop.Showing{}, promises: map[about]shop.Showing{},
				first: map[shop.WatchID]shop.Showing{}, bought: map[about]bool{}}
		}
		more, err := r.stores.Steps.Showings(ctx, shop.ShowingFilter{From: p.next})
		if err != nil {
			return nil, fmt.Errorf("showings: %w", err)
		}
		p.add(more)
		return p, nil
	})
}

func (p *passed) add(more []shop.Showing) {
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, v := range more {
		p.next = v.Seq + 1
		if v.Client == "" {
			continue
		}
		k, past := about{v.Watch, v.Client}, p.past[v.Client]
		if _, before := p.last[k]; !before {
			past.Shown++
		}
		// one purchase a watch, however often it was recorded; one taken back is none
		switch was := p.bought[k]; {
		case v.Kind == shop.Accepted && !was:
			past.Bought++
			p.bought[k] = true
		case (v.Kind == shop.Withdrawn || v.Kind == shop.Declined) && was:
			past.Bought--
			delete(p.bought, k)
		}
		if v.At.After(past.Last) {
			past.Last = v.At
		}
		p.past[v.Client], p.last[k] = past, v
		switch v.Kind {
		case shop.Promised:
			p.promises[k], p.first[v.Watch] = v, v
		case shop.Declined, shop.Withdrawn, shop.Accepted:
			delete(p.promises, k)
			if p.first[v.Watch].Client == v.Client {
				delete(p.first, v.Watch)
			}
		}
	}
}

// with is how a client answered, and what passed about one watch last.
func (p *passed) with(client string, watch shop.WatchID) Past {
	p.mu.RLock()
	defer p.mu.RUnlock()
	past := p.past[client]
	past.SawThis = p.last[about{watch, client}].Kind
	return past
}

// promised is the promise of a watch that stands on a day.
func (p *passed) promised(watch shop.WatchID, day time.Time) (shop.Showing, bool) {
	p.mu.RLock()
	defer p.mu.RUnlock()
	v, ok := p.first[watch]
	if last, has := v.Until.Last(); ok && has && shop.DayOf(day).After(shop.DayOf(last)) {
		return shop.Showing{}, false
	}
	return v, ok
}

// Promises are the promises that were not answered.
func (r *Room) Promises(ctx context.Context) ([]shop.Showing, error) {
	p, err := r.whatPassed(ctx)
	if err != nil {
		return nil, fmt.Errorf("promises: %w", err)
	}
	p.mu.RLock()
	defer p.mu.RUnlock()
	out := make([]shop.Showing, 0, len(p.promises))
	for _, v := range p.promises {
		out = append(out, v)
	}
	return out, nil
}
