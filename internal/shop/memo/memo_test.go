package memo_test

import (
	"context"
	"errors"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"midcase/internal/shop/memo"
)

func value[V any](v V) func(context.Context) (V, error) {
	return func(context.Context) (V, error) { return v, nil }
}

func TestOneComputationAtATime(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		c := memo.New[string, int, int](10)
		var running, most, runs atomic.Int32
		compute := func(context.Context) (int, error) {
			most.Store(max(most.Load(), running.Add(1)))
			defer running.Add(-1)
			time.Sleep(time.Second)
			return int(runs.Add(1)), nil
		}
		var done sync.WaitGroup
		for range 20 {
			done.Go(func() {
				if v, err := c.Get(t.Context(), "a", 1, compute); v != 1 || err != nil {
					t.Errorf("Get: %d, %v; want 1", v, err)
				}
			})
		}
		done.Wait()
		for range 5 { // each of another mark
			for at := range 3 {
				done.Go(func() {
					if _, err := c.Get(t.Context(), "a", at+2, compute); err != nil {
						t.Error(err)
					}
				})
			}
		}
		done.Wait()
		if most.Load() != 1 {
			t.Errorf("%d computations ran at once; want 1", most.Load())
		}
		if runs.Load() < 4 {
			t.Errorf("%d computations; want one for each of four marks at least", runs.Load())
		}
	})
}

func TestMarks(t *testing.T) {
	c := memo.New[string, int, string](10)
	for _, step := range []struct {
		key       string
		at        int
		computes  string
		wantValue string
	}{
		{"a", 1, "one", "one"},
		{"a", 1, "again", "one"},
		{"b", 1, "of b", "of b"},
		{"a", 2, "two", "two"},
		{"a", 1, "back", "back"}, // only the latest is kept
		{"b", 1, "again", "of b"},
	} {
		got, err := c.Get(t.Context(), step.key, step.at, value(step.computes))
		if err != nil || got != step.wantValue {
			t.Errorf("Get(%s, %d) = %q, %v; want %q", step.key, step.at, got, err, step.wantValue)
		}
	}
	if v, at, ok := c.Kept("a"); v != "back" || at != 1 || !ok {
		t.Errorf("Kept(a) = %q, %d, %t; want back, 1, true", v, at, ok)
	}
	if _, _, ok := c.Kept("c"); ok {
		t.Error("Kept(c): found a value; want none")
	}
}

// A caller who asks at a newer mark while an older one is computed does not get the older value.
func TestNewerMarkWhileOlderIsComputed(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		c := memo.New[string, int, int](10)
		at := func(mark int) func(context.Context) (int, error) {
			return func(context.Context) (int, error) { time.Sleep(time.Second); return mark, nil }
		}
		var done sync.WaitGroup
		for mark := range 3 {
			done.Go(func() {
				if v, err := c.Get(t.Context(), "a", mark, at(mark)); v != mark || err != nil {
					t.Errorf("at mark %d: %d, %v", mark, v, err)
				}
			})
			synctest.Wait()
		}
		done.Wait()
	})
}

func TestBound(t *testing.T) {
	c := memo.New[int, int, int](3)
	for i := range 100 {
		if _, err := c.Get(t.Context(), i, 0, value(i)); err != nil {
			t.Fatal(err)
		}
		if _, err := c.Get(t.Context(), 0, 0, value(-1)); err != nil { // used again and again
			t.Fatal(err)
		}
	}
	if c.Len() != 3 {
		t.Errorf("%d keys are kept; want 3", c.Len())
	}
	if v, _, _ := c.Kept(0); v != 0 {
		t.Errorf("the key used most was dropped: %d; want 0", v)
	}
}

func TestErrorIsNotKept(t *testing.T) {
	c := memo.New[string, int, string](3)
	broken := errors.New("broken")
	fails := func(context.Context) (string, error) { return "half", broken }
	if _, err := c.Get(t.Context(), "a", 1, fails); !errors.Is(err, broken) {
		t.Fatalf("error %v; want %v", err, broken)
	}
	if c.Len() != 0 {
		t.Error("what came with an error was kept")
	}
	if v, err := c.Get(t.Context(), "a", 1, value("whole")); v != "whole" || err != nil {
		t.Errorf("after the error: %q, %v; want whole", v, err)
	}
	if _, err := c.Get(t.Context(), "a", 2, fails); !errors.Is(err, broken) {
		t.Fatalf("error %v; want %v", err, broken)
	}
	if v, at, _ := c.Kept("a"); v != "whole" || at != 1 {
		t.Errorf("an error took the place of what was kept: %q at %d", v, at)
	}
}

