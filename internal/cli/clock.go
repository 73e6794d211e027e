package cli

import (
	"context"
	"fmt"
	"time"

	"midcase/internal/shop"
	"midcase/internal/shop/rooms"
	"midcase/internal/store"
)

type clockCmd struct {
	Right bool `help:"The clock is right now: go on recording, although it said more before."`
	JSON  bool `name:"json" help:"Print JSON."`
}

// clockState is how the machine's clock stands to what was recorded.
type clockState struct {
	Now         time.Time  `json:"now"`
	Newest      *time.Time `json:"newest,omitempty"` // what it said at the last change, where it is behind that
	Behind      bool       `json:"behind"`           // nothing is recorded
	AheadItems  int        `json:"ahead_items"`      // of evidence that are dated after now
	AheadOthers int        `json:"ahead_records"`
	Latest      *time.Time `json:"latest,omitempty"` // of what is dated after now
}

// Run says how the clock stands, or takes it for right.
func (c clockCmd) Run(a *app) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	if c.Right {
		if err := takeClock(a.ctx, s.Shop, user("")); err != nil {
			return err
		}
	}
	state, err := clockOf(a.ctx, s.store, a.now())
	if err != nil {
		return err
	}
	if c.JSON {
		return a.printJSON(state)
	}
	for _, line := range state.says() {
		if _, err := fmt.Fprintln(a.out, line); err != nil {
			return err
		}
	}
	return nil
}

// takeClock takes the clock for right, and notes who said so.
func takeClock(ctx context.Context, s *rooms.Shop, who string) error {
	if err := s.Stores().Revisions.ClockIsRight(ctx); err != nil {
		return err
	}
	return s.Staff.Note(ctx, shop.SignIn{Name: who, What: "the clock was taken for right"})
}

func clockOf(ctx context.Context, st *store.Store, now time.Time) (clockState, error) {
	out := clockState{Now: now}
	behind, err := store.ClockBehind(ctx, st)
	if err != nil {
		return out, err
	}
	if behind != nil {
		out.Behind, out.Newest = true, &behind.Newest
	}
	ahead, err := store.DatedAfter(ctx, st, now.Add(store.Leeway))
	if err != nil {
		return out, err
	}
	if out.AheadItems, out.AheadOthers = ahead.Items, ahead.Records; ahead.Items+ahead.Records > 0 {
		out.Latest = &ahead.Latest
	}
	return out, nil
}

// says are the sentences about the clock.
func (c clockState) says() []string {
	var out []string
	if c.Behind {
		out = append(out, (&shop.ClockBehind{Now: c.Now, Newest: *c.Newest}).Says())
	}
	if c.Latest != nil {
		out = append(out, c.aheadSays())
	}
	if len(out) == 0 {
		out = append(out, fmt.Sprintf("The clock says %s; nothing on record is dated after it.",
			c.Now.UTC().Format("2006-01-02 15:04 MST")))
	}
	return out
}

// aheadSays is what counts later than it was meant to.
func (c clockState) aheadSays() string {
	return fmt.Sprintf("%s on record dated ahead of this machine's clock, the latest %s. Evidence counts only from its "+
		"day on.", isOrAre(c.AheadItems+c.AheadOthers, "thing"), c.Latest.Format(time.DateOnly))
}

// isOrAre is a count with its verb: 1 thing is, 2 things are.
func isOrAre(n int, what string) string {
	if n == 1 {
		return count(n, what) + " is"
	}
	return count(n, what) + " are"
}
