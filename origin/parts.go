package origin

import (
	"math"
	"slices"
)

// What the model takes for granted about parts; common practice, no published
// source. docs/methods/origin.md lists them.
const (
	// oddShare is the weight, beside 1 for a part in its window, with which the
	// factory fitted a part out of its window.
	oddShare = 0.002
	// oddService is the same for a part made for repairs.
	oddService = 0.0002
	// unknownOriginal and unknownReplaced are the shares of parts that the book does
	// not have, among original parts and among replacements.
	unknownOriginal = 0.005
	unknownReplaced = 0.10
	// serviceFirst is the share of service parts among replacements that the book
	// has, where it has service parts for the slot.
	serviceFirst = 0.6
	// laterMonths is how long after the grid replacement parts may have been made.
	laterMonths = 360
	// windowWrong is the share of windows whose dates are off, by a logistic error of
	// scale windowWrongMonths; where the book is wrong in many places, the larger ones.
	windowWrong       = 0.02
	windowWrongMonths = 10
	manyWrong         = 0.8
	manyWrongMonths   = 15
	// asRecorded is the share of parts that are what the record of a replacement says
	// was put in; the others were replaced once more, or written down wrongly.
	asRecorded = 0.9
)

// parts is one slot with its shares worked out. Outcomes are the variants in order
// and Unknown last.
type parts struct {
	slot     Slot
	seen     int         // outcome seen, -1 where nobody has looked
	original [][]float64 // [outcome][month] share among original parts
	replaced []float64   // [outcome] share among replacements
	sure     float64     // chance that the variant was named right
	stamps   []mark      // stamps and numbers on the part
	on       [][]float64 // likelihood of each stamp over later
	g        grid
	made     [][]float64 // [outcome][month] when a replacement was made; only where there are stamps
	terms    terms
	later    grid // months of made; the first g.n of them are those of g
}

// terms are what the windows of the book are read by.
type terms struct {
	market    string // where the watch was delivered; "" anywhere else
	wrongBook bool   // many of the book's dates for the reference are off
}

func newParts(s Slot, stamps []mark, g grid, t terms) *parts {
	p := &parts{slot: s, seen: -1, sure: stated(s.Confidence), stamps: stamps, g: g,
		later: grid{first: g.first, n: g.n + laterMonths}}
	for i, v := range s.Variants {
		if s.Seen == v.ID {
			p.seen = i
		}
	}
	if s.Seen == Unknown {
		p.seen = len(s.Variants)
	}
	if len(s.Variants) == 0 {
		p.sure = 1
	}
	p.original, p.replaced = shares(s.Variants, g, t)
	p.terms = t
	if s.Recorded != nil {
		p.record(*s.Recorded)
	}
	if len(stamps) > 0 {
		p.dateReplacements()
	}
	for _, d := range stamps {
		p.on = append(p.on, d.likelihood(p.later))
	}
	return p
}

// record counts a written record that the part was replaced.
func (p *parts) record(r Replacement) {
	p.slot.Replaced = math.Max(p.slot.Replaced, r.Right)
	for v := range p.slot.Variants {
		if p.slot.Variants[v].ID != r.Variant {
			continue
		}
		for u := range p.replaced {
			p.replaced[u] *= 1 - asRecorded
		}
		p.replaced[v] += asRecorded
	}
}

// with is the slot with only the stamps from i up to j.
func (p *parts) with(i, j int) *parts {
	q := *p
	q.stamps, q.on = p.stamps[i:j], p.on[i:j]
	return &q
}

// outcomes is the number of things that can be seen in the slot.
func (p *parts) outcomes() int { return len(p.replaced) }

// name is the variant id of an outcome.
func (p *parts) name(v int) string {
	if v == len(p.slot.Variants) {
		return Unknown
	}
	return p.slot.Variants[v].ID
}

// shares works out f(v|m), the share of each outcome among original parts by
// month, and g(v), its share among replacements. f comes from windows with soft
// edges and shares, divided by their sum in each month.
func shares(vs []Variant, g grid, t terms) (original [][]float64, replaced []float64) {
	original = make([][]float64, len(vs)+1)
	original[len(vs)] = make([]float64, g.n)
	if len(vs) == 0 {
		for i := range g.n {
			original[0][i] = 1
		}
		return original, []float64{1}
	}
	amount := make([]float64, len(vs))
	sum := make([]float64, g.n)
	for v := range vs {
		original[v] = fitted(vs[v], g, t)
		addTo(sum, original[v])
		amount[v] = total(original[v])
		if slices.ContainsFunc(vs[v].Windows, func(w Window) bool { return len(w.Markets) > 0 }) {
			amount[v] = total(fittedAnywhere(vs[v], g)) // replacements come from all markets
		}
	}
	for i := range g.n {
		scale := (1 - unknownOriginal) / sum[i]
		for v := range vs {
			original[v][i] *= scale
		}
		original[len(vs)][i] = unknownOriginal
	}
	for v := range vs {
		if len(vs[v].Windows) == 0 && !vs[v].Service {
			level(original[v])
		}
	}
	return original, replacedShares(vs, amount)
}

