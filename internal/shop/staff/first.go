package staff

import (
	"context"
	"crypto/rand"
	"crypto/subtle"
	"errors"
	"net/netip"
	"strings"

	"midcase/internal/shop"
	"midcase/internal/shop/rights"
)

// NewCode makes a code that whoever starts the server gives to the first person: ten letters and digits that
// are not easily taken for one another, so that it can be read out.
func NewCode() string { return rand.Text()[:5] + "-" + rand.Text()[:5] }

func normalCode(code string) string {
	return strings.ToUpper(strings.NewReplacer("-", "", " ", "").Replace(code))
}

// ErrCode is returned for a code that is not the one that was printed.
var ErrCode = errors.New("this is not the code that was printed when the server started")

// First adds the first person, an owner, who knows the code. It is good for one person: where there is
// anybody already it is not. Tries count by address, before the code is looked at.
func (r *Room) First(ctx context.Context, want, given, name, password string, from netip.Addr) error {
	key := tryKey("first", network(from))
	wait, err := r.takeTry(ctx, rand.Text(),
		[]shop.TryLimit{{Key: key, Most: triesPlace, Within: countShort}})
	if err != nil {
		return err
	}
	if wait > 0 {
		return &Wait{wait}
	}
	people, err := r.People(ctx)
	if err != nil {
		return err
	}
	if want == "" || len(people) > 0 || subtle.ConstantTimeCompare([]byte(normalCode(want)),
		[]byte(normalCode(given))) != 1 {
		return ErrCode
	}
	return r.Add(ctx, name, password, rights.Owner)
}
