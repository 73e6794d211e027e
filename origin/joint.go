package origin

import "slices"

// A watch may carry several parts of one other watch, its donor: then they agree with
// one another and not with the watch. The model sums over whether there is a donor,
// over when it was made, and over which parts are from it. What it takes for granted is
// common practice, no published source.
const (
	// donorShare is the chance that a watch has parts of one donor, where enoughParts
	// parts or more were seen; with fewer, a donor cannot be told from single swaps.
	donorShare  = 0.02
	enoughParts = 4
	// donorTakes is the chance that a given part then comes from it.
	donorTakes = 0.5
	// donorMonths is how many months of the donor are summed over at most.
	donorMonths = 36
	// bookShare is the chance that the book is wrong about the reference in many places.
	bookShare = 0.05
)

// place is a place of delivery, by a right or a wrong book, with its chance and the
// slots as they are there.
type place struct {
	p     float64
	terms terms
	slots []*parts
	like  [][]float64 // [slot] over months, of a part that did not come with a donor
	from  [][]float64 // [slot] over the donor's months
	// What follows is by month, for everything about parts: all of them, and without
	// one slot as the weight of its own states and of its unseen ones.
	all       []float64
	own, rest [][]float64
	donor     [][]float64   // [slot] over the donor's months, weighed by the marks
	other     [][][]float64 // [slot][item] likelihood without an item of the slot
}

// joint is what all parts say together.
type joint struct {
	g      grid
	places []place
	live   []int     // slots that say something
	at     []int     // the donor's months, as places in the grid; nil: no donor
	prior  []float64 // of them
	like   []float64 // of all parts, over months
}

func newJoint(s Subject, on [][]mark, g grid, prior []float64) *joint {
	j := &joint{g: g}
	rest := 1.0
	for _, d := range s.Delivered {
		j.places = append(j.places, place{p: d.P, terms: terms{market: d.Market}})
		rest -= d.P
	}
	if rest > 1e-9 || len(j.places) == 0 {
		j.places = append(j.places, place{p: rest})
	}
	for c := range j.places {
		j.places[c].slots = slotsOf(s, on, g, j.places[c].terms)
	}
	seen := 0
	for k, p := range j.places[0].slots {
		if p.seen >= 0 && !p.timeless() {
			seen++
		}
		if p.seen >= 0 || len(p.stamps) > 0 {
			j.live = append(j.live, k)
		}
	}
	if seen >= enoughParts {
		j.donors(prior)
		j.wrongBook(s, on)
	}
	return j
}

// wrongBook adds to each place the same with a book that is wrong in many places.
func (j *joint) wrongBook(s Subject, on [][]mark) {
	for c := range j.places {
		p := j.places[c]
		j.places[c].p *= 1 - bookShare
		p.p *= bookShare
		p.terms.wrongBook = true
		p.slots = slotsOf(s, on, j.g, p.terms)
		j.places = append(j.places, p)
	}
}

func slotsOf(s Subject, on [][]mark, g grid, t terms) []*parts {
	out := make([]*parts, len(s.Slots))
	for i, x := range s.Slots {
		out[i] = newParts(x, on[i], g, t)
	}
	return out
}

// timeless reports whether what was seen is as likely in every month.
func (p *parts) timeless() bool {
	like, _ := p.factor(p.seen, -1)
	return slices.Max(like) <= slices.Min(like)*(1+1e-9)
}

// donors sets the months over which the donor is summed: about evenly spaced, each
// standing for the months around it.
func (j *joint) donors(prior []float64) {
	n := min(donorMonths, j.g.n)
	for i := range n {
		lo, hi := i*j.g.n/n, (i+1)*j.g.n/n
		j.at = append(j.at, (lo+hi)/2)
		j.prior = append(j.prior, total(prior[lo:hi]))
	}
}