// level makes a share the same in each month: a variant of which nobody knows when it was
// fitted tells nothing of the date, also beside variants whose time is known.
func level(share []float64) {
	mean := total(share) / float64(len(share))
	for i := range share {
		share[i] = mean
	}
}

// fitted is the weight with which the factory fitted a variant in each month; never
// 0.
func fitted(v Variant, g grid, t terms) []float64 {
	out := make([]float64, g.n)
	floor := oddService
	if !v.Service {
		floor = 1
	}
	if len(v.Windows) > 0 {
		top := 0.0
		for _, w := range v.Windows {
			top = math.Max(top, share(w))
			if len(w.Markets) > 0 && !slices.Contains(w.Markets, t.market) {
				continue
			}
			wrong, off := windowWrong, float64(windowWrongMonths)
			if t.wrongBook {
				wrong, off = manyWrong, manyWrongMonths
			}
			addEdges(out, w, g, share(w)*(1-wrong))
			wide := w
			wide.SoftMonths = math.Max(wide.SoftMonths, off)
			addEdges(out, wide, g, share(w)*wrong)
		}
		floor = oddShare * top
	}
	for i := range out {
		out[i] += floor
	}
	return out
}

// fittedAnywhere is fitted over all markets together.
func fittedAnywhere(v Variant, g grid) []float64 {
	all := Variant{ID: v.ID, Windows: slices.Clone(v.Windows)}
	for i := range all.Windows {
		all.Windows[i].Markets = nil
	}
	return fitted(all, g, terms{})
}

func share(w Window) float64 {
	if w.Share == 0 {
		return 1
	}
	return w.Share
}

// replacedShares is g(v): service parts first, then parts of any period by the
// amount that was made.
func replacedShares(vs []Variant, amount []float64) []float64 {
	service, factory := 0.0, 0.0
	for i, v := range vs {
		if v.Service {
			service++
		} else {
			factory += amount[i]
		}
	}
	forService := serviceFirst
	switch {
	case service == 0:
		forService = 0
	case factory == 0:
		forService = 1
	}
	out := make([]float64, len(vs)+1)
	for i, v := range vs {
		if v.Service {
			out[i] = (1 - unknownReplaced) * forService / service
		} else {
			out[i] = (1 - unknownReplaced) * (1 - forService) * amount[i] / factory
		}
	}
	out[len(vs)] = unknownReplaced
	return out
}

// dateReplacements works out when a replacement of each outcome was made: within
// its windows, or while it was supplied for repairs, or at any time.
func (p *parts) dateReplacements() {
	p.made = make([][]float64, p.outcomes())
	for v := range p.made {
		var variant Variant // Unknown: at any time
		if v < len(p.slot.Variants) {
			variant = p.slot.Variants[v]
		}
		p.made[v] = supplied(variant, p.later, p.terms)
		sum := total(p.made[v])
		for i := range p.made[v] {
			p.made[v][i] /= sum
		}
	}
}

// supplied is the weight with which a part was to be had in each month.
func supplied(v Variant, g grid, t terms) []float64 {
	if !v.Service {
		return fitted(v, g, t)
	}
	out := edges(Window{First: v.ServiceFirst, Last: v.ServiceLast, SoftMonths: 1}, g)
	for i := range out {
		out[i] += oddShare
	}
	return out
}

// named is the chance that outcome seen is reported where the part is truly v; seen
// -1 is the certain event that nobody reports.
func (p *parts) named(seen, v int) float64 {
	switch {
	case seen < 0:
		return 1
	case seen == v:
		return p.sure
	}
	return p.others()
}

// others is the chance that a part is reported as one given other outcome.
func (p *parts) others() float64 { return (1 - p.sure) / math.Max(1, float64(p.outcomes()-1)) }

// originalIn is, for each month, the probability that the part is original, that
// outcome seen is reported and that the stamps other than skip read as they do.
func (p *parts) originalIn(seen, skip int) []float64 {
	out := make([]float64, p.g.n)
	keep := 1 - p.slot.Replaced
	for i := range out {
		out[i] = keep
		if seen >= 0 {
			// Σ_v named(seen, v)·f(v|m), for Σ_v f = 1.
			f := p.original[seen][i]
			out[i] *= p.sure*f + p.others()*(1-f)
		}
	}
	for j, on := range p.on {
		if j == skip {
			continue
		}
		for i := range out {
			out[i] *= on[i]
		}
	}
	return out
}

// replacedBy is the probability that the part was replaced, that outcome seen is
// reported and that the stamps other than skip read as they do.
func (p *parts) replacedBy(seen, skip int) float64 {
	return p.reported(seen, p.replacedAs(skip))
}

// replacedAs is, for each outcome, the probability that the part was replaced by it
// and that the stamps other than skip read as they do.
func (p *parts) replacedAs(skip int) []float64 {
	out := make([]float64, p.outcomes())
	for v, g := range p.replaced {
		out[v] = p.slot.Replaced * g
		if len(p.stamps) > 1 || len(p.stamps) == 1 && skip != 0 {
			out[v] *= p.replacementTotal(v, skip)
		}
	}
	return out
}

