package web

import (
	"context"
	"fmt"
	"net/http"
	"sync"

	"midcase/internal/picture"
)

// thumbnails keeps small pictures that were made, up to a number of bytes; one
// picture is decoded at a time, since a large one takes much memory.
type thumbnails struct {
	mu    sync.Mutex
	made  map[string][]byte
	bytes int
}

const thumbnailBytes = 24 << 20

// get is the small picture; the original is read when its turn has come, so that those who wait hold nothing.
func (t *thumbnails) get(ctx context.Context, sha string, side int, original func() ([]byte, error)) ([]byte, error) {
	key := fmt.Sprintf("%s %d", sha, side)
	t.mu.Lock()
	defer t.mu.Unlock()
	if b, ok := t.made[key]; ok {
		return b, nil
	}
	b, err := original()
	if err != nil {
		return nil, err
	}
	if b, err = picture.Small(ctx, b, side, 82); err != nil {
		return nil, err
	}
	if t.bytes+len(b) > thumbnailBytes || t.made == nil {
		t.made, t.bytes = map[string][]byte{}, 0
	}
	t.made[key] = b
	t.bytes += len(b)
	return b, nil
}

// send answers with a picture for a client, large or, where it is asked for, in 640 pixels.
func (t *thumbnails) send(w http.ResponseWriter, r *http.Request, s *site, sha string) error {
	ctx, side := r.Context(), 1600
	if r.FormValue("side") == "640" {
		side = 640
	}
	b, err := t.get(ctx, sha, side, func() ([]byte, error) { return s.shop.Picture(ctx, sha) })
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "image/jpeg")
	w.Header().Set("Cache-Control", "private, max-age=86400, immutable")
	_, err = w.Write(b)
	return err
}