func TestPanicBecomesAnError(t *testing.T) {
	c := memo.New[string, int, string](3)
	_, err := c.Get(t.Context(), "a", 1, func(context.Context) (string, error) { panic("no such part") })
	if err == nil || !strings.Contains(err.Error(), "no such part") {
		t.Errorf("error %v; want the panic's words", err)
	}
}

func TestCancelledCallerLeavesOthersTheirValue(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		c := memo.New[string, int, int](3)
		compute := func(ctx context.Context) (int, error) {
			time.Sleep(time.Minute)
			return 7, ctx.Err()
		}
		hasty, cancel := context.WithCancel(t.Context())
		var done sync.WaitGroup
		done.Go(func() {
			if _, err := c.Get(hasty, "a", 1, compute); !errors.Is(err, context.Canceled) {
				t.Errorf("cancelled caller: %v; want %v", err, context.Canceled)
			}
		})
		synctest.Wait() // the first has begun the computation
		done.Go(func() {
			if v, err := c.Get(t.Context(), "a", 1, compute); v != 7 || err != nil {
				t.Errorf("the other caller: %d, %v; want 7", v, err)
			}
		})
		synctest.Wait()
		cancel()
		done.Wait()
	})
}

func TestSoonShowsWhatThereWas(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		c := memo.New[string, int, string](3)
		slow := func(v string) func(context.Context, string) (string, error) {
			return func(context.Context, string) (string, error) { time.Sleep(time.Minute); return v, nil }
		}
		for _, step := range []struct {
			at    int
			wait  time.Duration
			value string
			fresh bool
		}{
			{1, time.Second, "", false},
			{1, 2 * time.Minute, "one", true},
			{2, time.Second, "one", false}, // computing begins
			{3, time.Second, "one", false}, // joins it, at an older mark
			{3, 3 * time.Minute, "three", true},
			{3, 0, "three", true},
		} {
			v, fresh, err := c.Soon(t.Context(), "a", step.at, step.wait,
				slow([]string{"", "one", "two", "three"}[step.at]))
			if v != step.value || fresh != step.fresh || err != nil {
				t.Errorf("at %d within %v: %q, %t, %v; want %q, %t", step.at, step.wait, v, fresh, err, step.value,
					step.fresh)
			}
		}
	})
}

func TestSoonReturnsErrors(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		c := memo.New[string, int, string](3)
		broken := errors.New("broken")
		_, fresh, err := c.Soon(t.Context(), "a", 1, time.Second, func(context.Context, string) (string,
			error) {
			return "", broken
		})
		if fresh || !errors.Is(err, broken) {
			t.Errorf("fresh %t, error %v; want %v", fresh, err, broken)
		}
		gone, cancel := context.WithCancel(t.Context())
		cancel()
		slow := func(context.Context, string) (string, error) { time.Sleep(time.Minute); return "late", nil }
		if _, _, err := c.Soon(gone, "a", 1, time.Hour, slow); !errors.Is(err, context.Canceled) {
			t.Errorf("cancelled: %v; want %v", err, context.Canceled)
		}
		time.Sleep(time.Hour)
		if v, _, _ := c.Kept("a"); v != "late" {
			t.Errorf("kept %q; want what was computed after the caller left", v)
		}
	})
}

func TestGrowGetsWhatWasKept(t *testing.T) {
	c := memo.New[string, int, []int](3)
	for at := range 4 {
		got, err := c.Grow(t.Context(), "a", at, func(_ context.Context, was []int) ([]int, error) {
			return append(was[:len(was):len(was)], at), nil
		})
		if err != nil || len(got) != at+1 || got[at] != at {
			t.Errorf("grown to %v, %v; want %d numbers", got, err, at+1)
		}
	}
}
