package people

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"

	"midcase/evidence"
	"midcase/internal/shop"
)

// RedactedReason is what a withdrawal says where words were taken away because they named somebody. It names nobody.
const RedactedReason = "the words named somebody whose data are erased"

// paperText bounds what is read of one file of a paper.
const paperText = 64 << 20

// inPapers looks through what issued papers say: those about a dealing by their content, others by their files of
// data. One mention a paper is enough.
func (r *Room) inPapers(ctx context.Context, m *mentions) error {
	papers, err := r.stores.Papers.Papers(ctx, shop.PaperFilter{})
	if err != nil {
		return err
	}
	for _, p := range papers {
		text, err := r.paperSays(ctx, p)
		if err != nil {
			return fmt.Errorf("paper %s: %w", p.Number, err)
		}
		one := mentions{traces: m.traces}
		if len(text) > 0 {
			one.look(Mention{Where: "paper", Watch: p.Watch, ID: p.Number}, json.RawMessage(text))
		}
		m.found = append(m.found, one.found[:min(1, len(one.found))]...)
	}
	return nil
}

// paperSays is what a paper says, as JSON; nothing where its client was erased, or the file is damaged or missing,
// which a check of the shop tells.
func (r *Room) paperSays(ctx context.Context, p shop.Paper) ([]byte, error) {
	at := slices.IndexFunc(p.Files, func(f shop.PaperFile) bool { return f.Kept && f.Ending == "json" })
	if at < 0 {
		_, text, err := r.stores.Papers.Paper(ctx, p.ID)
		return []byte(text), err
	}
	f, err := r.stores.Blobs.Open(ctx, p.Files[at].SHA256)
	if errors.Is(err, shop.ErrNotFound) || errors.Is(err, shop.ErrDamaged) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	b, err := io.ReadAll(io.LimitReader(f, paperText))
	return b, errors.Join(err, f.Close())
}

// Redact takes the words of evidence and notes that name a client away for good. Keys are those of mentions that are
// removable; none at all means every one of them. It returns what still names the client. Each item is withdrawn, with
// the hash that proves the log; backups made earlier and issued papers stay as they are.
func (r *Room) Redact(ctx context.Context, id, by string, keys ...string) (taken int, still []Mention, err error) {
	const what = "redact"
	c, err := r.stores.Clients.Client(ctx, id)
	if err != nil {
		return 0, nil, fmt.Errorf("%s: %w", what, err)
	}
	found, err := r.Mentions(ctx, c)
	if err != nil {
		return 0, nil, err
	}
	found = slices.DeleteFunc(found, func(m Mention) bool {
		return !m.Removable || len(keys) > 0 && !slices.Contains(keys, m.Key())
	})
	if len(found) == 0 {
		return 0, nil, shop.Refuse(what, "from", "nothing that can be taken away",
			"evidence or the note of a watch that names the client")
	}
	if err := r.access(ctx, id, "named elsewhere: words taken away"); err != nil {
		return 0, nil, err
	}
	done := map[string]bool{}
	for _, m := range found {
		if done[m.Key()] {
			continue
		}
		done[m.Key()] = true
		if err := r.redact(ctx, m, by); err != nil {
			return taken, nil, fmt.Errorf("%s: %w", what, err)
		}
		taken++
	}
	still, err = r.Mentions(ctx, c)
	return taken, still, err
}

func (r *Room) redact(ctx context.Context, m Mention, by string) error {
	if m.Where == "watch" {
		return r.RedactNote(ctx, m.Watch)
	}
	return r.RedactItem(ctx, m.Watch, evidence.ID(m.ID), RedactedReason, by)
}

// RedactItem takes the words of an item of evidence away for good and withdraws it with a reason, which stays.
func (r *Room) RedactItem(ctx context.Context, id shop.WatchID, of evidence.ID, reason, by string) error {
	items, err := r.shop.NewItems("redact an item", by, []evidence.Data{&evidence.Withdrawal{Of: of, Reason: reason}})
	if err != nil {
		return err
	}
	return r.stores.Privacy.RedactItem(ctx, id, of, items[0])
}

// RedactNote takes the note of a watch away for good, with those of its earlier versions.
func (r *Room) RedactNote(ctx context.Context, id shop.WatchID) error {
	_, err := r.stores.Privacy.RedactNote(ctx, id, r.shop.Now())
	return err
}