// reported is the probability that outcome seen is reported, by the probabilities of
// what the part truly is.
func (p *parts) reported(seen int, truly []float64) float64 {
	sum := 0.0
	for v, q := range truly {
		sum += p.named(seen, v) * q
	}
	return sum
}

// replacementTotal is the sum of replacementMonths.
func (p *parts) replacementTotal(v, skip int) float64 {
	sum := 0.0
	for i, m := range p.made[v] {
		for j, on := range p.on {
			if j != skip {
				m *= on[i]
			}
		}
		sum += m
	}
	return sum
}

// replacementMonths is, for each month of p.later, the probability that a
// replacement of variant v was made then and carries the stamps other than skip.
func (p *parts) replacementMonths(v, skip int) []float64 {
	out := append([]float64(nil), p.made[v]...)
	for j, on := range p.on {
		if j == skip {
			continue
		}
		for i := range out {
			out[i] *= on[i]
		}
	}
	return out
}

// factor is the slot's part of the model: its likelihood over months, and in each
// month the chance that the part is original.
func (p *parts) factor(seen, skip int) (like, original []float64) {
	original = p.originalIn(seen, skip)
	like = make([]float64, len(original))
	replaced := p.replacedBy(seen, skip)
	for i, o := range original {
		like[i] = o + replaced
		original[i] = o / like[i]
	}
	return like, original
}

// weights are how likely a slot is in each of its states, by everything but the slot:
// by month where its part is the watch's own or came alone, by month of the donor where
// it came from a donor with others. They need not sum to 1.
type weights struct {
	own   []float64
	donor []float64 // over at; nil without a donor
	at    []int     // places of the donor's months in the grid
}

// donated is, for each month of the donor, the probability that outcome seen is
// reported and that the stamps other than skip read as they do; the part left the
// factory with the donor.
func (p *parts) donated(seen, skip int, at []int) []float64 {
	out := make([]float64, len(at))
	for i, u := range at {
		out[i] = 1
		if seen >= 0 {
			f := p.original[seen][u]
			out[i] = p.sure*f + p.others()*(1-f)
		}
	}
	for j, on := range p.on {
		if j == skip {
			continue
		}
		for i, u := range at {
			out[i] *= on[u]
		}
	}
	return out
}

// split is the weight of an original part, of one that came alone, and of one from a
// donor, as it was seen.
func (p *parts) split(w weights) (original, alone, donor float64) {
	original = dot(w.own, p.originalIn(p.seen, -1))
	alone = total(w.own) * p.replacedBy(p.seen, -1)
	if w.donor != nil {
		donor = dot(w.donor, p.donated(p.seen, -1, w.at))
	}
	return original, alone, donor
}

// rightlyNamed is the weight of what was seen with the part named right: as an original
// part and as any other.
func (p *parts) rightlyNamed(w weights) (original, replaced float64) {
	for i, o := range p.originalIn(-1, -1) {
		original += w.own[i] * o * p.original[p.seen][i]
	}
	replaced = total(w.own) * p.replacedAs(-1)[p.seen]
	if w.donor != nil {
		for i, d := range p.donated(-1, -1, w.at) {
			replaced += w.donor[i] * d * p.original[p.seen][w.at[i]]
		}
	}
	return p.sure * original, p.sure * replaced
}

// predict is the weight of each outcome, by everything but a look at the part.
func (p *parts) predict(w weights) []float64 {
	truly := p.replacedAs(-1)
	own := total(w.own)
	for v := range truly {
		truly[v] *= own
	}
	kept := p.originalIn(-1, -1)
	for i, q := range w.own {
		kept[i] *= q
	}
	for v, f := range p.original {
		truly[v] += dot(kept, f)
	}
	if w.donor != nil {
		for i, d := range p.donated(-1, -1, w.at) {
			for v := range truly {
				truly[v] += w.donor[i] * d * p.original[v][w.at[i]]
			}
		}
	}
	out := make([]float64, len(truly))
	for v := range out {
		out[v] = p.reported(v, truly)
	}
	return out
}

// partMonths is the weight of the months in which the part was made, by everything but
// stamp j on it: the part is original and as old as the watch, or it is a replacement
// with a date of its own.
func (p *parts) partMonths(w weights, j int) []float64 {
	months := make([]float64, p.later.n)
	for i, o := range p.originalIn(p.seen, j) {
		months[i] = o * w.own[i]
	}
	own := total(w.own)
	for v, g := range p.replaced {
		c := own * p.slot.Replaced * p.named(p.seen, v) * g
		for i, m := range p.replacementMonths(v, j) {
			months[i] += c * m
		}
	}
	if w.donor != nil {
		for i, d := range p.donated(p.seen, j, w.at) {
			months[w.at[i]] += w.donor[i] * d
		}
	}
	return months
}
