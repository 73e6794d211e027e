package deal

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"midcase/deal"
	"midcase/estimate"
	"midcase/internal/web/pages/wording"
	"midcase/opinion"
)

func base(d Data) string { return "/watches/" + string(d.Watch.ID) }

func money(d Data, v float64) string { return wording.Amount(v) + "\u00a0" + d.Currency }

func span(low, high float64) string { return wording.Amount(low) + " to " + wording.Amount(high) }

func months(f estimate.Figure) string {
	if !f.Told() {
		return "not known"
	}
	return wording.Number(&f.Value, 1)
}

func monthsRange(f estimate.Figure) string {
	if !f.Told() {
		return ""
	}
	low, high := f.Interval.Low(), f.Interval.High()
	return wording.Number(&low, 1) + " to " + wording.Number(&high, 1)
}

// atWords says at which price the routes are compared.
func atWords(d Data) string {
	r := d.Routes.Comparison
	switch d.Routes.PriceIs {
	case opinion.PriceIsPaid:
		return "At the price paid, " + money(d, r.At)
	case opinion.PriceIsAsked:
		return "At the price asked of us, " + money(d, r.At)
	}
	return "No price is on record; at the highest price of all routes, " + money(d, r.At)
}

// answer is the page's answer in a sentence or two.
func answer(d Data) string {
	r := d.Routes.Comparison
	best := r.Best()
	if best.ExpectedProfit < 0 {
		return fmt.Sprintf("%s, every route is expected to lose; %s loses least, %s. The chance of a loss is %s.", atWords(d), best.Name, money(d, -best.ExpectedProfit), estimate.Percent(best.ChanceOfLoss))
	}
	return fmt.Sprintf("%s, %s is expected to bring most: %s after all costs and tax, nine in ten between %s. The chance of a loss is %s.", atWords(d), best.Name, money(d, best.ExpectedProfit),
		span(best.ProfitInterval90.Low(), best.ProfitInterval90.High()), estimate.Percent(best.ChanceOfLoss))
}

// highest is the highest price of all routes, with the route that can bear it.
func highest(d Data) (deal.RouteResult, bool) {
	all := slices.Clone(d.Routes.Comparison.Routes)
	all = slices.DeleteFunc(all, func(r deal.RouteResult) bool { return !r.Reachable })
	if len(all) == 0 {
		return deal.RouteResult{}, false
	}
	return slices.MaxFunc(all, func(a, b deal.RouteResult) int {
		return map[bool]int{true: 1, false: -1}[a.HighestPrice > b.HighestPrice]
	}), true
}

func highestPrice(r deal.RouteResult) string {
	if !r.Reachable {
		return "none"
	}
	return wording.Amount(r.HighestPrice)
}

// floor3 is a price rounded down to three figures, so that what is named is kept.
func floor3(v float64) float64 {
	if v <= 0 {
		return v
	}
	unit := math.Pow(10, math.Max(0, math.Floor(math.Log10(v))-2))
	return math.Floor(v/unit) * unit
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

func sentence(s string) string { return strings.TrimSuffix(wording.Title(s), ".") + "." }

// ladderAnswer says what to ask, and whether to cut.
func ladderAnswer(d Data) string {
	l := d.Ladder.Ladder
	best := l.Rungs[l.Best]
	says := fmt.Sprintf("Asking about %s brings most, %s expected after everything, with half of such watches sold in %s days; from %s it makes little difference.", money(d, best.Ask), money(d, best.ExpectedNet),
		whole(best.Days.Value), span(l.NearBest[0], l.NearBest[1]))
	if l.CutAt >= 0 {
		step := l.Schedule[l.CutAt]
		when := "now"
		if l.CutAt > 0 {
			when = fmt.Sprintf("after %.0f days on sale", step.DaysOnSale)
		}
		says += fmt.Sprintf(" Cut to about %s %s if it is still there: that gains %s.", money(d, step.BestAsk), when, money(d, step.Gain))
	}
	return says
}

func whole(v float64) string { return wording.Thousands(fmt.Sprintf("%.0f", v)) }
