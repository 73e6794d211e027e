package desk

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"time"

	"midcase/internal/shop"
	"midcase/internal/shop/memo"
	"midcase/opinion"
)

// Brief is an opinion in a line, for lists.
type Brief struct {
	Watch    shop.Watch
	Made     string // "1967-03/1969-11", empty where not known
	Troubles []string
	Grade    *float64
	Median   *float64
	Low      float64 // 80 % interval of the value
	High     float64
	Profit   *float64 // expected, as the opinion says
	Problem  string   // why there is no opinion
	Forming  bool     // there is no opinion yet: it is being formed
	Items    int      // items of evidence in force
	Reported bool     // an opinion on it went out on paper
	Outdated bool     // evidence came or went since then
	Sales    bool     // sales were imported since then
	Facts    *Facts   // what it is found by; nil before there is an opinion
}

// formedFrom is all that the opinion on a watch follows from.
type formedFrom struct {
	mark  shop.Mark // of the watch; zero for what all opinions of a moment have in common
	sales int64
	book  string
	terms [sha256.Size]byte
	day   string
}

// listMark is what the whole list follows from.
type listMark struct {
	stock   shop.StockMark
	reports reportsMark
	now     formedFrom
}

// atOnce is how many opinions are formed while somebody waits, and listWait for how long. Where more are out of
// date or it takes longer, they are formed in the background, and the list shows what there was before: on a busy
// machine on which every few moments somebody records something, nobody waits for a list that is out of date when
// it is done.
const (
	atOnce   = 100
	listWait = 5 * time.Second
)

// Overview is the whole stock with the opinion on each watch in a line, for reading memo.One,
// and how many of the opinions are out of date and being formed anew in the background.
func (r *Room) Overview(ctx context.Context) (all []Brief, forming int, err error) {
	rev, err := r.shop.Revision(ctx)
	if err != nil {
		return nil, 0, err
	}
	now, err := r.formingNow(ctx)
	if err != nil {
		return nil, 0, err
	}
	at := listMark{rev.Stock(), reportsMark{rev.Opinions, rev.Settings}, now}
	if list, kept, ok := r.lists.Kept(memo.One{}); ok && kept == at {
		return list, 0, nil
	}
	list, err := r.shop.Stock(ctx)
	if err != nil {
		return nil, 0, err
	}
	all, stale := r.asFormed(list, now)
	wait := listWait
	if stale > atOnce {
		wait = 0
	}
	formed, fresh, err := r.lists.Soon(ctx, memo.One{}, at, wait, func(ctx context.Context, _ []Brief) ([]Brief,
		error) {
		return r.formAll(ctx, list, now)
	})
	if err != nil || fresh {
		return formed, 0, err
	}
	if wait > 0 { // some of them are formed meanwhile
		all, stale = r.asFormed(list, now)
	}
	reported, err := r.reported(ctx)
	markReported(all, reported)
	return all, stale, err
}

// Pictures are the names of the picture that shows each watch best, as far as opinions are formed.
func (r *Room) Pictures(ctx context.Context) (map[shop.WatchID]string, error) {
	all, _, err := r.Overview(ctx)
	if err != nil {
		return nil, fmt.Errorf("pictures of the stock: %w", err)
	}
	out := make(map[shop.WatchID]string, len(all))
	for _, b := range all {
		if b.Facts != nil && b.Facts.Picture != "" {
			out[b.Watch.ID] = b.Facts.Picture
		}
	}
	return out, nil
}

// formAll gives the whole list, in which every opinion is up to date.
func (r *Room) formAll(ctx context.Context, list *shop.Stock, now formedFrom) ([]Brief, error) {
	all := make([]Brief, len(list.All))
	for i, w := range list.All {
		var err error
		if all[i], err = r.brief(ctx, w, list.Marks[i], now); err != nil {
			return nil, err
		}
	}
	reported, err := r.reported(ctx)
	markReported(all, reported)
	return all, err
}

// asFormed gives the list with the opinions that there are, and how many of them are missing or out of
// date.
func (r *Room) asFormed(list *shop.Stock, now formedFrom) (all []Brief, stale int) {
	all = make([]Brief, len(list.All))
	for i, w := range list.All {
		b, from, ok := r.briefs.Kept(w.ID)
		all[i] = b
		all[i].Watch, all[i].Forming = w, !ok
		if now.mark = list.Marks[i]; from != now {
			stale++
		}
	}
	return all, stale
}

// reportsMark is what the reports that went out follow from.
type reportsMark struct{ opinions, settings int64 }

