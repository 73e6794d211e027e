package watch

import (
	"context"
	"fmt"
	"time"

	"midcase/evidence"
	"midcase/internal/web/pages/wording"
	"midcase/opinion"
)

// Earlier is an opinion that was kept, with what has changed since.
type Earlier struct {
	AsOf    string
	Formed  time.Time
	Items   int
	Changes []string
}

// Changes says what differs between two opinions on a watch, in the order of the
// page: date, parts, condition, value, price to pay.
func Changes(ctx context.Context, before, now opinion.Opinion) []string {
	out := dateChange(before.Dating, now.Dating)
	out = append(out, partChanges(before.Parts, now.Parts)...)
	if was, is := wording.Grade(ctx, before.Condition.Overall), wording.Grade(ctx, now.Condition.Overall); was != is {
		out = append(out, fmt.Sprintf("grade %s, was %s", is, was))
	}
	if was, is := fineWords(before.Metal), fineWords(now.Metal); was != is {
		out = append(out, fmt.Sprintf("fine metal %s, was %s", is, was))
	}
	if was, is := valueWords(ctx, before.Value), valueWords(ctx, now.Value); was != is {
		out = append(out, fmt.Sprintf("worth %s, was %s", is, was))
	}
	if was, is := wording.MoneyPtr(ctx, before.Deal.HighestPrice), wording.MoneyPtr(ctx,
		now.Deal.HighestPrice); was != is {
		out = append(out, fmt.Sprintf("pay no more than %s, was %s", is, was))
	}
	return out
}

func dateChange(before, now opinion.Dating) []string {
	words := func(d opinion.Dating) string {
		if !d.Known {
			return "not known"
		}
		return wording.Months(d.Interval90)
	}
	was, is := words(before), words(now)
	if was == is {
		return nil
	}
	return []string{fmt.Sprintf("made %s, was %s", is, was)}
}

func partChanges(before, now []opinion.Part) []string {
	was := map[evidence.Slot]string{}
	for _, p := range before {
		was[p.Slot] = p.Verdict
	}
	var out []string
	for _, p := range now {
		old, had := was[p.Slot]
		switch {
		case !had:
			out = append(out, fmt.Sprintf("%s: %s", p.Slot.Name(), p.Verdict))
		case old != p.Verdict:
			out = append(out, fmt.Sprintf("%s: %s, was %s", p.Slot.Name(), p.Verdict, old))
		}
	}
	return out
}

func fineWords(m opinion.Metal) string {
	if m.FineG == nil {
		return "not known"
	}
	return fmt.Sprintf("%.1f g", *m.FineG)
}

func valueWords(ctx context.Context, v opinion.Value) string {
	if !v.Known {
		return "not known"
	}
	return wording.Amount(ctx, v.Interval["80"][0]) + "–" + wording.Amount(ctx, v.Interval["80"][1])
}
