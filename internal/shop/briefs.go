package shop

import (
	"context"
	"maps"
	"sync"
	"time"

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

// formedFrom is all that an opinion depends on; where any of it changed, the opinion is
// out of date.
type formedFrom struct {
	seen  int // how often the watch was found changed
	book  string
	sales int
	day   string
}

type briefEntry struct {
	from  formedFrom
	brief Brief
}

type briefCache struct {
	mu      sync.Mutex
	entries map[WatchID]briefEntry
	terms   int  // how often settings or book changed
	forming bool // the rest is being formed in the background
	list    briefList
}

func (c *briefCache) clear() {
	c.mu.Lock()
	defer c.mu.Unlock()
	clear(c.entries)
	c.terms++
}

// atOnce is how many opinions are formed while somebody waits. Where more are out of
// date, they are formed in the background, and the list shows what there was before.
const atOnce = 100

// Stock is the whole stock with the opinion on each watch in a line, for reading only,
// and how many of the opinions are out of date and being formed anew in the background.
func (s *Shop) Stock(ctx context.Context) (all []Brief, forming int, err error) {
	watches, place, err := s.stockAt(ctx)
	if err != nil {
		return nil, 0, err
	}
	reported, err := s.reported(ctx)
	if err != nil {
		return nil, 0, err
	}
	now, err := s.formingNow(ctx)
	if err != nil {
		return nil, 0, err
	}
	if known, ok := s.briefs.known(place, reported, now); ok {
		return known, 0, nil
	}
	all, stale := s.asFormed(watches, now)
	if len(stale) > atOnce {
		old := make([]Watch, len(stale))
		for i, at := range stale {
			old[i] = all[at].Watch
		}
		s.formInBackground(context.WithoutCancel(ctx), old)
		markReported(all, reported)
		return all, len(stale), nil
	}
	terms := s.briefs.termsNow()
	if err := s.formThese(ctx, all, stale); err != nil {
		return nil, 0, err
	}
	markReported(all, reported)
	if place != (Place{}) { // else the store does not tell of changes
		s.briefs.keepList(briefList{all, place, reported, now, terms})
	}
	return all, 0, nil
}

// stockAt is the stock list with how far the records had come when it was so.
func (s *Shop) stockAt(ctx context.Context) ([]Watch, Place, error) {
	all, err := s.StockList(ctx)
	if err != nil {
		return nil, Place{}, err
	}
	k := &s.stock
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.place == (Place{}) {
		return all, Place{}, nil
	}
	return k.all, k.place, nil
}

// briefList is the whole list as it was last given out, with all that it followed from.
type briefList struct {
	all      []Brief
	place    Place // how far the records had come
	reported map[WatchID]lastReport
	now      formedFrom
	terms    int
}

// known is the list as it was given out before, where nothing has changed since.
func (c *briefCache) known(place Place, reported map[WatchID]lastReport, now formedFrom) ([]Brief, bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	l := c.list
	same := l.all != nil && l.terms == c.terms && l.now == now && l.place == place && maps.Equal(l.reported, reported)
	return l.all, same
}

func (c *briefCache) keepList(l briefList) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.list = l
}

func (c *briefCache) termsNow() int {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.terms
}

// lastReport is what was known when the opinion on a watch last went out.
type lastReport struct {
	items int  // of evidence in force
	sales bool // sales were imported since
}

// reported tells of the last report of all watches that have one.
func (s *Shop) reported(ctx context.Context) (map[WatchID]lastReport, error) {
	kept, err := s.stores.Opinions.LatestOpinions(ctx)
	if err != nil {
		return nil, err
	}
	imported, err := s.salesImported(ctx)
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

// Briefs lists watches with their opinion in a line, formed anew where evidence,
// sales or the day have changed.
func (s *Shop) Briefs(ctx context.Context, f Filter) ([]Brief, error) {
	if _, err := s.StockList(ctx); err != nil { // learns what changed
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
	all, stale := s.asFormed(watches, now)
	return all, s.formThese(ctx, all, stale)
}

// asFormed gives the watches with the opinions that there are, and the places of those
// that are missing or out of date.
func (s *Shop) asFormed(watches []Watch, now formedFrom) (all []Brief, stale []int) {
	all = make([]Brief, len(watches))
	k := &s.stock
	k.mu.Lock()
	defer k.mu.Unlock()
	s.briefs.mu.Lock()
	defer s.briefs.mu.Unlock()
	for i, w := range watches {
		e, ok := s.briefs.entries[w.ID]
		all[i] = e.brief
		all[i].Watch, all[i].Forming = w, !ok
		seen, known := k.seen[w.ID]
		now.seen = seen
		if !ok || !known || e.from != now {
			stale = append(stale, i)
		}
	}
	return all, stale
}

// formingNow is what all opinions of a moment depend on.
func (s *Shop) formingNow(ctx context.Context) (formedFrom, error) {
	rev, err := s.Revision(ctx)
	return formedFrom{sales: int(rev.Sales), book: rev.Book, day: s.opt.Now().Format(time.DateOnly)}, err
}

// dependsOn adds what the opinion on one watch depends on; ok is false where the store
// cannot tell.
func (s *Shop) dependsOn(w Watch, now formedFrom) (from formedFrom, ok bool) {
	_, now.seen, ok = s.KnownWatch(w.ID)
	return now, ok
}

// formThese forms the opinions at the places and puts them in.
func (s *Shop) formThese(ctx context.Context, all []Brief, places []int) error {
	if len(places) == 0 {
		return nil
	}
	now, err := s.formingNow(ctx)
	if err != nil {
		return err
	}
	for _, i := range places {
		if all[i], err = s.formBrief(ctx, all[i].Watch, now); err != nil {
			return err
		}
	}
	return nil
}

// formBrief forms the opinion on a watch and keeps it.
func (s *Shop) formBrief(ctx context.Context, w Watch, now formedFrom) (Brief, error) {
	s.briefs.mu.Lock()
	terms := s.briefs.terms
	s.briefs.mu.Unlock()
	from, _ := s.dependsOn(w, now)
	log, err := s.Log(ctx, w.ID)
	if err != nil {
		return Brief{}, err
	}
	b := Brief{Watch: w}
	o, file, err := s.form(ctx, log, s.opt.Now(), opinion.Settings{})
	if err != nil {
		b.Problem = err.Error()
	} else {
		b.fill(o)
		b.Items = len(file.Items)
	}
	s.briefs.mu.Lock()
	defer s.briefs.mu.Unlock()
	if terms == s.briefs.terms { // else it was formed on terms that are past
		s.briefs.entries[w.ID] = briefEntry{from, b}
	}
	return b, nil
}

// formInBackground forms opinions one after the other, until all are formed or the
// store fails, which it does when the program ends. There is one such run at a time.
func (s *Shop) formInBackground(ctx context.Context, watches []Watch) {
	s.briefs.mu.Lock()
	defer s.briefs.mu.Unlock()
	if s.briefs.forming {
		return
	}
	s.briefs.forming = true
	go func() {
		defer func() {
			s.briefs.mu.Lock()
			s.briefs.forming = false
			s.briefs.mu.Unlock()
		}()
		now, err := s.formingNow(ctx)
		for _, w := range watches {
			if err != nil {
				return
			}
			_, err = s.formBrief(ctx, w, now)
		}
	}()
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
