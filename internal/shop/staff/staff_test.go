package staff_test

import (
	"errors"
	"net/netip"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"midcase/internal/shop"
	"midcase/internal/shop/rights"
	"midcase/internal/shop/shoptest"
	"midcase/internal/shop/staff"
)

const fourWords = "copper lantern quiet harbour"

var (
	here  = netip.MustParseAddr("192.0.2.1")
	there = netip.MustParseAddr("198.51.100.2")
)

func add(t *testing.T, b *shoptest.Bench, name string, role rights.Role) {
	t.Helper()
	if err := b.Staff.Add(t.Context(), name, fourWords, role); err != nil {
		t.Fatal(err)
	}
}

func admit(t *testing.T, b *shoptest.Bench, name, password string, from netip.Addr) error {
	t.Helper()
	_, err := b.Staff.Admit(t.Context(), staff.Try{Name: name, Password: password, Address: from})
	return err
}

func waits(err error) bool {
	var w *staff.Wait
	return errors.As(err, &w) && w.For > 0
}

func TestPeopleSignIn(t *testing.T) {
	t.Parallel()
	b, ctx := shoptest.New(t), t.Context()
	add(t, b, " Odo ", "")
	add(t, b, "Ines  Vale", rights.Sales)
	all, err := b.Staff.People(ctx)
	if err != nil || len(all) != 2 || all[0].Name != "Ines Vale" || all[1].Name != "Odo" ||
		all[0].Role != rights.Sales || all[1].Role != rights.Owner || !all[0].Since.Equal(shoptest.Morning) {
		t.Fatalf("people: %+v, %v", all, err)
	}
	for _, name := range []string{"ines vale", " INES VALE ", "Ines\u00a0Vale", "Ｉｎｅｓ Vale", "Ines \t Vale"} {
		p, err := b.Staff.Admit(ctx, staff.Try{Name: name, Password: fourWords})
		if err != nil || p.Name != "Ines Vale" {
			t.Errorf("%q: %q, %v", name, p.Name, err)
		}
	}
	for _, c := range [][2]string{{"Ines Vale", fourWords + "!"}, {"Nobody", fourWords}, {"", ""}, {"Odo", ""}} {
		if err := admit(t, b, c[0], c[1], here); !errors.Is(err, staff.ErrRefused) {
			t.Errorf("%s with %q: %v", c[0], c[1], err)
		}
	}
	shoptest.Refused(t, b.Staff.Add(ctx, "Ines", "short", ""), "password")
	shoptest.Refused(t, b.Staff.Add(ctx, "  ", fourWords, ""), "name")
	shoptest.Refused(t, b.Staff.Add(ctx, "a\u202eb", fourWords, ""), "name")
	shoptest.Refused(t, b.Staff.Add(ctx, "Ute", fourWords, "king"), "role")
	if err := b.Staff.Remove(ctx, "Ute"); !errors.Is(err, shop.ErrNotFound) {
		t.Errorf("removed one who is not there: %v", err)
	}
}

// What ends a session: another password, being removed and added again, signing out everywhere.
func TestWhatEndsSessions(t *testing.T) {
	t.Parallel()
	b, ctx := shoptest.New(t), t.Context()
	add(t, b, "Odo", "")
	seen := map[string]string{}
	look := func(after string) {
		t.Helper()
		all, err := b.Staff.People(ctx)
		if err != nil {
			t.Fatal(err)
		}
		p, ok := staff.Known(all, "odo")
		if was, before := seen[p.Mark()]; !ok || before {
			t.Errorf("after %s the sessions of %s go on (there: %t)", after, was, ok)
		}
		seen[p.Mark()] = after
	}
	look("the start")
	if err := b.Staff.Add(ctx, "ODO", "another four words here", ""); err != nil {
		t.Fatal(err)
	}
	look("a new password")
	if err := b.Staff.SignOutEverywhere(ctx, "odo"); err != nil {
		t.Fatal(err)
	}
	look("signing out everywhere")
	if err := b.Staff.Remove(ctx, "odo"); err != nil {
		t.Fatal(err)
	}
	add(t, b, "Odo", "")
	look("removal and adding again")
}

func TestTheLastOnesStay(t *testing.T) {
	t.Parallel()
	b, ctx := shoptest.New(t), t.Context()
	add(t, b, "Odo", "")
	add(t, b, "Ines", rights.Sales)
	shoptest.Refused(t, b.Staff.Remove(ctx, "Odo"), "name")
	shoptest.Refused(t, b.Staff.SetRole(ctx, "Odo", rights.Viewer), "role")
	if err := b.Staff.Remove(ctx, "Ines"); err != nil {
		t.Fatal(err)
	}
	elsewhere := b.Elsewhere(t)
	done, err := elsewhere.Staff.Serving(ctx, func(err error) { t.Error(err) })
	if err != nil {
		t.Fatal(err)
	}
	shoptest.Refused(t, b.Staff.Remove(ctx, "Odo"), "name")
	done()
	if err := b.Staff.Remove(ctx, "Odo"); err != nil {
		t.Errorf("the last person of a shop that is not served: %v", err)
	}
}

