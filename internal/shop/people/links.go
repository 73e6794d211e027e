package people

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"midcase/internal/shop"
	"midcase/internal/shop/rights"
	"midcase/say"
)

// A private link opens for so many days.
const (
	LinkDays     = 14 // where nothing else was said
	mostLinkDays = 90
)

// AddLink makes a private link of a watch to a client that opens for so many days, and returns it with what stands in
// its address. Only the hash of that is kept, so it is shown this once. Whether the watch may be told of is for the
// caller to ask.
func (r *Room) AddLink(ctx context.Context, l shop.Link, days int) (shop.Link, string, error) {
	const what = "make a private link"
	if days < 1 || days > mostLinkDays {
		return l, "", shop.Refuse(what, "days", fmt.Sprint(days), fmt.Sprintf("1 to %d days", mostLinkDays))
	}
	if !slices.Contains(say.Languages(), l.Language) {
		return l, "", shop.Refuse(what, "language", fmt.Sprintf("%q", l.Language),
			"one of "+strings.Join(say.Languages(), ", "))
	}
	if l.By = strings.TrimSpace(l.By); l.By == "" {
		return l, "", shop.Refuse(what, "by", "nothing", "who makes it")
	}
	if err := r.shop.ClientOnRecord(ctx, what, l.Client); err != nil {
		return l, "", err
	}
	if err := r.access(ctx, l.Client, "private link made"); err != nil {
		return l, "", err
	}
	now := r.shop.Now()
	l.ID, l.Made, l.Until = r.shop.NewID("ln"), now, now.AddDate(0, 0, days).Format(time.DateOnly)
	secret := rand.Text() // 130 bits
	if err := r.stores.Links.KeepLink(ctx, l, linkHash(secret)); err != nil {
		return l, "", fmt.Errorf("%s: %w", what, err)
	}
	return l, secret, nil
}

func linkHash(secret string) string {
	sum := sha256.Sum256([]byte(secret))
	return hex.EncodeToString(sum[:])
}

// Links lists the private links of a watch, to a client, or all, the latest first.
func (r *Room) Links(ctx context.Context, watch shop.WatchID, client string) ([]shop.Link, error) {
	if err := rights.Check(ctx, rights.Clients); err != nil {
		return nil, err
	}
	return r.stores.Links.Links(ctx, shop.LinkFilter{Watch: watch, Client: client})
}

// EndLink takes a private link back.
func (r *Room) EndLink(ctx context.Context, id string) (shop.Link, error) {
	l, err := r.stores.Links.EndLink(ctx, id, r.shop.Now())
	if err != nil {
		return l, err
	}
	return l, r.access(ctx, l.Client, "private link taken back")
}

// LinkUnder is the link of what stands in an address, or shop.ErrNotFound.
func (r *Room) LinkUnder(ctx context.Context, secret string) (shop.Link, error) {
	return r.stores.Links.LinkOf(ctx, linkHash(secret))
}

// NoteOpened counts that a private link was opened. On a full disk it is not counted, and opens all the same.
func (r *Room) NoteOpened(ctx context.Context, l shop.Link) error {
	err := r.stores.Links.SeeLink(ctx, l.ID, r.shop.Now())
	if errors.Is(err, shop.ErrDiskFull) {
		return nil
	}
	return err
}
