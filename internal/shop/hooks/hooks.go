package hooks

import (
	"context"
	"crypto/rand"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"net/netip"
	"net/url"
	"slices"
	"strings"
	"sync"
	"time"

	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/rights"
)

// The events that an address may hear of.
const (
	WatchChanged  = "watch.changed"
	EvidenceAdded = "evidence.added"
	SaleBooked    = "sale.booked"
	PaperIssued   = "paper.issued"
)

// Events are all events.
func Events() []string { return []string{WatchChanged, EvidenceAdded, SaleBooked, PaperIssued} }

// Room is what a shop tells other programs. It is safe for concurrent use.
type Room struct {
	shop  *shop.Shop
	store shop.HookStore
	now   func() time.Time

	mu   sync.Mutex
	seen shop.Revision // up to which everything was noticed
}

// New opens the room. Times of deliveries are those of the machine, since the shop's clock may stand still.
func New(s *shop.Shop) *Room { return &Room{shop: s, store: s.Stores().Hooks, now: time.Now} }

// mostHooks is how many addresses a shop may have.
const mostHooks = 20

// Add lets an address hear of events from now on, and returns it with the secret that signs what it is sent.
func (r *Room) Add(ctx context.Context, address string, events []string, by string) (shop.Hook, error) {
	const what = "address that hears of changes"
	if err := rights.Check(ctx, rights.Settings); err != nil {
		return shop.Hook{}, err
	}
	if err := checkAddress(what, address); err != nil {
		return shop.Hook{}, err
	}
	if len(events) == 0 {
		return shop.Hook{}, shop.Refuse(what, "events", "none", "at least one of "+strings.Join(Events(), ", "))
	}
	for _, e := range events {
		if !slices.Contains(Events(), e) {
			return shop.Hook{}, shop.Refuse(what, "events", fmt.Sprintf("%q", e),
				"one of "+strings.Join(Events(), ", "))
		}
	}
	all, err := r.store.Hooks(ctx)
	if err != nil {
		return shop.Hook{}, err
	}
	if len(all) >= mostHooks {
		return shop.Hook{}, shop.Refuse(what, "url", fmt.Sprint(len(all))+" addresses",
			fmt.Sprintf("at most %d: remove one first", mostHooks))
	}
	if len(all) == 0 {
		if err := r.beginNow(ctx); err != nil {
			return shop.Hook{}, err
		}
	}
	secret := make([]byte, 24)
	rand.Read(secret) //nolint:errcheck // never fails
	h := shop.Hook{ID: r.shop.NewID("hook"), URL: address, Events: slices.Clone(events), By: by, Made: r.now().UTC(),
		Secret: "whsec_" + base64.StdEncoding.EncodeToString(secret)}
	return h, r.store.KeepHook(ctx, h)
}

// checkAddress wants TLS, but for this machine itself.
func checkAddress(what, address string) error {
	u, err := url.Parse(address)
	wrong := shop.Refuse(what, "url", fmt.Sprintf("%.200q", address),
		"an address such as https://example.com/changes")
	if err != nil || u.Host == "" || u.User != nil || len(address) > 500 {
		return wrong
	}
	if u.Scheme == "https" {
		return nil
	}
	ip, err := netip.ParseAddr(u.Hostname())
	if u.Scheme == "http" && (u.Hostname() == "localhost" || err == nil && ip.IsLoopback()) {
		return nil
	}
	return wrong
}

// beginNow leaves out all that happened before.
func (r *Room) beginNow(ctx context.Context) error {
	was, err := r.store.Heard(ctx)
	if err != nil {
		return err
	}
	now, _, err := r.since(ctx, was)
	if err != nil {
		return err
	}
	return r.store.QueueDeliveries(shop.WithToken(ctx, nil), was, now, nil)
}

// All are the addresses, the oldest first. Their secrets are left out.
func (r *Room) All(ctx context.Context) ([]shop.Hook, error) {
	all, err := r.store.Hooks(ctx)
	for i := range all {
		all[i].Secret = ""
	}
	return all, err
}

