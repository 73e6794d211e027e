package web

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"strings"
	"sync"
	"time"

	"github.com/klauspost/compress/gzhttp"

	"midcase/internal/shop"
	"midcase/internal/web/pages/frame"
)

// What an open page can follow: the stock, the counter, or one watch by its id behind watchOf.
const (
	stockNow   = "stock"
	counterNow = "counter"
	watchOf    = "watch/"
)

const (
	lookEvery = 500 * time.Millisecond // at the shop's revision, once for all who follow
	beatEvery = 15 * time.Second       // sent where nothing happens, so that nobody in between gives up
	followFor = 10 * time.Minute       // then the browser asks anew
)

// now is what a page shows, and a mark that changes with it. A page without one follows nothing.
func (s *site) now(ctx context.Context, of string) frame.Now {
	mark, _, err := s.markOf(ctx, of)
	if err != nil {
		return frame.Now{}
	}
	return frame.Now{Of: of, Mark: mark}
}

// markOf is the mark of what a page shows, and who changed it last where that is known.
func (s *site) markOf(ctx context.Context, of string) (mark, by string, err error) {
	rev, err := s.shop.Revision(ctx)
	if err != nil {
		return "", "", err
	}
	id, isWatch := strings.CutPrefix(of, watchOf)
	switch {
	case of == stockNow:
		return short(rev.Watches, rev.Evidence, rev.Sales, rev.Ledger, rev.Settings, rev.Book), "", nil
	case of == counterNow:
		return short(rev.Sales, rev.Settings, rev.Book), "", nil
	case isWatch:
		return s.markOfWatch(ctx, shop.WatchID(id))
	}
	return "", "", fmt.Errorf("what follows %.40q: %w", of, shop.ErrNotFound)
}

func (s *site) markOfWatch(ctx context.Context, id shop.WatchID) (mark, by string, err error) {
	w, err := s.shop.Watch(ctx, id)
	if err != nil {
		return "", "", err
	}
	stores := s.shop.Stores()
	items, err := stores.Watches.Evidence(ctx, id)
	if err != nil {
		return "", "", err
	}
	steps, err := stores.Steps.Movements(ctx, id)
	if err != nil {
		return "", "", err
	}
	if len(items) > 0 {
		by = items[len(items)-1].By
	}
	return short(w.Version, len(items), len(steps)), by, nil
}

func short(parts ...any) string {
	sum := sha256.Sum256([]byte(fmt.Sprintln(parts...)))
	return hex.EncodeToString(sum[:8])
}

// changesPages tell open pages when what they show has changed, whoever changed it, on this server or another one of
// the shop. They ask the store rather than have it notify them: it is one short read for all, and works the same on
// every engine and behind every pooler.
type changesPages struct {
	*site
	mu  sync.Mutex
	at  time.Time
	rev shop.Revision
}

func (c *changesPages) routes(mux *http.ServeMux) { mux.HandleFunc("GET /changes", c.follow) }

// latest is the revision, no older than lookEvery.
func (c *changesPages) latest(ctx context.Context) (shop.Revision, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if time.Since(c.at) < lookEvery {
		return c.rev, nil
	}
	rev, err := c.shop.Revision(shop.Pin(ctx))
	if err == nil {
		c.rev, c.at = rev, time.Now()
	}
	return rev, err
}

// follow sends one event once what a page shows has another mark than the page has (server-sent events, WHATWG HTML,
// 9.2), and ends.
func (c *changesPages) follow(w http.ResponseWriter, r *http.Request) {
	of, since := r.FormValue("of"), r.FormValue("since")
	if _, _, err := c.markOf(r.Context(), of); err != nil {
		status, says := explain(err)
		http.Error(w, says, status)
		return
	}
	h := w.Header()
	h.Set("Content-Type", "text/event-stream")
	h.Set("X-Accel-Buffering", "no")
	h.Set(gzhttp.HeaderNoCompression, "1")
	out := &events{w, http.NewResponseController(w)}
	ctx, cancel := context.WithTimeout(r.Context(), followFor)
	defer cancel()
	look, beat := time.NewTicker(lookEvery), time.NewTicker(beatEvery)
	defer look.Stop()
	defer beat.Stop()
	var seen shop.Revision
	for err := out.send(": following\n\n"); err == nil; {
		rev, failed := c.latest(ctx)
		if failed == nil && rev != seen {
			seen = rev
			mark, by, failed := c.markOf(shop.Pin(ctx), of)
			if failed == nil && mark != since {
				_ = out.send(changedEvent(of, by, c.user(ctx)))
				return
			}
		}
		select {
		case <-ctx.Done():
			return
		case <-stopping(ctx):
			return
		case <-beat.C:
			err = out.send(": still following\n\n")
		case <-look.C:
		}
	}
}

// changedEvent is the event, with what the page says of it.
func changedEvent(of, by, reader string) string {
	says := "The stock has changed since you opened this page."
	switch {
	case of == counterNow:
		says = "Sales, settings or the reference book have changed since you opened this page."
	case of != stockNow && by != "" && by != reader:
		says = "This watch has changed since you opened the page; the last to record something was " + by + "."
	case of != stockNow:
		says = "This watch has changed since you opened the page."
	}
	b, _ := json.Marshal(map[string]string{"says": says}) // text alone
	return fmt.Sprintf("event: changed\ndata: %s\n\n", b)
}

// events is an answer that goes on.
type events struct {
	w       io.Writer
	control *http.ResponseController
}

func (e *events) send(text string) error {
	if _, err := io.WriteString(e.w, text); err != nil {
		return err
	}
	return e.control.Flush()
}

type stoppingKey struct{}

// stopping is closed when the server is told to stop, so that what goes on without end does not keep it.
func stopping(ctx context.Context) <-chan struct{} {
	done, _ := ctx.Value(stoppingKey{}).(<-chan struct{})
	return done
}
