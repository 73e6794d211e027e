package desk

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"midcase/condition"
	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/say"
)

// Ranks are the watches of a reference by what people judged side by side, for one part or the whole. What was judged
// of one part never counts for another.
type Ranks struct {
	Slot       evidence.Slot // none for the whole watch
	Ranked     []Ranked      // the best first; those never compared last
	Next       *[2]Ranked    // the pair whose comparison would tell most; nil where there are fewer than two watches
	Judgements []shop.Judgement
	Alpha      float64 // agreement of people about pairs that two or more judged
	Pairs      int     // of them; 0: nothing to agree about
	Judges     []Judge
}

// Ranked is a watch with its place.
type Ranked struct {
	Watch   shop.Watch
	Seen    *shop.SeenExample // an example seen elsewhere; then the watch has its id and title and nothing more
	Picture string            // SHA-256; empty where there is none
	Says    say.Statement
	Better  int // of the others it ranks above
	Of      int
	Place   [2]int // 90 % range
	Judged  int
}

// Judge is how far one person's judgements are those that the others' lead to expect.
type Judge struct {
	Name        string
	N           int     // judgements that others' say something of
	Agrees      float64 // share of them
	Early, Late float64 // in the first and the second half
	Drifts      bool    // they differ by more than two standard errors
}

// Ranks ranks the watches of a reference.
func (r *Room) Ranks(ctx context.Context, maker, reference string, slot evidence.Slot) (Ranks, error) {
	out := Ranks{Slot: slot}
	all, err := r.shop.Watches(ctx, shop.Filter{Maker: maker, Reference: reference})
	if err != nil {
		return out, err
	}
	judged, err := r.shop.Judgements(ctx, maker, reference, r.shop.Now())
	if err != nil {
		return out, err
	}
	there := map[string]shop.Watch{}
	var names []string
	for _, w := range all {
		if w.State != shop.TakenBack {
			there[string(w.ID)] = w
			names = append(names, string(w.ID))
		}
	}
	seen, err := r.seenAndCompared(ctx, judged)
	if err != nil {
		return out, err
	}
	for id, e := range seen {
		there[id] = shop.Watch{ID: shop.WatchID(id), Title: e.Title(), Serial: e.Serial}
		names = append(names, id)
	}
	slices.Sort(names)
	for _, j := range judged {
		if there[string(j.A)].ID != "" && there[string(j.B)].ID != "" && j.Slot == slot && j.A != j.B {
			out.Judgements = append(out.Judgements, j)
		}
	}
	ranking, err := condition.Rank(names, comparisonsOf(out.Judgements))
	if err != nil {
		return out, fmt.Errorf("ranks of %s: %w", reference, err)
	}
	for _, s := range ranking.Standings {
		e, elsewhere := seen[s.Example]
		x, err := r.ranked(ctx, there[s.Example], slot, s, elsewhere)
		if err != nil {
			return out, err
		}
		if elsewhere {
			x.Seen, x.Picture = &e, e.Picture
		}
		out.Ranked = append(out.Ranked, x)
	}
	slices.SortStableFunc(out.Ranked, func(a, b Ranked) int { return cmp.Compare(min(b.Judged, 1), min(a.Judged, 1)) })
	inShop := func(id string) bool { _, elsewhere := seen[id]; return !elsewhere }
	if a, b, ok := ranking.NextOf(func(a, b string) bool { return inShop(a) || inShop(b) }); ok {
		if !inShop(a) { // the judgement is recorded on the file of the first
			a, b = b, a
		}
		out.Next = &[2]Ranked{out.of(a), out.of(b)}
	}
	out.agreement()
	out.judges(names)
	return out, nil
}

// seenAndCompared are the examples seen elsewhere with which a watch was compared, by their ids.
func (r *Room) seenAndCompared(ctx context.Context, judged []shop.Judgement) (map[string]shop.SeenExample, error) {
	if len(judged) == 0 {
		return nil, nil
	}
	all, err := r.shop.Stores().Examples.Examples(ctx)
	if err != nil {
		return nil, fmt.Errorf("examples: %w", err)
	}
	out := map[string]shop.SeenExample{}
	for _, e := range shop.StandingExamples(all) {
		id := shop.WatchID(e.ID)
		if slices.ContainsFunc(judged, func(j shop.Judgement) bool { return j.A == id || j.B == id }) {
			out[e.ID] = e
		}
	}
	return out, nil
}

// Own is how many of them are the shop's.
func (o Ranks) Own() (n int) {
	for _, x := range o.Ranked {
		if x.Seen == nil {
			n++
		}
	}
	return n
}

func (o Ranks) of(id string) Ranked {
	i := slices.IndexFunc(o.Ranked, func(x Ranked) bool { return string(x.Watch.ID) == id })
	return o.Ranked[i]
}

func comparisonsOf(all []shop.Judgement) []condition.Comparison {
	var out []condition.Comparison
	for _, j := range all {
		c := condition.Comparison{A: string(j.A), B: string(j.B), Result: 1}
		if j.Same {
			c.Result = 0.5
		}
		out = append(out, c)
	}
	return out
}

