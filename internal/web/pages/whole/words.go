package whole

import (
	"context"
	"fmt"
	"math"

	"midcase/deal"
	"midcase/estimate"
	"midcase/internal/web/pages/wording"
	assets "midcase/web"
)

// asset is the address of a file under a name that changes with its bytes.
func asset(name string) string { return "/assets/" + name + "?v=" + assets.Version() }

const groupsShown = 10

// answer is the page's answer in a sentence or two.
func answer(ctx context.Context, d Data) string {
	w := d.Worth
	watches := "1 watch"
	if w.Watches != 1 {
		watches = fmt.Sprintf("%d watches", w.Watches)
	}
	return fmt.Sprintf("%s %s is tied up in %s, together worth about %s (90 %% range %s–%s). The chance that the stock is worth less than it cost is %s.",
		wording.Amount(ctx, w.TiedUp), w.Currency, watches, wording.Amount(ctx, w.Median), wording.Amount(ctx,
			w.Interval90.Low()), wording.Amount(ctx, w.Interval90.High()), estimate.Percent(w.ChanceUnderPaid))
}

// spreadWords says what adding up the ranges as if independent would hide.
func spreadWords(ctx context.Context, d Data) string {
	w := d.Worth
	says := fmt.Sprintf("The worth of the whole stock has a standard deviation of %s",
		wording.Amount(ctx, w.SD))
	if w.SDAlone > 0 && w.SD > 1.02*w.SDAlone {
		says += fmt.Sprintf("; if watches moved independently it would be %s. The difference is the market that moves them together", wording.Amount(ctx, w.SDAlone))
	}
	return says + fmt.Sprintf(". Concentration (1: all in one): references %s, metals %s.",
		wording.Number(ctx, &w.HerfindahlReferences, 2), wording.Number(ctx, &w.HerfindahlMetals, 2))
}

func groupName(c deal.Concentration) string {
	if c.Name == "" {
		return "not known"
	}
	return metal(c.Name)
}

var metals = map[string]string{"gold18": "18 karat gold", "gold14": "14 karat gold", "gold9": "9 karat gold", "two_tone": "steel and gold", "gold_filled": "gold filled", "steel": "steel", "platinum": "platinum", "silver": "silver"}

func metal(name string) string {
	if says, ok := metals[name]; ok {
		return says
	}
	return wording.Underscored(name)
}

// barData is the range on a line with what was paid.
type barData struct {
	width, low, high, median, paid float64
	anchor                         string
}

func newBar(d Data, width float64) barData {
	w := d.Worth
	low, high := math.Min(w.TiedUp, w.Interval90.Low()), math.Max(w.TiedUp, w.Interval90.High())
	if high <= low {
		high = low + 1
	}
	const room = 80 // beside the range, for its figures
	at := func(v float64) float64 { return room + (v-low)/(high-low)*(width-2*room) }
	b := barData{width, at(w.Interval90.Low()), at(w.Interval90.High()), at(w.Median), at(w.TiedUp), "middle"}
	return b
}

func f1(v float64) string { return fmt.Sprintf("%.1f", v) }

func lostShare(ctx context.Context, f deal.FallEffect) string {
	v := -100 * f.Share
	return wording.Number(ctx, &v, 1) + " %"
}
