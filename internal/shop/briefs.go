package shop

import (
	"context"
	"crypto/sha256"
	"time"

	"midcase/internal/shop/memo"
	"midcase/opinion"
)

// Brief is an opinion in a line, for lists.
type Brief struct {
	Watch    Watch
	Made     string // "1967-03/1969-11", empty where not known
	Troubles []string
	Grade    *float64
	Median   *float64
	Low      float64 // 80 % interval of the value
	High     float64
	Problem  string // why there is no opinion
	Forming  bool   // there is no opinion yet: it is being formed
	Items    int    // items of evidence in force
	Reported bool   // an opinion on it went out on paper
	Outdated bool   // evidence came or went since then
	Sales    bool   // sales were imported since then
}

// formedFrom is all that the opinion on a watch follows from.
type formedFrom struct {
	mark  Mark // of the watch; zero for what all opinions of a moment have in common
	sales int64
	book  string
	terms [sha256.Size]byte
	day   string
}

// listMark is what the whole list follows from.
type listMark struct {
	stock   StockMark
	reports reportsMark
	now     formedFrom
}

// atOnce is how many opinions are formed while somebody waits. Where more are out of
// date, they are formed in the background, and the list shows what there was before.
const atOnce = 100

// Overview is the whole stock with the opinion on each watch in a line, for reading memo.One,
// and how many of the opinions are out of date and being formed anew in the background.
func (s *Shop) Overview(ctx context.Context) (all []Brief, forming int, err error) {
	rev, err := s.Revision(ctx)
	if err != nil {
		return nil, 0, err
	}
	now, err := s.formingNow(ctx)
	if err != nil {
		return nil, 0, err
	}
	at := listMark{rev.Stock(), reportsMark{rev.Opinions, rev.Settings}, now}
	if list, kept, ok := s.known.lists.Kept(memo.One{}); ok && kept == at {
		return list, 0, nil
	}
	list, err := s.Stock(ctx)
	if err != nil {
		return nil, 0, err
	}
	form := func(ctx context.Context) ([]Brief, error) { return s.formAll(ctx, list, now) }
	all, stale := s.asFormed(list, now)
	if stale <= atOnce {
		all, err = s.known.lists.Get(ctx, memo.One{}, at, form)
		return all, 0, err
	}
	formed, fresh, err := s.known.lists.Soon(ctx, memo.One{}, at, 0, func(ctx context.Context, _ []Brief) ([]Brief,
		error) {
		return form(ctx)
	})
	if err != nil || fresh {
		return formed, 0, err
	}
	reported, err := s.reported(ctx)
	markReported(all, reported)
	return all, stale, err
}

// formAll gives the whole list, in which every opinion is up to date.
func (s *Shop) formAll(ctx context.Context, list *Stock, now formedFrom) ([]Brief, error) {
	all := make([]Brief, len(list.All))
	for i, w := range list.All {
		var err error
		if all[i], err = s.brief(ctx, w, list.Marks[i], now); err != nil {
			return nil, err
		}
	}
	reported, err := s.reported(ctx)
	markReported(all, reported)
	return all, err
}

// asFormed gives the list with the opinions that there are, and how many of them are missing or out of
// date.
func (s *Shop) asFormed(list *Stock, now formedFrom) (all []Brief, stale int) {
	all = make([]Brief, len(list.All))
	for i, w := range list.All {
		b, from, ok := s.known.briefs.Kept(w.ID)
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
func (s *Shop) reported(ctx context.Context) (map[WatchID]lastReport, error) {
	rev, err := s.Revision(ctx)
	if err != nil {
		return nil, err
	}
	return s.known.reports.Get(ctx, memo.One{}, reportsMark{rev.Opinions, rev.Settings}, s.readReports)
}

func (s *Shop) readReports(ctx context.Context) (map[WatchID]lastReport, error) {
	kept, err := s.stores.Opinions.LatestOpinions(ctx)
	if err != nil {
		return nil, err
	}
	imported, err := s.SalesImported(ctx)
	if err != nil {
		return nil, err
	}
	out := make(map[WatchID]lastReport, len(kept))
	for _, k := range kept {
		out[k.Watch] = lastReport{k.Evidence, k.Formed.Before(imported)}
	}
	return out, nil
}

// markReported notes on which watches an opinion went out, and whether evidence and
// sales are still what it was formed from.
func markReported(all []Brief, reports map[WatchID]lastReport) {
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
func (s *Shop) Briefs(ctx context.Context, f Filter) ([]Brief, error) {
	list, err := s.Stock(ctx)
	if err != nil {
		return nil, err
	}
	watches, err := s.stores.Watches.Watches(ctx, f)
	if err != nil {
		return nil, err
	}
	now, err := s.formingNow(ctx)
	if err != nil {
		return nil, err
	}
	all := make([]Brief, len(watches))
	for i, w := range watches {
		if all[i], err = s.brief(ctx, w, list.MarkOf(w), now); err != nil {
			return nil, err
		}
	}
	return all, nil
}

// formingNow is what all opinions of a moment follow from.
func (s *Shop) formingNow(ctx context.Context) (formedFrom, error) {
	rev, err := s.Revision(ctx)
	if err != nil {
		return formedFrom{}, err
	}
	set, err := s.KeptSettings(ctx)
	return formedFrom{sales: rev.Sales, book: rev.Book, terms: set.Sum, day: s.opt.Now().Format(time.DateOnly)}, err
}

// brief is the opinion on a watch in a line.
func (s *Shop) brief(ctx context.Context, w Watch, at Mark, now formedFrom) (Brief, error) {
	now.mark = at
	return s.known.briefs.Get(ctx, w.ID, now, func(ctx context.Context) (Brief, error) {
		log, err := s.Log(ctx, w.ID)
		if err != nil {
			return Brief{}, err
		}
		b := Brief{Watch: w}
		o, file, err := s.OpinionOf(ctx, log, s.opt.Now(), opinion.Settings{})
		if err != nil {
			b.Problem = err.Error()
			return b, nil
		}
		b.fill(o)
		b.Items = len(file.Items)
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
		if p.Verdict == opinion.ProbablyLater || p.Verdict == opinion.DoesNotFit {
			b.Troubles = append(b.Troubles, p.Slot.Name()+" "+p.Verdict)
		}
	}
	b.Grade = o.Condition.Overall
	if o.Value.Known {
		b.Median = o.Value.Median
		b.Low, b.High = o.Value.Interval["80"][0], o.Value.Interval["80"][1]
	}
}
