package whole

import (
	"context"
	"fmt"
	"math"

	"midcase/deal"
	"midcase/internal/web/pages/wording"
	"midcase/say"
	assets "midcase/web"
)

// asset is the address of a file under a name that changes with its bytes.
func asset(name string) string { return "/assets/" + name + "?v=" + assets.Version() }

const groupsShown = 10

// answer is the page's answer in a sentence or two.
func answer(d Data) say.Statement {
	w := d.Worth
	return say.That("whole.worth", say.Amount("invested", w.TiedUp, w.Currency), say.Count("n", w.Watches),
		say.Count("months", int(math.Round(w.Months))),
		say.Valued("worth", w.Median, w.Interval90, w.Currency), say.Chance("under", w.ChanceUnderPaid))
}

// spreadWords says what adding up the ranges as if independent would hide.
func spreadWords(d Data) say.Statement {
	w := d.Worth
	spread := say.That("whole.spread", say.Amount("sd", w.SD, w.Currency))
	if w.SDAlone > 0 && w.SD > 1.02*w.SDAlone {
		spread = say.That("whole.spread-together", say.Amount("sd", w.SD, w.Currency),
			say.Amount("alone", w.SDAlone, w.Currency))
	}
	return say.That("whole.spread-concentration", say.Saying("spread", spread),
		say.Fixed("references", w.HerfindahlReferences, say.None, 2),
		say.Fixed("metals", w.HerfindahlMetals, say.None, 2))
}

func groupName(ctx context.Context, c deal.Concentration) string {
	if c.Name == "" {
		return "unknown"
	}
	return metal(ctx, c.Name)
}

// metal is the name of a metal, or of anything else that stock is grouped by.
func metal(ctx context.Context, name string) string {
	return wording.Word(ctx, "sold_metal", name)
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