// run sums over donors; marks are the probabilities of the months by all but the parts.
func (j *joint) run(marks []float64) {
	j.like = make([]float64, j.g.n)
	for c := range j.places {
		p := &j.places[c]
		p.prepare(j)
		if j.at == nil || p.terms.wrongBook { // a donor and a wrong book at once are too rare to count
			p.alone(j)
		} else {
			p.withDonor(j, marks)
		}
		for i, l := range p.all {
			j.like[i] += p.p * l
		}
	}
}

// prepare works out what each slot says by itself.
func (p *place) prepare(j *joint) {
	n := len(p.slots)
	p.like, p.from = make([][]float64, n), make([][]float64, n)
	p.own, p.rest = make([][]float64, n), make([][]float64, n)
	p.donor, p.other = make([][]float64, n), make([][][]float64, n)
	p.all = make([]float64, j.g.n)
	for _, k := range j.live {
		s := p.slots[k]
		p.like[k], _ = s.factor(s.seen, -1)
		p.own[k], p.rest[k] = make([]float64, j.g.n), make([]float64, j.g.n)
		p.other[k] = make([][]float64, len(s.stamps))
		for i := range p.other[k] {
			p.other[k][i] = make([]float64, j.g.n)
		}
		if j.at != nil && !p.terms.wrongBook {
			p.from[k] = s.donated(s.seen, -1, j.at)
			if s.timeless() { // of any watch alike, so it is no sign of a donor
				for d := range p.from[k] {
					p.from[k][d] = p.like[k][0]
				}
			}
			p.donor[k] = make([]float64, len(j.at))
		}
	}
}

// alone is the product of the slots, which are independent without a donor.
func (p *place) alone(j *joint) {
	for i := range p.all {
		p.all[i] = 1
		for _, k := range j.live {
			p.all[i] *= p.like[k][i]
		}
		for _, k := range j.live {
			p.own[k][i] = p.all[i] / p.like[k][i]
		}
	}
	p.without(j, nil)
}

// withDonor sums over the donor's months. In each month of watch and donor a slot is a
// mixture of not from it and from it; the slots are then independent.
func (p *place) withDonor(j *joint, marks []float64) {
	sums := make([][][]float64, len(p.slots)) // [slot][item or last: none] Σ over donors of the other slots
	looks := make([][][]float64, len(p.slots))
	for _, k := range j.live {
		s := p.slots[k]
		for i := range s.stamps {
			looks[k] = append(looks[k], s.donated(s.seen, i, j.at))
		}
		if len(s.stamps) > 0 {
			looks[k] = append(looks[k], s.donated(-1, -1, j.at))
		}
		sums[k] = make([][]float64, len(looks[k]))
		for i := range sums[k] {
			sums[k][i] = make([]float64, j.g.n)
		}
	}
	n := len(j.at)
	all, q := make([]float64, n), make([]float64, n*len(p.slots))
	for i, mark := range marks {
		none := 1 - donorShare
		for d, prior := range j.prior {
			all[d] = donorShare * prior
		}
		for _, k := range j.live {
			none *= p.like[k][i]
			stay, from, qk := (1-donorTakes)*p.like[k][i], p.from[k], q[k*n:(k+1)*n]
			for d := range qk {
				x := stay + donorTakes*from[d]
				qk[d] = x
				all[d] *= x
			}
		}
		p.all[i] = none + total(all)
		for _, k := range j.live {
			qk, donor := q[k*n:(k+1)*n], p.donor[k]
			single, c := 0.0, donorTakes*mark
			for d := range qk {
				others := all[d] / qk[d]
				single += others
				donor[d] += c * others
			}
			for it, look := range looks[k] {
				for d := range qk {
					sums[k][it][i] += donorTakes * all[d] / qk[d] * look[d]
				}
			}
			alone := none / p.like[k][i]
			p.own[k][i] = alone + (1-donorTakes)*single
			p.rest[k][i] = alone + single
		}
	}
	p.without(j, sums)
}

