package staff_test

import (
	"errors"
	"slices"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/pquerna/otp/totp"

	"midcase/internal/shop"
	"midcase/internal/shop/rights"
	"midcase/internal/shop/shoptest"
	"midcase/internal/shop/staff"
)

// The codes are those of RFC 6238, appendix B, cut to six digits: 287082 at 59 s, 005924 at 1234567890 s.
const rfcSecret = "GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ" // "12345678901234567890" in base32

func TestCodesAreThoseOfTheStandard(t *testing.T) {
	t.Parallel()
	b, ctx := shoptest.New(t), t.Context()
	add(t, b, "Odo", "")
	for at, code := range map[int64]string{59: "287082", 1234567890: "005924"} {
		b.Clock.Set(time.Unix(at, 0))
		if err := b.Staff.AddCodes(ctx, "odo", rfcSecret, code); err != nil {
			t.Errorf("at %d s: %v", at, err)
		}
		shoptest.Refused(t, b.Staff.AddCodes(ctx, "Odo", rfcSecret, "287083"), "code")
	}
}

// Whoever set up an app is asked for its code; a code is good once, and a wrong one counts as a try.
func TestSignInWithACode(t *testing.T) {
	t.Parallel()
	b, ctx := shoptest.New(t), t.Context()
	add(t, b, "Odo", "")
	secret, address, err := b.Staff.NewSecret("Odo")
	if err != nil || address == "" {
		t.Fatal(err)
	}
	code := func() string {
		t.Helper()
		c, err := totp.GenerateCode(secret, b.Clock.Now())
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	if err := b.Staff.AddCodes(ctx, "Odo", secret, code()); err != nil {
		t.Fatal(err)
	}
	try := func(code string) error {
		_, err := b.Staff.Admit(ctx, staff.Try{Name: "Odo", Password: fourWords, Code: code, Address: here})
		return err
	}
	if err := try(""); !errors.Is(err, staff.ErrCodeWanted) {
		t.Errorf("without a code: %v", err)
	}
	if err := try(code()); !errors.Is(err, staff.ErrRefused) {
		t.Errorf("the code with which it was set up: %v", err)
	}
	b.Clock.Set(b.Clock.Now().Add(time.Minute))
	if err := try(code()); err != nil {
		t.Errorf("a new code: %v", err)
	}
	if err := try(code()); !errors.Is(err, staff.ErrRefused) {
		t.Errorf("the same again: %v", err)
	}
	b.Clock.Set(b.Clock.Now().Add(20 * time.Minute))
	for range 5 {
		if err := try("000000"); !errors.Is(err, staff.ErrRefused) {
			t.Fatalf("a guess: %v", err)
		}
	}
	if err := try(code()); !waits(err) {
		t.Errorf("after five guesses: %v; want to wait", err)
	}
	if err := b.Staff.DropCodes(ctx, "Odo"); err != nil {
		t.Fatal(err)
	}
	b.Clock.Set(b.Clock.Now().Add(20 * time.Minute))
	if err := try(""); err != nil {
		t.Errorf("without the app: %v", err)
	}
}

// A token is good for what it was made for, until its day, and as long as its person is there.
func TestTokens(t *testing.T) {
	t.Parallel()
	b, ctx := shoptest.New(t), t.Context()
	add(t, b, "Odo", "")
	add(t, b, "Ines", rights.Sales)
	may := []rights.Right{rights.See, rights.Clients}
	secret, err := b.Staff.AddToken(ctx, "ines", "web site", may, 30)
	if err != nil {
		t.Fatal(err)
	}
	p, got, err := b.Staff.Bearer(ctx, secret)
	if err != nil || p.Name != "Ines" || !slices.Equal(got, may) {
		t.Fatalf("%s, %v, %v", p.Name, got, err)
	}
	limited := rights.Limited(rights.With(ctx, p.Role), got)
	if !rights.May(limited, rights.Clients) || rights.May(limited, rights.Trade) ||
		rights.Check(limited, rights.Trade) == nil {
		t.Error("a token may what it was not made for")
	}
	if _, _, err := b.Staff.Bearer(ctx, secret+"A"); !errors.Is(err, staff.ErrRefused) {
		t.Errorf("another token: %v", err)
	}
	all, err := b.Staff.Tokens(ctx, "Ines")
	if err != nil || len(all) != 1 || all[0].ID == secret || all[0].Used.IsZero() {
		t.Errorf("%+v, %v", all, err)
	}
	for _, bad := range []struct {
		name string
		may  []rights.Right
		days int
	}{{"", may, 30}, {"x", nil, 30}, {"x", may, 0}, {"x", may, 1000}, {"x", []rights.Right{rights.Ledger}, 30}} {
		if _, err := b.Staff.AddToken(ctx, "Ines", bad.name, bad.may, bad.days); err == nil {
			t.Errorf("made: %+v", bad)
		}
	}
	if err := b.Staff.DropToken(ctx, "Odo", all[0].ID); err != nil {
		t.Fatal(err)
	}
	if _, _, err := b.Staff.Bearer(ctx, secret); err != nil {
		t.Errorf("removed by another person: %v", err)
	}
	b.Clock.Set(shoptest.Morning.AddDate(0, 0, 31))
	if _, _, err := b.Staff.Bearer(ctx, secret); !errors.Is(err, staff.ErrRefused) {
		t.Errorf("after its day: %v", err)
	}
	b.Clock.Set(shoptest.Morning)
	if err := b.Staff.Remove(ctx, "Ines"); err != nil {
		t.Fatal(err)
	}
	add(t, b, "Ines", rights.Sales)
	if _, _, err := b.Staff.Bearer(ctx, secret); !errors.Is(err, staff.ErrRefused) {
		t.Errorf("of somebody removed and added again: %v", err)
	}
	if _, err := b.Staff.AddToken(ctx, "Nobody", "x", may, 30); !errors.Is(err, shop.ErrNotFound) {
		t.Errorf("of nobody: %v", err)
	}
}

// A code lets in once, also where many send it at the same moment.
func TestACodeIsGoodOnceForManyAtOnce(t *testing.T) {
	t.Parallel()
	b, ctx := shoptest.New(t), t.Context()
	add(t, b, "Odo", "")
	b.Clock.Set(time.Unix(59, 0))
	if err := b.Staff.AddCodes(ctx, "Odo", rfcSecret, "287082"); err != nil {
		t.Fatal(err)
	}
	b.Clock.Set(time.Unix(1234567890, 0))
	var in atomic.Int32
	var all sync.WaitGroup
	for range 4 { // fewer than are let through to the password at once
		all.Go(func() {
			_, err := b.Staff.Admit(ctx, staff.Try{Name: "Odo", Password: fourWords, Code: "005924", Address: here})
			if err == nil {
				in.Add(1)
			}
		})
	}
	all.Wait()
	if in.Load() != 1 {
		t.Errorf("%d came in with one code; want 1", in.Load())
	}
}

// Somebody new of a name that was removed has no way in of the one before.
func TestSomebodyNewHasNoWayInOfTheOldName(t *testing.T) {
	t.Parallel()
	b, ctx := shoptest.New(t), t.Context()
	add(t, b, "Odo", "")
	add(t, b, "Ines", rights.Sales)
	b.Clock.Set(time.Unix(59, 0))
	if err := b.Staff.AddCodes(ctx, "Ines", rfcSecret, "287082"); err != nil {
		t.Fatal(err)
	}
	if err := b.Staff.Remove(ctx, "Ines"); err != nil {
		t.Fatal(err)
	}
	add(t, b, "Ines", rights.Sales)
	if has, err := b.Staff.HasCodes(ctx, "Ines"); has || err != nil {
		t.Errorf("the codes of the one before: %v, %v", has, err)
	}
}
