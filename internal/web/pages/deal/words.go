package deal

import (
	"cmp"
	"context"
	"math"
	"slices"

	"midcase/deal"
	"midcase/estimate"
	"midcase/internal/web/pages/wording"
	pkgmoney "midcase/money"
	"midcase/opinion"
	"midcase/say"
)

func base(d Data) string { return "/watches/" + string(d.Watch.ID) }

func money(ctx context.Context, d Data, v float64) string {
	return wording.Amount(ctx, v) + "\u00a0" + d.Currency
}

func span(ctx context.Context, low, high float64) string {
	return wording.AmountRange(ctx, low, high)
}

func months(ctx context.Context, f estimate.Figure) string {
	if !f.Told() {
		return "unknown"
	}
	return wording.Number(ctx, &f.Value, 1)
}

func monthsRange(ctx context.Context, f estimate.Figure) string {
	if !f.Told() {
		return ""
	}
	low, high := f.Interval.Low(), f.Interval.High()
	return wording.ReaderOf(ctx).Locale.Range(low, high, 1)
}

// at says at which price routes are compared.
func at(d Data) say.Statement {
	r := d.Routes.Comparison
	if d.Routes.Consigned {
		return say.That("pay.for-owner")
	}
	switch d.Routes.PriceIs {
	case opinion.PriceIsPaid:
		return say.That("pay.at-paid", say.Amount("price", r.At, r.Currency))
	case opinion.PriceIsAsked:
		return say.That("pay.at-asked", say.Amount("price", r.At, r.Currency))
	}
	return say.That("pay.at-highest", say.Amount("price", r.At, r.Currency))
}

// answer names the best route and what it should earn.
func answer(d Data) say.Statement {
	r := d.Routes.Comparison
	best := r.Best()
	if best.ExpectedProfit < 0 {
		return say.That("pay.least-loss", say.Saying("at", at(d)), route("route", best.Name),
			say.Amount("loss", -best.ExpectedProfit, r.Currency))
	}
	return say.That("pay.best", say.Saying("at", at(d)), route("route", best.Name),
		say.Valued("profit", best.ExpectedProfit, best.ProfitInterval90, r.Currency),
		say.Chance("loss", best.ChanceOfLoss))
}

// cannotPay says why there is no highest price.
func cannotPay(d Data) say.Statement {
	t := d.Routes
	switch h := t.HighestPrice; {
	case t.Consigned:
	case h == nil:
		return say.That("pay.no-value", route("route", t.Route))
	case h.Sign() <= 0:
		return say.That("pay.none", say.Name("margin", d.Margin+" %"), say.Name("confidence", d.Sure+" %"),
			route("route", t.Route))
	}
	return say.Statement{}
}

// besides names the other highest prices of the page, and by how much they differ.
func besides(d Data) []say.Statement {
	if d.Routes.HighestPrice == nil {
		return nil
	}
	var out []say.Statement
	named, c := d.Routes.HighestPrice.Float(), d.Routes.Comparison.Currency
	best := slices.MaxFunc(d.Routes.Comparison.Routes, func(a, b deal.RouteResult) int {
		return cmp.Compare(a.HighestPrice, b.HighestPrice)
	})
	if best.Name != d.Routes.Route && best.HighestPrice > named {
		out = append(out, say.That("pay.other-route", route("route", best.Name),
			say.Amount("price", best.HighestPrice, c), say.Saying("against", against(best.HighestPrice, named, c))))
	}
	if d.Own != nil && d.Own.Float() != named {
		out = append(out, say.That("pay.own-terms", say.Money("price", *d.Own),
			say.Saying("against", against(d.Own.Float(), named, c))))
	}
	return out
}

func against(one, other float64, c pkgmoney.Currency) say.Statement {
	if one < other {
		return say.That("pay.less", say.Amount("by", other-one, c))
	}
	return say.That("pay.more", say.Amount("by", one-other, c))
}

// route is the name of a route, which is a word of the trade or the shop's own.
func route(name, id string) say.Arg { return say.Term(name, "route", id, id) }

func routeName(ctx context.Context, id string) string {
	return say.Capital(wording.Word(ctx, "route", id))
}

func highestPrice(ctx context.Context, d Data, r deal.RouteResult) string {
	if d.Routes.Consigned {
		return ""
	}
	if !r.Reachable {
		return "none"
	}
	return wording.Amount(ctx, r.HighestPrice)
}

func neverSells(r deal.RouteResult) string {
	if r.Name == deal.Trade {
		return ""
	}
	return estimate.Percent(r.ChanceUnsold)
}

func routeAsk(ctx context.Context, r deal.RouteResult) string {
	if r.Ask == 0 {
		return ""
	}
	return wording.Amount(ctx, r.Ask)
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

// ladderAnswer says what to ask, and when to cut.
func ladderAnswer(d Data) say.Statement {
	l := d.Ladder.Ladder
	best := l.Rungs[l.Best]
	amount := func(name string, v float64) say.Arg { return say.Amount(name, v, l.Currency) }
	ask := say.That("pay.ask", amount("ask", best.Ask), say.Chance("unsold", best.ChanceUnsold),
		amount("net", best.ExpectedNet),
		say.Count("days", int(math.Round(best.Days.Value))), amount("high", l.NearBest[1]))
	if l.CutAt < 0 {
		return ask
	}
	return say.That("phrase.sentences", say.All("all", ask, l.Cut()))
}

// days is a range of days.
func days(ctx context.Context, i estimate.Interval) string {
	return wording.ReaderOf(ctx).Locale.Range(i.Low(), i.High(), 0)
}

func whole(ctx context.Context, v float64) string { return wording.Fixed(ctx, v, 0) }
