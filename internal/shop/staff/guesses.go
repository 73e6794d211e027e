package staff

import (
	"context"
	"crypto/rand"
	"net/netip"

	"midcase/internal/shop"
)

// WrongAddress counts an address of the shop that somebody made up, such as that of a private link, and errs with
// *Wait where there were too many from one place. Who has a right one is not kept out by those who guess beside them.
func (r *Room) WrongAddress(ctx context.Context, from netip.Addr) error {
	limit := shop.TryLimit{Key: tryKey("wrong address", network(from)), Most: triesAddress, Within: countShort}
	wait, err := r.takeTry(ctx, rand.Text(), []shop.TryLimit{limit})
	if err == nil && wait > 0 {
		err = &Wait{wait}
	}
	return err
}
