package intake

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"midcase/evidence"
	"midcase/gate"
	"midcase/internal/shop"
	"midcase/say"
)

// Doubtful is an entry that was not recorded because something about it is odd. It can be
// recorded all the same with a reason.
type Doubtful struct {
	What   string
	Doubts []gate.Doubt
}

// Error implements error.
func (e *Doubtful) Error() string { return e.What + ": " + e.Says().String() }

// Says is every doubt in one statement.
func (e *Doubtful) Says() say.Statement {
	all := make([]say.Value, len(e.Doubts))
	for i, d := range e.Doubts {
		all[i] = d.Says
	}
	return say.That("phrase.sentences", say.All("all", all...))
}

// keptAllTheSame begins the note of an entry that was kept in spite of a doubt.
const keptAllTheSame = "kept all the same: "

// Doubts holds entries against the book, the file and the other files, each of them also
// against those before it. The doubts of each entry stand at its place.
func (r *Room) Doubts(ctx context.Context, id shop.WatchID, data ...evidence.Data) ([][]gate.Doubt, error) {
	log, err := r.shop.Log(ctx, id)
	if err != nil {
		return nil, fmt.Errorf("hold entries against the book: %w", err)
	}
	h, err := r.Holder(ctx)
	if err != nil {
		return nil, err
	}
	return h.Doubts(evidence.Fold(log, r.shop.Now().Add(24*time.Hour)), data...), nil
}

// RecordHeld records as Record does what nothing is odd about. Where something is, it
// returns a *Doubtful and records nothing, unless a reason is given; that stands beside the
// entry then.
func (r *Room) RecordHeld(ctx context.Context, id shop.WatchID, by, reason string,
	data ...evidence.Data) ([]evidence.Item,
	error) {
	if r.checkAgainstLists("", data) != nil || slices.ContainsFunc(data,
		func(d evidence.Data) bool { return d.Check() != nil }) {
		return r.record(ctx, id, by, nil, data) // which says what is wrong
	}
	doubts, err := r.Doubts(ctx, id, data...)
	if err != nil {
		return nil, err
	}
	note := map[int]string{}
	odd := &Doubtful{What: "add evidence"}
	for i, d := range doubts {
		if len(d) > 0 {
			note[i] = keptAllTheSame + strings.TrimSpace(reason)
			odd.Doubts = append(odd.Doubts, d...)
			odd.What = "add " + string(data[i].Kind())
		}
	}
	if len(odd.Doubts) > 0 && strings.TrimSpace(reason) == "" {
		return nil, odd
	}
	return r.record(ctx, id, by, note, data)
}