// ranked is a watch with its place and the picture that shows the part best.
func (r *Room) ranked(ctx context.Context, w shop.Watch, slot evidence.Slot, s condition.Standing, elsewhere bool) (
	Ranked, error) {
	out := Ranked{Watch: shop.SeenWatch(ctx, w), Says: s.Says(), Better: s.Better, Of: s.Of, Judged: s.Compared,
		Place: [2]int{int(s.PlaceInterval.Low()), int(s.PlaceInterval.High())}}
	if elsewhere {
		return out, nil
	}
	log, err := r.shop.LogOf(ctx, w)
	if err != nil {
		return out, err
	}
	for _, p := range evidence.All[*evidence.Photo](evidence.Fold(log, r.shop.Now())) {
		if out.Picture == "" || p.Data.View == string(slot) || slot == "" && p.Data.View == "front" {
			out.Picture = p.Data.Blob
		}
		if p.Data.View == string(slot) {
			break
		}
	}
	return out, nil
}

// agreement is Krippendorff's alpha over pairs that two people or more judged, each person's last word on a pair. Which
// of two watches is named first says nothing, so each pair counts both ways round: otherwise people who agree that the
// first is better of each pair would leave alpha without anything to tell by.
func (o *Ranks) agreement() {
	type pair struct{ a, b shop.WatchID }
	last := map[pair]map[string]shop.Judgement{}
	for _, j := range o.Judgements {
		p := pair{min(j.A, j.B), max(j.A, j.B)}
		if last[p] == nil {
			last[p] = map[string]shop.Judgement{}
		}
		if was, ok := last[p][j.By]; !ok || !j.At.Before(was.At) {
			last[p][j.By] = j
		}
	}
	var units [][]float64
	for p, by := range last {
		var u, turned []float64
		for _, j := range by {
			v := valueOf(j, p.a)
			u, turned = append(u, v), append(turned, -v)
		}
		if len(u) > 1 {
			units = append(units, u, turned)
		}
	}
	if alpha, err := condition.Alpha(units, condition.Ordinal); err == nil {
		o.Alpha, o.Pairs = alpha, len(units)/2
	}
}

// valueOf is a judgement as seen from one of the two: 1 better, 0 the same, -1 worse.
func valueOf(j shop.Judgement, of shop.WatchID) float64 {
	switch {
	case j.Same:
		return 0
	case j.A == of:
		return 1
	}
	return -1
}

// fewJudged is from how many judgements on a person's drift is looked at.
const fewJudged = 8

// judges holds each person's judgements against the ranking that the others' give.
func (o *Ranks) judges(names []string) {
	by := map[string][]shop.Judgement{}
	for _, j := range o.Judgements {
		by[j.By] = append(by[j.By], j)
	}
	for name, own := range by {
		var others []shop.Judgement
		for _, j := range o.Judgements {
			if j.By != name {
				others = append(others, j)
			}
		}
		ranking, err := condition.Rank(names, comparisonsOf(others))
		if err != nil || len(others) == 0 {
			continue
		}
		slices.SortStableFunc(own, func(a, b shop.Judgement) int { return a.At.Compare(b.At) })
		var agrees []float64
		for _, j := range own {
			p, _ := ranking.PBetter(string(j.A), string(j.B))
			switch {
			case j.Same || p == 0.5:
			case p > 0.5:
				agrees = append(agrees, 1)
			default:
				agrees = append(agrees, 0)
			}
		}
		if len(agrees) > 0 {
			o.Judges = append(o.Judges, judgeOf(name, agrees))
		}
	}
	slices.SortFunc(o.Judges, func(a, b Judge) int { return cmp.Compare(a.Name, b.Name) })
}

func judgeOf(name string, agrees []float64) Judge {
	half := len(agrees) / 2
	j := Judge{Name: name, N: len(agrees), Agrees: mean(agrees), Early: mean(agrees[:half]), Late: mean(agrees[half:])}
	if len(agrees) >= fewJudged {
		p, n := j.Agrees, float64(half)
		j.Drifts = (j.Early-j.Late)*(j.Early-j.Late) > 4*max(p*(1-p), 0.01)*2/n
	}
	return j
}

func mean(all []float64) float64 {
	sum := 0.0
	for _, v := range all {
		sum += v
	}
	return sum / max(1, float64(len(all)))
}

// Moved is a watch whose place changed.
type Moved struct {
	Watch       shop.Watch
	Before, Now int // how many it ranks above
}

// Since lists the watches of which the number ranked below them changed since other ranks.
func (o Ranks) Since(before Ranks) []Moved {
	was := map[shop.WatchID]int{}
	for _, x := range before.Ranked {
		was[x.Watch.ID] = x.Better
	}
	var out []Moved
	for _, x := range o.Ranked {
		if b, ok := was[x.Watch.ID]; ok && b != x.Better {
			out = append(out, Moved{x.Watch, b, x.Better})
		}
	}
	return out
}
