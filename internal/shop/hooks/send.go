package hooks

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"strings"
	"time"

	"midcase/client"
	"midcase/internal/shop"
)

const (
	tryTime  = 10 * time.Second
	atATime  = 20
	lookEach = 2 * time.Second
)

// waits are how long after each failed try the next one is due; after the last it is given up.
var waits = []time.Duration{10 * time.Second, 30 * time.Second, 2 * time.Minute, 10 * time.Minute, 30 * time.Minute,
	time.Hour, 3 * time.Hour, 6 * time.Hour, 12 * time.Hour}

// Run tells of changes until the context ends.
func (r *Room) Run(ctx context.Context, log *slog.Logger) {
	c := &http.Client{Timeout: tryTime, CheckRedirect: func(*http.Request, []*http.Request) error {
		return http.ErrUseLastResponse // a message goes to the address that was given, and to no other
	}}
	for {
		_, err := r.Notice(ctx)
		if err == nil {
			err = r.Send(ctx, c)
		}
		if err != nil && ctx.Err() == nil {
			log.Warn("telling other programs of changes", "error", err)
		}
		select {
		case <-ctx.Done():
			return
		case <-time.After(lookEach):
		}
	}
}

// Send sends the messages that are due and notes what came of each.
func (r *Room) Send(ctx context.Context, c *http.Client) error {
	due, err := r.store.TakeDeliveries(ctx, r.now(), r.now().Add(2*atATime*tryTime), atATime)
	if err != nil || len(due) == 0 {
		return err
	}
	all, err := r.store.Hooks(ctx)
	if err != nil {
		return err
	}
	hooks := map[string]shop.Hook{}
	for _, h := range all {
		hooks[h.ID] = h
	}
	for _, d := range due {
		h, ok := hooks[d.Hook]
		if !ok {
			continue // removed meanwhile, and the message with it
		}
		if err := r.store.SettleDelivery(ctx, r.tried(ctx, c, h, d)); err != nil {
			return err
		}
	}
	return nil
}

// tried sends one message and says what came of it.
func (r *Room) tried(ctx context.Context, c *http.Client, h shop.Hook, d shop.Delivery) shop.Delivery {
	says, err := r.post(ctx, c, h, d)
	now := r.now().UTC()
	d.Tries++
	d.Says = says
	switch {
	case err == nil:
		d.Due, d.Done = time.Time{}, now
	case d.Tries > len(waits):
		d.Due, d.Says = time.Time{}, says+"; given up"
	default:
		d.Due = now.Add(waits[d.Tries-1])
	}
	return d
}

var errNotTaken = errors.New("not taken")

func (r *Room) post(ctx context.Context, c *http.Client, h shop.Hook, d shop.Delivery) (says string, err error) {
	req, err := http.NewRequestWithContext(ctx, http.MethodPost, h.URL, strings.NewReader(d.Body))
	if err != nil {
		return "the address is wrong", err
	}
	req.Header.Set("Content-Type", "application/json")
	req.Header.Set("User-Agent", "midcase")
	if err := client.SignMessage(req.Header, h.Secret, d.ID, r.now(), []byte(d.Body)); err != nil {
		return "the secret is damaged", err
	}
	res, err := c.Do(req)
	if err != nil {
		return "no answer", err
	}
	defer res.Body.Close()
	_, _ = io.Copy(io.Discard, io.LimitReader(res.Body, 1<<16))
	says = fmt.Sprintf("answered %d", res.StatusCode)
	if res.StatusCode < 200 || res.StatusCode > 299 {
		return says, errNotTaken
	}
	return says, nil
}
