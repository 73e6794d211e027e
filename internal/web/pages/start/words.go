package start

import (
	"context"
	"math"

	"midcase/internal/web/pages/wording"
)

// rate writes an exchange rate to six significant figures.
func rate(ctx context.Context, v float64) string {
	decimals := 5 - int(math.Floor(math.Log10(v)))
	return wording.Fixed(ctx, v, min(max(decimals, 0), 8))
}
