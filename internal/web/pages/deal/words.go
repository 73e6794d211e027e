package deal

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"midcase/deal"
	"midcase/estimate"
	"midcase/internal/web/pages/wording"
	"midcase/opinion"
	"midcase/say"
)

func base(d Data) string { return "/watches/" + string(d.Watch.ID) }

func money(ctx context.Context, d Data, v float64) string {
	return wording.Amount(ctx, v) + "\u00a0" + d.Currency
}

func span(ctx context.Context, low, high float64) string {
	return wording.Amount(ctx, low) + " to " + wording.Amount(ctx, high)
}

func months(ctx context.Context, f estimate.Figure) string {
	if !f.Told() {
		return "not known"
	}
	return wording.Number(ctx, &f.Value, 1)
}

func monthsRange(ctx context.Context, f estimate.Figure) string {
	if !f.Told() {
		return ""
	}
	low, high := f.Interval.Low(), f.Interval.High()
	return wording.Number(ctx, &low, 1) + " to " + wording.Number(ctx, &high, 1)
}

// atWords says at which price the routes are compared.
func atWords(ctx context.Context, d Data) string {
	r := d.Routes.Comparison
	switch d.Routes.PriceIs {
	case opinion.PriceIsPaid:
		return "At the price paid, " + money(ctx, d, r.At)
	case opinion.PriceIsAsked:
		return "At the price asked of us, " + money(ctx, d, r.At)
	}
	return "No price is on record; at the highest price, " + money(ctx, d, r.At)
}

// answer is the page's answer in a sentence or two.
func answer(ctx context.Context, d Data) string {
	r := d.Routes.Comparison
	best := r.Best()
	if best.ExpectedProfit < 0 {
		return fmt.Sprintf("%s, every route should lose money; %s loses least, %s. The chance of a loss is %s.",
			atWords(ctx, d), best.Name, money(ctx, d, -best.ExpectedProfit), estimate.Percent(best.ChanceOfLoss))
	}
	return fmt.Sprintf("%s, %s should earn most: %s after all costs and tax (90 %% range %s). The chance of a loss is %s.", atWords(ctx, d), best.Name, money(ctx, d, best.ExpectedProfit),
		span(ctx, best.ProfitInterval90.Low(), best.ProfitInterval90.High()), estimate.Percent(best.ChanceOfLoss))
}

// cannotPay says why there is no highest price, empty where there is one.
func cannotPay(d Data) string {
	switch h := d.Routes.HighestPrice; {
	case h == nil:
		return fmt.Sprintf("Cannot tell what to pay: the market has no value for selling by %s.", d.Routes.Route)
	case h.Sign() <= 0:
		return fmt.Sprintf("No price leaves a margin of %s %% with a confidence of %s %% (%s).", d.Margin, d.Sure,
			d.Routes.Route)
	}
	return ""
}

// besides are the other highest prices of the page, by how much they differ from the
// one named: by a better route, and by the shop's own terms where others were typed.
func besides(ctx context.Context, d Data) string {
	if d.Routes.HighestPrice == nil {
		return ""
	}
	var out []string
	named := d.Routes.HighestPrice.Float()
	routes := slices.Clone(d.Routes.Comparison.Routes)
	slices.SortStableFunc(routes, func(a, b deal.RouteResult) int {
		return cmp.Compare(b.HighestPrice,
			a.HighestPrice)
	})
	if best := routes[0]; best.Name != d.Routes.Route && best.HighestPrice > named {
		out = append(out, fmt.Sprintf("Selling by %s would bear %s, %s.", best.Name, money(ctx, d, best.HighestPrice),
			against(ctx, d, best.HighestPrice, named)))
	}
	if d.Own != nil && d.Own.Float() != named {
		out = append(out, fmt.Sprintf("By the shop's own terms the highest price is %s, %s.",
			money(ctx, d, d.Own.Float()), against(ctx, d, d.Own.Float(), named)))
	}
	return strings.Join(out, " ")
}

func against(ctx context.Context, d Data, one, other float64) string {
	if one < other {
		return money(ctx, d, other-one) + " less"
	}
	return money(ctx, d, one-other) + " more"
}

func highestPrice(ctx context.Context, r deal.RouteResult) string {
	if !r.Reachable {
		return "none"
	}
	return wording.Amount(ctx, r.HighestPrice)
}

func share(v float64) string { return estimate.Percent(v) }

func barWidth(v float64) string { return f1(200 * math.Max(0, math.Min(1, v))) }

// ladderMarks are the rungs that matter by a word.
func ladderMarks(l *deal.LadderReport) map[int]string {
	out := map[int]string{l.Best: "best"}
	if i := nearest(l, l.Asked); i != l.Best && i >= 0 {
		out[i] = "now"
	}
	return out
}

// nearest is the rung that is nearest to an ask.
func nearest(l *deal.LadderReport, ask float64) int {
	at := -1
	for i, r := range l.Rungs {
		if at < 0 || math.Abs(r.Ask-ask) < math.Abs(l.Rungs[at].Ask-ask) {
			at = i
		}
	}
	return at
}

const shownAround = 4

// shown are the rungs of the short table: every second about the best, and the present ask.
func shown(l *deal.LadderReport) []int {
	var out []int
	now := nearest(l, l.Asked)
	for i := range l.Rungs {
		if i == now || (i-l.Best)%2 == 0 && max(i-l.Best, l.Best-i) <= 2*shownAround {
			out = append(out, i)
		}
	}
	return out
}

func rungWord(l *deal.LadderReport, i int) string {
	word := ladderMarks(l)[i]
	if word == "now" {
		return "about the present ask"
	}
	return word
}

func netPoints(l *deal.LadderReport) []point {
	var out []point
	for _, r := range l.Rungs {
		out = append(out, point{r.Ask, r.ExpectedNet, r.NetInterval90.Low(), r.NetInterval90.High()})
	}
	return out
}

func dayPoints(l *deal.LadderReport) (out []point, most float64) {
	for _, r := range l.Rungs {
		out = append(out, point{r.Ask, r.Days.Value, r.Days.Interval.Low(), r.Days.Interval.High()})
		most = math.Max(most, r.Days.Value)
	}
	return out, 1.15 * most
}

func sentence(s string) string { return strings.TrimSuffix(say.Capital(s), ".") + "." }

// ladderAnswer says what to ask, and whether to cut.
func ladderAnswer(ctx context.Context, d Data) string {
	l := d.Ladder.Ladder
	best := l.Rungs[l.Best]
	says := fmt.Sprintf("An ask of about %s should earn most: %s after everything, with half of such watches sold within %s days. Asks of %s earn nearly as much.", money(ctx, d, best.Ask), money(ctx, d, best.ExpectedNet),
		whole(ctx, best.Days.Value), span(ctx, l.NearBest[0], l.NearBest[1]))
	if l.CutAt >= 0 {
		step := l.Schedule[l.CutAt]
		when := " Cut now"
		if l.CutAt > 0 {
			when = fmt.Sprintf(" If it is still unsold after %.0f days, cut", step.DaysOnSale)
		}
		says += fmt.Sprintf("%s to about %s: that gains %s.", when, money(ctx, d, step.BestAsk),
			money(ctx, d, step.Gain))
	}
	return says
}

func whole(ctx context.Context, v float64) string { return wording.Fixed(ctx, v, 0) }