// lastReport is what was known when the opinion on a watch last went out.
type lastReport struct {
	items int  // of evidence in force
	sales bool // sales were imported since
}

// reported tells of the last report of all watches that have one.
func (r *Room) reported(ctx context.Context) (map[shop.WatchID]lastReport, error) {
	rev, err := r.shop.Revision(ctx)
	if err != nil {
		return nil, err
	}
	return r.reports.Get(ctx, memo.One{}, reportsMark{rev.Opinions, rev.Settings}, r.readReports)
}

func (r *Room) readReports(ctx context.Context) (map[shop.WatchID]lastReport, error) {
	kept, err := r.stores.Opinions.LatestOpinions(ctx)
	if err != nil {
		return nil, err
	}
	imported, err := r.stores.Sales.SalesImported(ctx)
	if err != nil {
		return nil, err
	}
	out := make(map[shop.WatchID]lastReport, len(kept))
	for _, k := range kept {
		out[k.Watch] = lastReport{k.Evidence, k.Formed.Before(imported)}
	}
	return out, nil
}

// markReported notes on which watches an opinion went out, and whether evidence and
// sales are still what it was formed from.
func markReported(all []Brief, reports map[shop.WatchID]lastReport) {
	for i := range all {
		b := &all[i]
		r, reported := reports[b.Watch.ID]
		settled := reported && !b.Forming && b.Problem == ""
		b.Reported = reported
		b.Outdated = settled && r.items != b.Items
		b.Sales = settled && r.sales && b.Median != nil
	}
}

// Briefs lists watches with their opinion in a line, formed anew where anything has changed that it
// follows from.
func (r *Room) Briefs(ctx context.Context, f shop.Filter) ([]Brief, error) {
	list, err := r.shop.Stock(ctx)
	if err != nil {
		return nil, err
	}
	watches, err := r.stores.Watches.Watches(ctx, f)
	if err != nil {
		return nil, err
	}
	now, err := r.formingNow(ctx)
	if err != nil {
		return nil, err
	}
	all := make([]Brief, len(watches))
	for i, w := range watches {
		if all[i], err = r.brief(ctx, w, list.MarkOf(w), now); err != nil {
			return nil, err
		}
	}
	return all, nil
}

// formingNow is what all opinions of a moment follow from.
func (r *Room) formingNow(ctx context.Context) (formedFrom, error) {
	rev, err := r.shop.Revision(ctx)
	if err != nil {
		return formedFrom{}, err
	}
	set, err := r.shop.KeptSettings(ctx)
	return formedFrom{sales: rev.Sales, book: rev.Book, terms: set.Sum, day: r.shop.Now().Format(time.DateOnly)}, err
}

// brief is the opinion on a watch in a line.
func (r *Room) brief(ctx context.Context, w shop.Watch, at shop.Mark, now formedFrom) (Brief, error) {
	now.mark = at
	return r.briefs.Get(ctx, w.ID, now, func(ctx context.Context) (Brief, error) {
		b := Brief{Watch: w, Problem: w.Damaged}
		if b.Problem != "" {
			return b, nil
		}
		log, err := r.shop.Log(ctx, w.ID)
		if errors.Is(err, shop.ErrDamaged) {
			b.Problem = err.Error()
			return b, nil
		}
		if err != nil {
			return Brief{}, err
		}
		o, file, err := r.shop.OpinionOf(ctx, log, r.shop.Now(), opinion.Settings{})
		if err != nil {
			b.Problem = err.Error()
			return b, nil
		}
		b.fill(o)
		b.Items, b.Facts = len(file.Items), gather(o, file, r.shop.Book(ctx))
		return b, nil
	})
}

func (b *Brief) fill(o opinion.Opinion) {
	if o.Dating.Known {
		b.Made = o.Dating.EDTF
	}
	for _, it := range o.Dating.Items {
		if it.Disagrees && it.Kind == "serial" {
			b.Troubles = append(b.Troubles, "serial number disagrees")
		}
	}
	for _, p := range o.Parts {
		if opinion.IsTrouble(p.Verdict) && p.Verdict != opinion.Missing {
			b.Troubles = append(b.Troubles, p.Slot.Name()+" "+p.Verdict)
		}
	}
	b.Grade = o.Condition.Overall
	if o.Value.Known {
		b.Median = o.Value.Median
		b.Low, b.High = o.Value.Interval["80"][0], o.Value.Interval["80"][1]
	}
	if p := o.Deal.ExpectedProfit; p != nil {
		profit := p.Float()
		b.Profit = &profit
	}
}