// Drop removes an address and what was to be sent to it.
func (r *Room) Drop(ctx context.Context, id string) error {
	if err := rights.Check(ctx, rights.Settings); err != nil {
		return err
	}
	return r.store.DropHook(ctx, id)
}

// Sent are the last deliveries to an address, the latest first.
func (r *Room) Sent(ctx context.Context, hook string, last int) ([]shop.Delivery, error) {
	return r.store.Deliveries(ctx, hook, last)
}

// happened is one event with what it is about.
type happened struct {
	Event string            `json:"event"`
	Data  map[string]string `json:"data"`
}

// since is what has happened since a place, and the place after it.
func (r *Room) since(ctx context.Context, was shop.HookPlace) (now shop.HookPlace, all []happened, err error) {
	now = was
	stores := r.shop.Stores()
	changed, examined, cursor, err := stores.Watches.ChangedWatches(ctx, was.Cursor)
	if err != nil {
		return now, nil, err
	}
	now.Cursor = cursor
	for _, w := range changed {
		all = append(all, happened{WatchChanged, map[string]string{"watch": string(w.ID), "state": string(w.State),
			"version": fmt.Sprint(w.Version)}})
	}
	for _, id := range examined {
		all = append(all, happened{EvidenceAdded, map[string]string{"watch": string(id)}})
	}
	for e, err := range stores.Steps.Entries(ctx, shop.EntryFilter{From: was.Entries}) {
		if err != nil {
			return now, nil, err
		}
		now.Entries = e.Seq + 1
		if e.Kind == ledger.KindSale {
			all = append(all, happened{SaleBooked, map[string]string{"watch": string(e.Watch), "entry": e.ID}})
		}
	}
	papers, err := r.papersSince(ctx, was.Papers)
	for _, p := range papers {
		now.Papers = p.Seq + 1
		all = append(all, happened{PaperIssued, map[string]string{"paper": p.ID, "kind": string(p.Kind),
			"number": p.Number, "watch": string(p.Watch)}})
	}
	return now, all, err
}

// papersSince are the papers from a place on, the oldest first.
func (r *Room) papersSince(ctx context.Context, place int64) ([]shop.Paper, error) {
	for limit := 100; ; limit *= 10 {
		all, err := r.shop.Stores().Papers.Papers(ctx, shop.PaperFilter{Limit: limit})
		if err != nil {
			return nil, err
		}
		if len(all) == limit && all[len(all)-1].Seq > place {
			continue // more of them came meanwhile
		}
		all = slices.DeleteFunc(all, func(p shop.Paper) bool { return p.Seq < place })
		slices.Reverse(all)
		return all, nil
	}
}

// Notice queues what has happened since it was last called, by this or another server, and says how many messages.
func (r *Room) Notice(ctx context.Context) (int, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	rev, err := r.shop.Revision(ctx)
	if err != nil || rev == r.seen {
		return 0, err
	}
	hooks, err := r.store.Hooks(ctx)
	if err != nil || len(hooks) == 0 {
		return 0, err // one that is added begins from then
	}
	was, err := r.store.Heard(ctx)
	if err != nil {
		return 0, err
	}
	now, all, err := r.since(ctx, was)
	if err != nil {
		return 0, err
	}
	var out []shop.Delivery
	for _, h := range hooks {
		for _, x := range all {
			if !slices.Contains(h.Events, x.Event) {
				continue
			}
			d, err := r.message(h, x)
			if err != nil {
				return 0, err
			}
			out = append(out, d)
		}
	}
	if now != was {
		err = r.store.QueueDeliveries(ctx, was, now, out)
	}
	if errors.Is(err, shop.ErrConflict) {
		return 0, nil // another server has told them
	}
	if err == nil {
		r.seen = rev
	}
	return len(out), err
}

func (r *Room) message(h shop.Hook, x happened) (shop.Delivery, error) {
	at := r.now().UTC()
	d := shop.Delivery{ID: r.shop.NewID("msg"), Hook: h.ID, Event: x.Event, Made: at, Due: at}
	b, err := json.Marshal(struct {
		ID string    `json:"id"`
		At time.Time `json:"at"`
		happened
	}{d.ID, at, x})
	d.Body = string(b)
	return d, err
}
