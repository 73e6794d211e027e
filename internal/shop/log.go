package shop

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"midcase/evidence"
	"midcase/internal/shop/ledger"
)

// Entries are the ledger's entries that pass a filter, in their order.
func (s *Shop) Entries(ctx context.Context, f EntryFilter) ([]ledger.Entry, error) {
	var out []ledger.Entry
	for e, err := range s.stores.Steps.Entries(ctx, f) {
		if err != nil {
			return nil, err
		}
		out = append(out, e)
	}
	return out, nil
}

// Find resolves an id, a file number or a serial number to a watch.
func (s *Shop) Find(ctx context.Context, key string) (Watch, error) {
	w, err := s.stores.Watches.FindWatch(ctx, key)
	if errors.Is(err, ErrNotFound) {
		return Watch{}, NotFound(fmt.Sprintf("there is no watch “%s”; give its id, its file number, such as 12, or its serial number",
			key))
	}
	return w, err
}

// Watch returns the record of one watch.
func (s *Shop) Watch(ctx context.Context, id WatchID) (Watch, error) {
	return s.stores.Watches.Watch(ctx, id)
}

// Watches lists the stock.
func (s *Shop) Watches(ctx context.Context, f Filter) ([]Watch, error) {
	return s.stores.Watches.Watches(ctx, f)
}

// Log is a watch with all its items in the order of recording.
func (s *Shop) Log(ctx context.Context, id WatchID) (evidence.Watch, error) {
	w, err := s.stores.Watches.Watch(ctx, id)
	if err != nil {
		return evidence.Watch{}, err
	}
	return s.LogOf(ctx, w)
}

// Picture returns the bytes of a kept picture or recording.
func (s *Shop) Picture(ctx context.Context, sha string) ([]byte, error) {
	f, err := s.stores.Blobs.Open(ctx, sha)
	if err != nil {
		return nil, fmt.Errorf("picture %s: %w", sha, err)
	}
	b, err := io.ReadAll(f)
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	if err != nil {
		return nil, fmt.Errorf("picture %s: %w", sha, err)
	}
	return b, nil
}

// items makes evidence items of data, checked as of now.
func (s *Shop) NewItems(what, by string, data []evidence.Data) ([]evidence.Item, error) {
	now := s.opt.Now()
	out := make([]evidence.Item, 0, len(data))
	for _, d := range data {
		it := evidence.Item{ID: evidence.ID(s.opt.NewID("ev")), At: now, By: strings.TrimSpace(by), Data: d}
		if p := it.Check(now); len(p) > 0 {
			for i := range p {
				p[i].Field = strings.TrimPrefix(p[i].Field, "data.")
			}
			return nil, &Invalid{what, p}
		}
		out = append(out, it)
	}
	return out, nil
}

// logOf is the evidence of a watch whose record is at hand.
func (s *Shop) LogOf(ctx context.Context, w Watch) (evidence.Watch, error) {
	items, err := s.stores.Watches.Evidence(ctx, w.ID)
	if err != nil {
		return evidence.Watch{}, err
	}
	return evidence.Watch{Schema: evidence.SchemaVersion, ID: string(w.ID), Title: w.Title, Maker: w.Maker,
		Reference: w.Reference, Evidence: items}, nil
}

// LogHead is the size and root of the evidence log; ok is false where it cannot be read.
func (s *Shop) LogHead(ctx context.Context) (size int64, root string, ok bool) {
	size, root, err := s.stores.Watches.Head(ctx)
	return size, root, err == nil
}