// A name typed otherwise, many tries at once and a restart do not give more tries.
func TestTriesAreCounted(t *testing.T) {
	t.Parallel()
	b := shoptest.New(t)
	add(t, b, "Bob", "")
	for i, name := range []string{"bob", "Bob ", " BOB", "Ｂob", "bob\u00a0"} {
		if err := admit(t, b, name, "a guess of this one", here); !errors.Is(err, staff.ErrRefused) {
			t.Fatalf("try %d: %v", i, err)
		}
	}
	if err := admit(t, b, "bob ", fourWords, here); !waits(err) {
		t.Errorf("the sixth try, under another spelling: %v; want to wait", err)
	}
	again := b.Elsewhere(t)
	if err := admit(t, again, "Bob", fourWords, here); !waits(err) {
		t.Errorf("after a restart: %v; want to wait", err)
	}
	if err := admit(t, b, "Bob", fourWords, there); err != nil {
		t.Errorf("its owner, from elsewhere: %v", err)
	}
	b.Clock.Set(shoptest.Morning.Add(16 * time.Minute))
	if err := admit(t, b, "Bob", fourWords, here); err != nil {
		t.Errorf("after a quarter of an hour: %v", err)
	}
	if err := admit(t, b, "Bob", "a guess of this one", here); !errors.Is(err, staff.ErrRefused) {
		t.Errorf("a first try after success: %v", err)
	}
}

func TestTriesAtOnceAreJudgedOneByOne(t *testing.T) {
	t.Parallel()
	b := shoptest.New(t)
	add(t, b, "Bob", "")
	var judged, waited atomic.Int32
	var group sync.WaitGroup
	for range 60 {
		group.Go(func() {
			switch err := admit(t, b, "Bob", "a guess of this one", here); {
			case errors.Is(err, staff.ErrRefused):
				judged.Add(1)
			case waits(err):
				waited.Add(1)
			default:
				t.Errorf("%v", err)
			}
		})
	}
	group.Wait()
	if judged.Load() != 5 || waited.Load() != 55 {
		t.Errorf("of 60 tries at once %d were judged and %d told to wait; want 5 and 55", judged.Load(), waited.Load())
	}
}

// Whoever guesses from many addresses keeps strangers out, but not the browser that has signed in before.
func TestNobodyIsLockedOutForGood(t *testing.T) {
	t.Parallel()
	b, ctx := shoptest.New(t), t.Context()
	add(t, b, "Bob", "")
	p, err := b.Staff.Admit(ctx, staff.Try{Name: "Bob", Password: fourWords, Address: here})
	if err != nil {
		t.Fatal(err)
	}
	browser := p.Remember()
	stopped := false
	for i := range 60 {
		from := netip.AddrFrom4([4]byte{203, 0, 113, byte(i)})
		stopped = stopped || waits(admit(t, b, "Bob", "a guess of this one", from))
	}
	if !stopped {
		t.Error("60 guesses from 60 addresses were all judged")
	}
	own := staff.Try{Name: "Bob", Password: fourWords, Address: here, Browser: browser}
	if _, err := b.Staff.Admit(ctx, own); err != nil {
		t.Errorf("the owner's own browser: %v", err)
	}
	forged := own
	forged.Browser = "x" + browser
	if _, err := b.Staff.Admit(ctx, forged); !waits(err) {
		t.Errorf("a browser that forged its mark: %v", err)
	}
	for range 10 {
		guess := own
		guess.Password = "a guess of this one"
		if _, err := b.Staff.Admit(ctx, guess); !errors.Is(err, staff.ErrRefused) {
			t.Fatal(err)
		}
	}
	if _, err := b.Staff.Admit(ctx, own); !waits(err) {
		t.Errorf("a known browser that guesses: %v", err)
	}
}

// An IPv6 line has a whole network; its addresses count as one.
func TestTriesOfANetwork(t *testing.T) {
	t.Parallel()
	b := shoptest.New(t)
	add(t, b, "Bob", "")
	for _, a := range []string{"2001:db8::1", "2001:db8::2", "2001:db8::3", "2001:db8:0:0:4::", "2001:db8::ffff:5"} {
		if err := admit(t, b, "Bob", "a guess of this one", netip.MustParseAddr(a)); !errors.Is(err, staff.ErrRefused) {
			t.Fatal(err)
		}
	}
	if err := admit(t, b, "Bob", fourWords, netip.MustParseAddr("2001:db8::6")); !waits(err) {
		t.Errorf("a sixth address of the network: %v", err)
	}
	if err := admit(t, b, "Bob", fourWords, netip.MustParseAddr("2001:db8:0:1::6")); err != nil {
		t.Errorf("another network: %v", err)
	}
}

