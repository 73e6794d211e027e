package storetest

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"midcase/evidence"
	"midcase/internal/shop"
)

// testFormOnce sends one form twenty times at once; one of them is recorded, with all of its changes.
func testFormOnce(t *testing.T, s Stores) {
	create(t, s, newWatch("w_1"))
	var recorded, refused atomic.Int32
	var done sync.WaitGroup
	for i := range 20 {
		done.Go(func() {
			ctx := shop.WithToken(t.Context(), shop.NewToken("form", day))
			ok(t, s.LogAccess(ctx, shop.Access{At: day, By: "Ada", What: "seen"})) // a look takes no token
			for k := range 2 {
				switch err := s.Append(ctx, "w_1", seen(fmt.Sprintf("ev_%d_%d", i, k), "1")); {
				case err == nil:
					recorded.Add(1)
				case errors.Is(err, shop.ErrDone):
					refused.Add(1)
				default:
					t.Error(err)
				}
			}
		})
	}
	done.Wait()
	equal(t, "changes recorded", recorded.Load(), 2)
	equal(t, "changes refused", refused.Load(), 38)
	equal(t, "items", len(must(s.Evidence(t.Context(), "w_1"))(t)), 2)
}

// testFormAnswer holds that a token is kept with what was recorded, or not at all, and forgotten in time.
func testFormAnswer(t *testing.T, s Stores) {
	create(t, s, newWatch("w_1"))
	answer := func(token string) string {
		t.Helper()
		led, done, err := s.FormAnswer(t.Context(), token)
		ok(t, err)
		return fmt.Sprint(done, " ", led)
	}
	send := func(token string, at time.Time, item evidence.Item) error {
		return s.Append(shop.WithToken(t.Context(), shop.NewToken(token, at)), "w_1", item)
	}
	equal(t, "before", answer("a"), "false ")
	ok(t, send("a", day, seen("ev_1", "1")))
	equal(t, "recorded", answer("a"), "true ")
	ok(t, s.AnswerForm(context.WithoutCancel(t.Context()), "a", "/watches/w_1"))
	equal(t, "answered", answer("a"), "true /watches/w_1")
	wantErr(t, "what fails", send("b", day, seen("ev_1", "1")), shop.ErrExists)
	equal(t, "after it failed", answer("b"), "false ")
	ok(t, send("b", day, seen("ev_2", "2")))
	ok(t, send("c", day.AddDate(0, 6, 0), seen("ev_3", "3")))
	equal(t, "after half a year", answer("a"), "false ")
}
