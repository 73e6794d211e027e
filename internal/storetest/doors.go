package storetest

import (
	"fmt"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"midcase/internal/shop"
)

var limits = []shop.TryLimit{{Key: "name", Most: 5, Within: 15 * time.Minute},
	{Key: "address", Most: 8, Within: 15 * time.Minute}}

// take makes a try and returns how long it has to wait.
func take(t *testing.T, s Stores, id string, at time.Time, limits ...shop.TryLimit) time.Duration {
	t.Helper()
	return must(s.TakeTry(t.Context(), id, at, limits))(t)
}

// testTries makes more tries at once than there are, of which no more are let through than there are.
func testTries(t *testing.T, s Stores) {
	var through atomic.Int32
	var group sync.WaitGroup
	for i := range 20 {
		group.Go(func() {
			if wait, err := s.TakeTry(t.Context(), fmt.Sprint(i), day, limits); err != nil {
				t.Error(err)
			} else if wait == 0 {
				through.Add(1)
			}
		})
	}
	group.Wait()
	equal(t, "let through", through.Load(), 5)
	equal(t, "wait", take(t, s, "late", day.Add(5*time.Minute), limits...), 10*time.Minute)
	equal(t, "another name", take(t, s, "other", day.Add(5*time.Minute),
		shop.TryLimit{Key: "other", Most: 5, Within: 15 * time.Minute}, limits[1]), 0)
	equal(t, "after the time", take(t, s, "after", day.Add(15*time.Minute), limits...), 0)
	ok(t, s.ForgetTries(t.Context(), "after"))
	for i := range 5 {
		equal(t, "all five again", take(t, s, fmt.Sprint("again", i), day.Add(16*time.Minute), limits[0]), 0)
	}
	equal(t, "with the clock set back, no longer than the limit", take(t, s, "back", day.Add(-time.Hour), limits[0]),
		15*time.Minute)
	ok(t, s.ForgetTries(t.Context(), "again0", "name"))
	equal(t, "after success", take(t, s, "free", day.Add(16*time.Minute), limits[0]), 0)
}

// testSignIns keeps what happened at the door in its order.
func testSignIns(t *testing.T, s Stores) {
	ctx := t.Context()
	for i := range 3 {
		ok(t, s.NoteSignIn(ctx, shop.SignIn{At: day.Add(time.Duration(i) * time.Minute), Name: fmt.Sprint("Ada ", i),
			Address: "192.0.2.1", By: "Odo", What: "signed in"}))
	}
	all := must(s.SignIns(ctx, 2))(t)
	equal(t, "last two", len(all), 2)
	equal(t, "the latest first", all[0].Name, "Ada 2")
	equal(t, "whole", all[1].By+all[1].Address+all[1].What+all[1].At.UTC().String(),
		"Odo192.0.2.1signed in"+day.Add(time.Minute).UTC().String())
	equal(t, "all", len(must(s.SignIns(ctx, 0))(t)), 3)
}

// testServed notes servers, of which one ends and one is cut off.
func testServed(t *testing.T, s Stores) {
	ctx := t.Context()
	equal(t, "nobody serves", must(s.Served(ctx, day))(t), false)
	ok(t, s.Serve(ctx, "a", day.Add(time.Minute)))
	ok(t, s.Serve(ctx, "a", day.Add(2*time.Minute)))
	ok(t, s.Serve(ctx, "b", day.Add(time.Hour)))
	ok(t, s.Serve(ctx, "b", time.Time{}))
	equal(t, "one serves", must(s.Served(ctx, day.Add(time.Minute)))(t), true)
	equal(t, "it was cut off", must(s.Served(ctx, day.Add(3*time.Minute)))(t), false)
}

// testSessions keeps sessions until their time, and ends them.
func testSessions(t *testing.T, s Stores) {
	ctx := t.Context()
	ok(t, s.KeepSession(ctx, "a", []byte("Ada\x00"), day, day.Add(time.Hour)))
	ok(t, s.KeepSession(ctx, "b", []byte("Ben"), day, day.Add(2*time.Hour)))
	ok(t, s.KeepSession(ctx, "a", []byte("Ada\x00again"), day, day.Add(time.Hour)))
	equal(t, "kept", string(must(s.Session(ctx, "a", day))(t)), "Ada\x00again")
	_, err := s.Session(ctx, "a", day.Add(time.Hour))
	wantErr(t, "after its time", err, shop.ErrNotFound)
	ok(t, s.EndSession(ctx, "b"))
	_, err = s.Session(ctx, "b", day)
	wantErr(t, "ended", err, shop.ErrNotFound)
}

// testCredentials keeps ways in by id and person.
func testCredentials(t *testing.T, s Stores) {
	ctx := t.Context()
	one := shop.Credential{ID: "1", Person: "Ada", Kind: "token", Name: "till", Data: `{"x":1}`, Made: day}
	two := shop.Credential{ID: "2", Person: "Ada", Kind: "passkey", Name: "phone", Made: day.Add(time.Minute)}
	for _, c := range []shop.Credential{two, one, {ID: "3", Person: "Ben", Made: day}} {
		ok(t, s.KeepCredential(ctx, c))
	}
	one.Used, one.Name = day.Add(time.Hour), "till at the door"
	ok(t, s.KeepCredential(ctx, one))
	ok(t, s.UseCredential(ctx, shop.Credential{ID: "dropped", Used: day}))
	_, err := s.Credential(ctx, "dropped")
	wantErr(t, "used after it was dropped", err, shop.ErrNotFound)
	one.Made, one.Used, two.Made = one.Made.UTC(), one.Used.UTC(), two.Made.UTC() // as all times are kept
	same(t, "one", must(s.Credential(ctx, "1"))(t), one)
	same(t, "all of Ada's", must(s.Credentials(ctx, "Ada"))(t), []shop.Credential{one, two})
	ok(t, s.DropCredentials(ctx, "Ben", "2"))
	equal(t, "of another person", len(must(s.Credentials(ctx, "Ada"))(t)), 2)
	ok(t, s.DropCredentials(ctx, "Ada", "2"))
	equal(t, "left", len(must(s.Credentials(ctx, "Ada"))(t)), 1)
	ok(t, s.DropCredentials(ctx, "Ada", ""))
	equal(t, "all taken away", len(must(s.Credentials(ctx, "Ada"))(t)), 0)
	_, err = s.Credential(ctx, "1")
	wantErr(t, "gone", err, shop.ErrNotFound)
}