// Strangers who wait for their password to be looked at are bounded, and do not hold up a browser that is
// known.
func TestAFloodIsRefusedAndKeepsNobodyWaiting(t *testing.T) {
	t.Parallel()
	b, ctx := shoptest.New(t), t.Context()
	add(t, b, "Bob", "")
	p, err := b.Staff.Admit(ctx, staff.Try{Name: "Bob", Password: fourWords, Address: here})
	if err != nil {
		t.Fatal(err)
	}
	var busy, judged atomic.Int32
	var group sync.WaitGroup
	for i := range 40 {
		group.Go(func() {
			from := netip.AddrFrom4([4]byte{203, 0, 113, byte(i)})
			switch err := admit(t, b, "Nobody "+from.String(), "a guess of this one", from); {
			case errors.Is(err, staff.ErrBusy):
				busy.Add(1)
			case errors.Is(err, staff.ErrRefused):
				judged.Add(1)
			default:
				t.Errorf("%v", err)
			}
		})
	}
	own := staff.Try{Name: "Bob", Password: fourWords, Address: here, Browser: p.Remember()}
	if _, err := b.Staff.Admit(ctx, own); err != nil {
		t.Errorf("the owner's own browser in the flood: %v", err)
	}
	group.Wait()
	if judged.Load() == 0 || judged.Load()+busy.Load() != 40 {
		t.Errorf("%d judged, %d refused; want 40 in all", judged.Load(), busy.Load())
	}
}

func TestTheRecordOfTheDoor(t *testing.T) {
	t.Parallel()
	b := shoptest.New(t)
	ctx := shop.As(t.Context(), "Odo")
	if err := b.Staff.Add(ctx, "Ines", fourWords, ""); err != nil {
		t.Fatal(err)
	}
	_ = admit(t, b, "ines", "a guess of this one", here)
	_ = admit(t, b, "correct horse battery", "", here)
	if err := b.Staff.Note(ctx, shop.SignIn{Name: "Ines", Address: here.String(), What: "signed in"}); err != nil {
		t.Fatal(err)
	}
	all, err := b.Staff.SignIns(ctx, 0)
	if err != nil || len(all) != 4 {
		t.Fatalf("%+v, %v; want four", all, err)
	}
	want := []shop.SignIn{
		{At: shoptest.Morning, Name: "Ines", Address: "192.0.2.1", What: "signed in"},
		{At: shoptest.Morning, Address: "192.0.2.1", What: "refused"}, // perhaps a password, not written down
		{At: shoptest.Morning, Name: "Ines", Address: "192.0.2.1", What: "refused"},
		{At: shoptest.Morning, Name: "Ines", By: "Odo", What: "added"},
	}
	for i := range want {
		if !all[i].At.Equal(want[i].At) {
			t.Errorf("%d: at %s", i, all[i].At)
		}
		all[i].At = want[i].At
		if all[i] != want[i] {
			t.Errorf("%d: %+v; want %+v", i, all[i], want[i])
		}
	}
	if last, err := b.Staff.SignIns(ctx, 2); err != nil || len(last) != 2 || last[0].What != "signed in" {
		t.Errorf("the last two: %+v, %v", last, err)
	}
}

// Passwords that are tried first are refused however long they are. The first three are of lists of leaked passwords
// and of keys in a row; the estimate is that of the library's lists.
func TestPasswordsThatAreGuessedEarlyAreRefused(t *testing.T) {
	t.Parallel()
	b := shoptest.New(t)
	for _, early := range []string{"password1234", "iloveyou1234", "qwertyuiopas", "aaaaaaaaaaaaaaa", "midcasemidcase",
		"Ottilie Marwitz", "short"} {
		err := b.Staff.Add(t.Context(), "Ottilie Marwitz", early, "")
		var invalid *shop.Invalid
		if !errors.As(err, &invalid) || invalid.Problems[0].Field != "password" {
			t.Errorf("%q: %v; want the password refused", early, err)
		}
		if err != nil && strings.Contains(err.Error(), early) {
			t.Errorf("the message holds the password: %v", err)
		}
	}
	long := strings.Repeat("seven bicycles under one umbrella ", 20)
	if err := b.Staff.Add(t.Context(), "Ottilie Marwitz", long, ""); err != nil {
		t.Errorf("a long one: %v", err)
	}
	if _, err := b.Staff.Admit(t.Context(), staff.Try{Name: "Ottilie Marwitz", Password: long[:len(long)-1],
		Address: here}); !errors.Is(err, staff.ErrRefused) {
		t.Errorf("the long one without its last character: %v; want every character to count", err)
	}
}