// without works out the parts without a slot, and without one item of it. sums are the
// shares of the donor in the latter; nil where there is no donor.
func (p *place) without(j *joint, sums [][][]float64) {
	for _, k := range j.live {
		s := p.slots[k]
		if sums == nil {
			copy(p.rest[k], p.own[k])
		}
		if len(s.stamps) == 0 {
			continue
		}
		for it := range len(s.stamps) + 1 {
			seen := s.seen
			if it == len(s.stamps) {
				seen = -1
			}
			like, _ := s.factor(seen, it)
			if it == len(s.stamps) {
				like, _ = s.factor(-1, -1)
				p.other[k] = append(p.other[k], make([]float64, j.g.n))
			}
			for i := range like {
				p.other[k][it][i] = p.own[k][i] * like[i]
				if sums != nil {
					p.other[k][it][i] += sums[k][it][i]
				}
			}
		}
	}
}

// weigh is the weights of the states of a slot in a place.
func (j *joint) weigh(c, k int, marks []float64) weights {
	p := j.places[c]
	w := weights{own: make([]float64, j.g.n), at: j.at}
	for i, q := range marks {
		w.own[i] = q * p.p * p.own[k][i]
	}
	if p.donor[k] != nil {
		w.donor = make([]float64, len(j.at))
		for d, x := range p.donor[k] {
			w.donor[d] = p.p * x
		}
	}
	return w
}

// mix is the mean over places of what is known by month.
func (j *joint) mix(of func(place) []float64) []float64 {
	out := make([]float64, j.g.n)
	for _, c := range j.places {
		for i, x := range of(c) {
			out[i] += c.p * x
		}
	}
	return out
}

// partSurprise is the predictive probability of an outcome no more likely than the one
// seen in slot k.
func (j *joint) partSurprise(k int, marks []float64) float64 {
	var predicted []float64
	for c := range j.places {
		p := j.places[c].slots[k].predict(j.weigh(c, k, marks))
		if predicted == nil {
			predicted = p
			continue
		}
		addTo(predicted, p)
	}
	sum, all := 0.0, total(predicted)
	for _, q := range predicted {
		if q <= predicted[j.places[0].slots[k].seen]*(1+1e-9) {
			sum += q
		}
	}
	return clamp(sum / all)
}

// stampSurprise is the surprise of mark n on the part of slot k.
func (j *joint) stampSurprise(k, n int, marks []float64) float64 {
	var months []float64
	for c := range j.places {
		p := j.places[c].slots[k].partMonths(j.weigh(c, k, marks), n)
		if months == nil {
			months = p
			continue
		}
		addTo(months, p)
	}
	all := total(months)
	for i := range months {
		months[i] /= all
	}
	return j.places[0].slots[k].stamps[n].surprise(months)
}

// withoutDonor is the weight of all parts with no donor.
func (j *joint) withoutDonor(marks []float64) float64 {
	sum := 0.0
	for _, p := range j.places {
		for i, q := range marks {
			none := p.p
			if !p.terms.wrongBook {
				none *= 1 - donorShare
			}
			for _, k := range j.live {
				none *= p.like[k][i]
			}
			sum += q * none
		}
	}
	return sum
}

// original is the chance by month that the part of slot k is original.
func (j *joint) original(k int) []float64 {
	out := make([]float64, j.g.n)
	for _, p := range j.places {
		s := p.slots[k]
		if p.own[k] == nil { // nothing seen
			for i, l := range p.all {
				out[i] += p.p * l * (1 - s.slot.Replaced)
			}
			continue
		}
		for i, o := range s.originalIn(s.seen, -1) {
			out[i] += p.p * p.own[k][i] * o
		}
	}
	for i := range out {
		out[i] /= j.like[i]
	}
	return out
}

// likeliest is the place that the parts and documents speak for most.
func (j *joint) likeliest(marks []float64) place {
	best, top := j.places[0], -1.0
	for _, p := range j.places {
		if q := p.p * dot(marks, p.all); q > top {
			best, top = p, q
		}
	}
	return best
}
