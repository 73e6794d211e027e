package intake

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"strings"
	"time"

	"midcase/condition"
	"midcase/edtf"
	"midcase/evidence"
	"midcase/internal/picture"
	"midcase/internal/shop"
)

// Record adds evidence to a watch, all or none, and returns the items as kept. It takes
// every entry that is valid; RecordHeld asks first about what is odd.
func (r *Room) Record(ctx context.Context, id shop.WatchID, by string, data ...evidence.Data) ([]evidence.Item, error) {
	return r.record(ctx, id, by, nil, data)
}

// record adds evidence; note is what is written beside an entry, by its place.
func (r *Room) record(ctx context.Context, id shop.WatchID, by string, note map[int]string,
	data []evidence.Data) ([]evidence.Item, error) {
	w, err := r.stores.Watches.Watch(ctx, id)
	if err != nil {
		return nil, fmt.Errorf("record evidence: %w", err)
	}
	what := "add evidence"
	if len(data) == 1 {
		what = "add " + string(data[0].Kind())
	}
	if err := r.checkAgainstLists(what, data); err != nil {
		return nil, err
	}
	items, err := r.shop.NewItems(what, by, data)
	if err != nil {
		return nil, err
	}
	for i, says := range note {
		items[i].Note = says
		if p := items[i].Check(r.shop.Now()); len(p) > 0 {
			return nil, &shop.Invalid{What: what, Problems: p}
		}
	}
	if err := r.checkWithdrawals(ctx, id, what, data); err != nil {
		return nil, err
	}
	if err := r.nameCompared(ctx, items); err != nil {
		return nil, err
	}
	if err := r.add(ctx, w, items); err != nil {
		return nil, fmt.Errorf("%s to %s: %w", what, w.Title, err)
	}
	return items, nil
}

// nameCompared writes into comparisons what the other watch is called: its id says nothing to whoever reads them.
func (r *Room) nameCompared(ctx context.Context, items []evidence.Item) error {
	var h *Holder
	for i, it := range items {
		c, ok := it.Data.(*evidence.Comparison)
		if !ok || c.Named != "" {
			continue
		}
		if h == nil {
			var err error
			if h, err = r.Holder(ctx); err != nil {
				return err
			}
		}
		named := *c
		named.Named = h.named(c.Other).Title
		items[i].Data = &named
	}
	return nil
}

// checkAgainstLists holds terms against the controlled list, which package evidence
// does not know.
func (r *Room) checkAgainstLists(what string, data []evidence.Data) error {
	for _, d := range data {
		if w, ok := d.(*evidence.Withdrawal); d.Kind() == evidence.KindRedacted || ok && w.Redacts != "" {
			return shop.Refuse(what, "kind", "what stands in the place of words that were taken away",
				"a kind that is recorded; to take words away, use redact")
		}
		if d.Kind() == evidence.KindCorrection {
			return shop.Refuse(what, "kind", "a correction by itself",
				"a kind that is recorded; to give a file another maker or reference, correct the file")
		}
		f, ok := d.(*evidence.Finding)
		if !ok || f.Term == "" {
			continue
		}
		t, ok := condition.Lookup(f.Term)
		if !ok {
			return shop.Refuse(what, "term", fmt.Sprintf("%q", f.Term), "a term of the list, such as scratches")
		}
		if f.Slot.Valid() && !t.Fits(string(f.Slot)) {
			return shop.Refuse(what, "term", fmt.Sprintf("%q on the %s", t.Name, f.Slot.Name()),
				"a term that is used of this part")
		}
	}
	return nil
}

func (r *Room) checkWithdrawals(ctx context.Context, id shop.WatchID, what string, data []evidence.Data) error {
	for _, d := range data {
		wd, ok := d.(*evidence.Withdrawal)
		if !ok {
			continue
		}
		items, err := r.stores.Watches.Evidence(ctx, id)
		if err != nil {
			return fmt.Errorf("%s: %w", what, err)
		}
		found := false
		for _, it := range items {
			found = found || it.ID == wd.Of
		}
		if !found {
			return shop.Refuse(what, "of", fmt.Sprintf("%q", wd.Of), "the id of an item of this watch")
		}
	}
	return nil
}

// Withdraw takes an item back with a reason. The item stays on the record.
func (r *Room) Withdraw(ctx context.Context, id shop.WatchID, of evidence.ID, reason, by string) (evidence.Item,
	error) {
	items, err := r.Record(ctx, id, by, &evidence.Withdrawal{Of: of, Reason: reason})
	if err != nil {
		return evidence.Item{}, err
	}
	return items[0], nil
}

// AddPhoto checks a picture, keeps it and records it. Nothing is kept of a picture
// that cannot be read.
func (r *Room) AddPhoto(ctx context.Context, id shop.WatchID, view, caption string, file io.Reader,
	by string) (evidence.Item, error) {
	const what = "add photo"
	b, info, err := picture.Take(ctx, file)
	if err != nil && !picture.Faulty(err) {
		return evidence.Item{}, fmt.Errorf("%s: %w", what, err)
	}
	if err == nil && len(b) == 0 {
		return evidence.Item{}, shop.Refuse(what, "picture", "an empty file", "a JPEG, PNG, WebP, AVIF, HEIC or TIFF picture")
	}
	if err != nil {
		found, _, _ := strings.Cut(err.Error(), "; ")
		return evidence.Item{}, shop.Refuse(what, "picture", found,
			"a whole JPEG, PNG, WebP, AVIF, HEIC or TIFF picture of at most 60 megapixels")
	}
	photo := &evidence.Photo{Blob: "not kept yet", View: view, Caption: caption, WidthPx: info.WidthPx,
		HeightPx: info.HeightPx, MediaType: info.MediaType}
	if d, err := edtf.Parse(info.Taken); err == nil {
		if first, _ := d.First(); !first.After(r.shop.Now().Add(24 * time.Hour)) {
			photo.Taken = d
		}
	}
	// All that can be refused is, before anything is kept.
	if _, err := r.stores.Watches.Watch(ctx, id); err != nil {
		return evidence.Item{}, fmt.Errorf("%s: %w", what, err)
	}
	if _, err := r.shop.NewItems(what, by, []evidence.Data{photo}); err != nil {
		return evidence.Item{}, err
	}
	if photo.Blob, _, err = r.stores.Blobs.Put(ctx, bytes.NewReader(b), picture.MaxBytes); err != nil {
		return evidence.Item{}, fmt.Errorf("%s: %w", what, err)
	}
	items, err := r.Record(ctx, id, by, photo)
	if err != nil {
		return evidence.Item{}, err
	}
	return items[0], nil
}

// Adopt adds items that were made elsewhere, such as those of a watch file, as they
// are: with their own ids, times and authors. All or none go in.
func (r *Room) Adopt(ctx context.Context, id shop.WatchID, items ...evidence.Item) error {
	now := r.shop.Now()
	for _, it := range items {
		if p := it.Check(now); len(p) > 0 {
			return &shop.Invalid{What: "adopt item " + string(it.ID), Problems: p}
		}
	}
	if err := r.stores.Watches.Append(ctx, id, items...); err != nil {
		return fmt.Errorf("adopt items: %w", err)
	}
	return nil
}

// KeepBlob keeps a picture or a recording and returns its name.
func (r *Room) KeepBlob(ctx context.Context, b []byte) (string, error) {
	sha, _, err := r.stores.Blobs.Put(ctx, bytes.NewReader(b), picture.MaxBytes)
	if err != nil {
		return "", fmt.Errorf("keep blob: %w", err)
	}
	return sha, nil
}
