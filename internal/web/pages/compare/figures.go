package compare

import (
	"context"
	"math"

	"midcase/internal/web/pages/wording"
	"midcase/money"
)

func running(ctx context.Context, a, b Side) []Line {
	if a.Watch == nil || b.Watch == nil { // the book does not say how a watch runs
		return nil
	}
	x, y := a.Opinion.Running, b.Opinion.Running
	// Twenty seconds a day, 60° of amplitude, 1.5 ms are as plain as can be.
	return kept(
		figure("Mean rate", x.Mean, y.Mean, 20, 0.6, func(v *float64) string {
			return wording.Signed(ctx, v, 1) +
				" s/d"
		}),
		figure("Greatest difference", x.Delta, y.Delta, 20, 0.4, func(v *float64) string {
			return wording.Number(ctx, v,
				1) + " s/d"
		}),
		figure("Amplitude", x.Amplitude, y.Amplitude, 60, 0.6, func(v *float64) string {
			return wording.Number(ctx, v,
				0) + "°"
		}),
		figure("Beat error", x.BeatError, y.BeatError, 1.5, 0.4, func(v *float64) string {
			return wording.Number(ctx, v,
				1) + " ms"
		}),
	)
}

// figure is a line of two figures that may be missing; plain is the difference that
// is as plain as can be, share the most that the line may weigh.
func figure(name string, a, b *float64, plain, share float64, say func(*float64) string) Line {
	if a == nil && b == nil {
		return Line{}
	}
	cell := func(v *float64) Cell {
		if v == nil {
			return Cell{Text: "–"}
		}
		return Cell{Text: say(v)}
	}
	l := Line{Feature: name, A: cell(a), B: cell(b)}
	if a != nil && b != nil {
		l.Weight = share * full(*a-*b, plain)
	}
	return l
}

func metals(ctx context.Context, a, b Side) []Line {
	name := func(s Side) string {
		if s.Watch != nil {
			return wording.Underscored(s.Opinion.Metal.Name)
		}
		if m, ok := s.maker.Metal(s.reference.Metal); ok && m.Name != "" {
			return m.Name
		}
		return wording.Underscored(s.reference.Metal)
	}
	x, y := a.Opinion.Metal, b.Opinion.Metal
	fine := figure("Fine metal", x.FineG, y.FineG, 20, 0.5, func(v *float64) string {
		return wording.Number(ctx, v, 1) +
			" g"
	})
	if fine.Feature != "" {
		fine.A.Range, fine.B.Range = reach(ctx, x.FineG, x.Interval), reach(ctx, y.FineG, y.Interval)
		fine.Weight = apart(fine.Weight, x.Interval, y.Interval)
	}
	return kept(text("Metal", name(a), name(b), 0.9), fine, amounts(ctx, "Melt floor", x.MeltFloor, y.MeltFloor, 0.3))
}

func reach(ctx context.Context, v *float64, interval [2]float64) string {
	if v == nil {
		return ""
	}
	return wording.Fixed(ctx, interval[0], 1) + "–" + wording.Fixed(ctx, interval[1], 1)
}

// amounts is a line of two amounts of money; twice as much is as plain as can be.
func amounts(ctx context.Context, name string, a, b *money.Money, share float64) Line {
	if a != nil && a.IsZero() {
		a = nil
	}
	if b != nil && b.IsZero() {
		b = nil
	}
	if a == nil && b == nil {
		return Line{}
	}
	l := Line{Feature: name, A: Cell{Text: wording.MoneyPtr(ctx, a)}, B: Cell{Text: wording.MoneyPtr(ctx, b)}}
	if a != nil && b != nil && a.Currency() == b.Currency() {
		l.Weight = share * ratio(a.Float(), b.Float())
	}
	return l
}

func ratio(a, b float64) float64 {
	if a <= 0 || b <= 0 {
		return 0
	}
	return full(math.Log(a/b), math.Ln2)
}

func price(ctx context.Context, a, b Side) []Line {
	if a.Watch == nil || b.Watch == nil { // the book names no prices
		return nil
	}
	x, y := a.Opinion.Value, b.Opinion.Value
	var worth Line
	if x.Known || y.Known {
		worth = Line{Feature: "Worth, 80 % range", A: Cell{Text: "cannot tell"}, B: Cell{Text: "cannot tell"}}
		if x.Known {
			worth.A.Text = span(ctx, x.Interval["80"], string(x.Currency))
		}
		if y.Known {
			worth.B.Text = span(ctx, y.Interval["80"], string(y.Currency))
		}
		if x.Known && y.Known && x.Median != nil && y.Median != nil {
			worth.Weight = apart(ratio(*x.Median, *y.Median), x.Interval["80"], y.Interval["80"])
		}
	}
	return kept(worth, amounts(ctx, "Pay no more than", a.Opinion.Deal.HighestPrice, b.Opinion.Deal.HighestPrice, 0.5),
		amounts(ctx, "We ask", &a.Watch.Asking, &b.Watch.Asking, 0.8),
		amounts(ctx, "Cost", &a.Watch.Cost, &b.Watch.Cost, 0.3),
		text("State", wording.State(a.Watch.State), wording.State(b.Watch.State), 0.05))
}

func span(ctx context.Context, r [2]float64, currency string) string {
	return wording.Amount(ctx, r[0]) + "–" + wording.Amount(ctx, r[1]) + "\u00a0" + currency
}
