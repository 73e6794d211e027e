package desk

import (
	"context"
	"crypto/rand"
	"crypto/subtle"
	"errors"
	"fmt"

	"midcase/internal/shop"
)

const feedKeyName = "calendar feed key"

// FeedKey is the secret part of the address under which calendar programs, which cannot
// sign in, read the feed. It is made when it is first asked for.
func (r *Room) FeedKey(ctx context.Context) (string, error) {
	key, err := r.stores.Settings.Setting(ctx, feedKeyName)
	if errors.Is(err, shop.ErrNotFound) {
		return r.NewFeedKey(ctx)
	}
	if err != nil {
		return "", fmt.Errorf("key of the calendar feed: %w", err)
	}
	return key, nil
}

// NewFeedKey makes another key; the address with the old one leads nowhere from then on.
func (r *Room) NewFeedKey(ctx context.Context) (string, error) {
	key := rand.Text()
	if err := r.stores.Settings.SetSetting(ctx, feedKeyName, key); err != nil {
		return "", fmt.Errorf("key of the calendar feed: %w", err)
	}
	return key, nil
}

// IsFeedKey reports whether a text is the key of the calendar feed. It makes none.
func (r *Room) IsFeedKey(ctx context.Context, text string) (bool, error) {
	key, err := r.stores.Settings.Setting(ctx, feedKeyName)
	if errors.Is(err, shop.ErrNotFound) {
		return false, nil
	}
	if err != nil {
		return false, fmt.Errorf("key of the calendar feed: %w", err)
	}
	return key != "" && subtle.ConstantTimeCompare([]byte(key), []byte(text)) == 1, nil
}
