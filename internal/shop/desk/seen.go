package desk

import (
	"context"
	"slices"

	"midcase/internal/shop"
	"midcase/internal/shop/rights"
)

// Seen are lines of the stock list as whoever asks may see them (see shop.SeenWatch).
func Seen(ctx context.Context, all []Brief) []Brief {
	if rights.May(ctx, rights.Cost) && shop.SeesNames(ctx) {
		return all
	}
	all = slices.Clone(all)
	for i := range all {
		all[i].Watch = shop.SeenWatch(ctx, all[i].Watch)
	}
	return all
}
