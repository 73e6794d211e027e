package staff

import (
	"context"
	"errors"
	"sync"
	"time"

	"midcase/internal/shop"
)

// spareTries counts tries in memory while the disk is full, so that people can come in to read and nobody can guess
// meanwhile.
type spareTries struct {
	mu   sync.Mutex
	when map[string][]time.Time
}

// mostSpare bounds the keys that are counted at once; where there are more, everybody waits.
const mostSpare = 10_000

func (s *spareTries) take(now time.Time, limits []shop.TryLimit) (wait time.Duration) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.when == nil {
		s.when = map[string][]time.Time{}
	}
	for _, l := range limits {
		tries := s.when[l.Key]
		for len(tries) > 0 && now.Sub(tries[0]) >= l.Within {
			tries = tries[1:]
		}
		if s.when[l.Key] = tries; len(tries) == 0 {
			delete(s.when, l.Key)
		}
		if len(tries) >= l.Most {
			wait = max(wait, min(l.Within, tries[len(tries)-l.Most].Add(l.Within).Sub(now)))
		}
	}
	if len(s.when) > mostSpare {
		wait = max(wait, countShort)
	}
	if wait == 0 {
		for _, l := range limits {
			s.when[l.Key] = append(s.when[l.Key], now)
		}
	}
	return wait
}

func (s *spareTries) forget(keys []string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, k := range keys {
		delete(s.when, k)
	}
}

// takeTry counts a try in the store, or on a full disk in memory.
func (r *Room) takeTry(ctx context.Context, id string, limits []shop.TryLimit) (time.Duration, error) {
	wait, err := r.doors.TakeTry(ctx, id, r.shop.Now(), limits)
	if errors.Is(err, shop.ErrDiskFull) {
		return r.spare.take(r.shop.Now(), limits), nil
	}
	return wait, err
}

func (r *Room) forgetTries(ctx context.Context, id string, keys ...string) error {
	r.spare.forget(keys)
	err := r.doors.ForgetTries(ctx, id, keys...)
	if errors.Is(err, shop.ErrDiskFull) {
		return nil
	}
	return err
}
