package memo

import (
	"context"
	"fmt"
	"runtime/debug"
	"time"

	lru "github.com/hashicorp/golang-lru/v2"
	"golang.org/x/sync/singleflight"
)

// Cache keeps of each key K the latest value V with the mark M that it was computed at. It is safe
// for concurrent use.
type Cache[K, M comparable, V any] struct {
	kept   *lru.Cache[K, entry[M, V]]
	flight singleflight.Group
}

type entry[M comparable, V any] struct {
	at    M
	value V
}

// One is the key of a cache of one value.
type One struct{}

// New returns a cache of at most so many keys, of which the least used go first; at least one.
func New[K, M comparable, V any](bound int) *Cache[K, M, V] {
	kept, err := lru.New[K, entry[M, V]](max(1, bound))
	if err != nil {
		panic(err) // it only refuses sizes below one
	}
	return &Cache[K, M, V]{kept: kept}
}

// Get returns the value of a key at a mark. Where what is kept has another mark, it is computed; who
// asks meanwhile waits for the same computation. A caller who is cancelled leaves, and the computation
// goes on for the others.
func (c *Cache[K, M, V]) Get(ctx context.Context, key K, at M, compute func(context.Context) (V, error)) (V, error) {
	return c.Grow(ctx, key, at, func(ctx context.Context, _ V) (V, error) { return compute(ctx) })
}

// Grow is Get for a value that is brought up to date rather than computed anew: grow gets the value
// that was kept, or the zero V. Where grow changes that value in place, it guards it against its readers.
func (c *Cache[K, M, V]) Grow(ctx context.Context, key K, at M, grow func(ctx context.Context, was V) (V, error)) (V,
	error) {
	for {
		if e, ok := c.kept.Get(key); ok && e.at == at {
			return e.value, nil
		}
		select {
		case r := <-c.start(ctx, key, at, grow):
			if e := r.Val.(entry[M, V]); e.at == at { // else somebody's computation at another mark was under way
				return e.value, r.Err
			}
		case <-ctx.Done():
			var none V
			return none, ctx.Err()
		}
	}
}

// Soon is Grow that waits no longer than asked. Where it takes longer the computation goes on in the
// background; fresh is false, and the value is what there was, of an older mark, or the zero V.
func (c *Cache[K, M, V]) Soon(ctx context.Context, key K, at M, wait time.Duration,
	grow func(ctx context.Context, was V) (V, error)) (value V, fresh bool, err error) {
	if e, ok := c.kept.Get(key); ok && e.at == at {
		return e.value, true, nil
	}
	short, cancel := context.WithTimeout(ctx, wait)
	defer cancel()
	select {
	case r := <-c.start(ctx, key, at, grow):
		if e := r.Val.(entry[M, V]); e.at == at {
			return e.value, r.Err == nil, r.Err
		}
		if value, err = c.Grow(short, key, at, grow); err == nil || short.Err() == nil {
			return value, err == nil, err
		}
	case <-short.Done():
	}
	if err := ctx.Err(); err != nil {
		return value, false, err
	}
	value, _, _ = c.Kept(key)
	return value, false, nil
}

// start begins to compute the value, or joins who is computing it. What comes back is an entry with
// the mark that it was computed at, also beside an error.
func (c *Cache[K, M, V]) start(ctx context.Context, key K, at M, grow func(context.Context, V) (V,
	error)) <-chan singleflight.Result {
	ctx = context.WithoutCancel(ctx)
	return c.flight.DoChan(fmt.Sprintf("%#v", key), func() (any, error) {
		e := entry[M, V]{at: at}
		was, ok := c.kept.Peek(key)
		if ok && was.at == at { // it was finished between look and start
			return was, nil
		}
		var err error
		if e.value, err = caught(ctx, was.value, grow); err == nil {
			c.kept.Add(key, e)
		}
		return e, err
	})
}

// caught calls grow and turns a panic into an error: it runs in a goroutine of its own, where a panic
// would end the program.
func caught[V any](ctx context.Context, was V, grow func(context.Context, V) (V, error)) (v V, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("computing a value: panic: %v\n%s", p, debug.Stack())
		}
	}()
	return grow(ctx, was)
}

// Kept returns the value of a key as it was computed last, and its mark.
func (c *Cache[K, M, V]) Kept(key K) (value V, at M, ok bool) {
	e, ok := c.kept.Get(key)
	return e.value, e.at, ok
}

// Len is the number of keys of which a value is kept.
func (c *Cache[K, M, V]) Len() int { return c.kept.Len() }
