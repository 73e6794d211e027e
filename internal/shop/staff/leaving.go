package staff

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"unicode/utf8"

	"github.com/alexedwards/argon2id"

	"midcase/internal/shop"
)

// How long a leaving key is: short enough to be typed on a tablet while a client stands by. It is good for one
// presentation, and tries are few.
const leastLeaving, longestLeaving = 4, 12

// triesLeaving is how many wrong keys there may be within countShort.
const triesLeaving = 5

// HashLeaving is the hash of the key by which a presentation is left. It errs with *shop.Invalid and ErrBusy.
func (r *Room) HashLeaving(ctx context.Context, key string) (hash string, err error) {
	if n := utf8.RuneCountInString(key); n < leastLeaving || n > longestLeaving {
		return "", &shop.Invalid{What: "presentation", Problems: oneProblem("leaving", fmt.Sprintf("%d characters", n),
			fmt.Sprintf("%d to %d characters", leastLeaving, longestLeaving))}
	}
	err = r.hashing.known.run(ctx, func() error {
		hash, err = argon2id.CreateHash(key, &hashing)
		return err
	})
	if err != nil {
		return "", fmt.Errorf("leaving key: %w", err)
	}
	return hash, nil
}

// Leave errs unless a key is that of a hash: with ErrRefused, *Wait or ErrBusy. The try is counted before the key
// is looked at; each presentation is counted by itself, since no two hashes are alike.
func (r *Room) Leave(ctx context.Context, key, hash string) error {
	id, limit := rand.Text(), shop.TryLimit{Key: tryKey("leaving", hash), Most: triesLeaving, Within: countShort}
	wait, err := r.takeTry(ctx, id, []shop.TryLimit{limit})
	if err != nil {
		return err
	}
	if wait > 0 {
		return &Wait{wait}
	}
	match, err := r.hashing.known.matches(ctx, key, hash)
	switch {
	case errors.Is(err, ErrBusy):
		return errors.Join(err, r.forgetTries(ctx, id)) // it was not judged
	case err != nil:
		return fmt.Errorf("leaving key: %w", err)
	case !match:
		return ErrRefused
	}
	return r.forgetTries(ctx, id, limit.Key)
}
