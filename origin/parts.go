package origin

import "math"

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
)

// parts is one slot with its shares worked out. Outcomes are the variants in order
// and Unknown last.
type parts struct {
	slot     Slot
	seen     int         // outcome seen, -1 where nobody has looked
	original [][]float64 // [outcome][month] share among original parts
	replaced []float64   // [outcome] share among replacements
	sure     float64     // chance that the variant was named right
	stamps   []dated     // stamps on the part
	g        grid
	made     [][]float64 // [outcome][month] when a replacement was made; only where there are stamps
	later    grid        // months of made
}

func newParts(s Slot, stamps []dated, g grid) *parts {
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
	p.original = originalShares(s.Variants, g)
	p.replaced = replacedShares(s.Variants, g)
	if len(stamps) > 0 {
		p.dateReplacements()
	}
	return p
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

// originalShares is f(v|m): windows with soft edges and shares, divided by their
// sum in each month.
func originalShares(vs []Variant, g grid) [][]float64 {
	out := make([][]float64, len(vs)+1)
	for v := range out {
		out[v] = make([]float64, g.n)
	}
	known := out[:len(vs)]
	for i := range g.n {
		if len(vs) == 0 {
			out[0][i] = 1
			continue
		}
		sum := 0.0
		for v := range known {
			known[v][i] = fitted(vs[v], g.month(i))
			sum += known[v][i]
		}
		for v := range known {
			known[v][i] *= (1 - unknownOriginal) / sum
		}
		out[len(vs)][i] = unknownOriginal
	}
	return out
}

// fitted is the weight with which the factory fitted a variant in a month; never 0.
func fitted(v Variant, m float64) float64 {
	switch {
	case v.Service:
		return oddService
	case len(v.Windows) == 0:
		return 1
	}
	w, top := 0.0, 0.0
	for _, win := range v.Windows {
		w += share(win) * edges(win, m)
		top = math.Max(top, share(win))
	}
	return w + oddShare*top
}

func share(w Window) float64 {
	if w.Share == 0 {
		return 1
	}
	return w.Share
}

// replacedShares is g(v): service parts first, then parts of any period by how
// many were made.
func replacedShares(vs []Variant, g grid) []float64 {
	out := make([]float64, len(vs)+1)
	service, factory := 0.0, 0.0
	for i, v := range vs {
		if v.Service {
			out[i] = 1
			service++
			continue
		}
		for m := range g.n {
			out[i] += fitted(v, g.month(m))
		}
		factory += out[i]
	}
	forService, forFactory := serviceFirst, 1-serviceFirst
	switch {
	case len(vs) == 0:
		out[0] = 1
		return out
	case service == 0:
		forService, forFactory = 0, 1
	case factory == 0:
		forService, forFactory = 1, 0
	}
	for i, v := range vs {
		if v.Service {
			out[i] *= forService / service
		} else {
			out[i] *= forFactory / factory
		}
		out[i] *= 1 - unknownReplaced
	}
	out[len(vs)] = unknownReplaced
	return out
}

// dateReplacements works out when a replacement of each variant was made: within
// its windows, or while it was supplied for repairs, or at any time.
func (p *parts) dateReplacements() {
	p.made = make([][]float64, p.outcomes())
	for v := range p.made {
		made := make([]float64, p.later.n)
		sum := 0.0
		for i := range made {
			made[i] = 1
			if v < len(p.slot.Variants) {
				made[i] = supplied(p.slot.Variants[v], p.later.month(i))
			}
			sum += made[i]
		}
		for i := range made {
			made[i] /= sum
		}
		p.made[v] = made
	}
}

func supplied(v Variant, m float64) float64 {
	if v.Service {
		return oddShare + edges(Window{First: v.ServiceFirst, Last: v.ServiceLast, SoftMonths: 1}, m)
	}
	return fitted(v, m)
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
	return (1 - p.sure) / math.Max(1, float64(p.outcomes()-1))
}

// originalIn is, for each month, the probability that the part is original, that
// outcome seen is reported and that the stamps other than skip read as they do.
func (p *parts) originalIn(seen, skip int) []float64 {
	out := make([]float64, p.g.n)
	keep := 1 - p.slot.Replaced
	for i := range out {
		out[i] = keep
	}
	if seen >= 0 {
		for i := range out {
			f := 0.0
			for v := range p.original {
				f += p.named(seen, v) * p.original[v][i]
			}
			out[i] *= f
		}
	}
	for j, s := range p.stamps {
		if j == skip {
			continue
		}
		for i := range out {
			out[i] *= s.at(p.g.month(i))
		}
	}
	return out
}

// replacedBy is the probability that the part was replaced, that outcome seen is
// reported and that the stamps other than skip read as they do.
func (p *parts) replacedBy(seen, skip int) float64 {
	sum := 0.0
	for v, g := range p.replaced {
		sum += p.named(seen, v) * g * p.stampsOn(v, skip)
	}
	return p.slot.Replaced * sum
}

// stampsOn is the probability of the stamps on a replacement of variant v.
func (p *parts) stampsOn(v, skip int) float64 {
	if len(p.stamps) == 0 || (len(p.stamps) == 1 && skip == 0) {
		return 1
	}
	sum := 0.0
	for _, w := range p.replacementMonths(v, skip) {
		sum += w
	}
	return sum
}

// replacementMonths is, for each month of p.later, the probability that a
// replacement of variant v was made then and carries the stamps other than skip.
func (p *parts) replacementMonths(v, skip int) []float64 {
	out := append([]float64(nil), p.made[v]...)
	for j, s := range p.stamps {
		if j == skip {
			continue
		}
		for i := range out {
			out[i] *= s.at(p.later.month(i))
		}
	}
	return out
}

// factor is the slot's part of the model: its log likelihood over months, and in
// each month the chance that the part is original.
func (p *parts) factor(seen, skip int) (logs, original []float64) {
	original = p.originalIn(seen, skip)
	logs = make([]float64, len(original))
	replaced := p.replacedBy(seen, skip)
	for i, o := range original {
		logs[i] = math.Log(o + replaced)
		original[i] = o / (o + replaced)
	}
	return logs, original
}

// predict is the probability of each outcome, given months with the probabilities
// p and the stamps on the part.
func (p *parts) predict(months []float64) []float64 {
	out := make([]float64, p.outcomes())
	logs, _ := p.factor(-1, -1)
	for v := range out {
		seen, _ := p.factor(v, -1)
		for i, q := range months {
			out[v] += q * math.Exp(seen[i]-logs[i])
		}
	}
	return out
}

// surprise is the predictive probability of an outcome no more likely than the one
// seen.
func (p *parts) surprise(predicted []float64) float64 {
	sum := 0.0
	for _, q := range predicted {
		if q <= predicted[p.seen]*(1+1e-9) {
			sum += q
		}
	}
	return clamp(sum)
}

// stampSurprise is dated.surprise for a stamp on the part: the part is original
// and dates the watch, or is a replacement with a date of its own. rest holds the
// log weights of the months by everything but this slot.
func (p *parts) stampSurprise(rest []float64, j int) float64 {
	months := posterior(rest)
	s := p.stamps[j]
	all, toEnd, toStart := 0.0, 0.0, 0.0
	add := func(weights []float64, g grid) {
		for i, w := range weights {
			all += w
			toEnd += w * s.mixedBelow(s.to, g.month(i))
			toStart += w * s.mixedBelow(s.from, g.month(i))
		}
	}
	original := p.originalIn(p.seen, j)
	for i := range original {
		original[i] *= months[i]
	}
	add(original, p.g)
	for v, g := range p.replaced {
		w := p.replacementMonths(v, j)
		for i := range w {
			w[i] *= p.slot.Replaced * p.named(p.seen, v) * g
		}
		add(w, p.later)
	}
	return twoSided(toEnd/all, 1-toStart/all)
}
