package notes

import (
	"strings"

	"midcase/evidence"
	"midcase/money"
)

// currencies are signs and words for currencies; a $ is taken for the US dollar.
var currencies = map[string]string{
	"€":       "EUR",
	"$":       "USD",
	"£":       "GBP",
	"¥":       "JPY",
	"eur":     "EUR",
	"usd":     "USD",
	"gbp":     "GBP",
	"chf":     "CHF",
	"euro":    "EUR",
	"euros":   "EUR",
	"dollars": "USD",
	"pounds":  "GBP",
	"francs":  "CHF",
	"sfr":     "CHF",
	"jpy":     "JPY",
	"sek":     "SEK",
	"dkk":     "DKK",
	"nok":     "NOK",
	"hkd":     "HKD",
	"sgd":     "SGD",
	"aud":     "AUD",
	"cad":     "CAD",
	"us$":     "USD",
}

// sum is an amount found in the text, or a range of them.
type sum struct {
	low, high   money.Money
	first, last int
}

// sale reads lot, price, estimate and the state of the sale.
func (r *reader) sale() Sale {
	var s Sale
	for i := range r.all {
		switch r.at0(i) {
		case "lot":
			if i+1 < len(r.all) && r.all[i+1].kind == figure && i < 3 {
				s.Lot, s.Venue = r.all[i+1].text, "auction"
				r.use(i, i+1)
			}
		case "passed", "unsold":
			s.Unsold = true
			r.use(i, i)
		case "firm":
			s.Firm = true
			r.use(i, i)
		case "reserve":
			reserve := !(r.at0(i-1) == "no" || r.at0(i-1) == "without")
			s.Reserve = &reserve
			r.use(max(0, i-1), i)
		case "sold":
			if !r.salePrice(&s, i) && s.Venue == "" {
				s.State = "sold"
				r.use(i, i)
			}
		}
	}
	r.prices(&s)
	s.Completeness = r.completeness()
	return s
}

// salePrice reads "Sold for CHF 4'375.- incl. premium, 16 May 2025".
func (r *reader) salePrice(s *Sale, i int) bool {
	for j := i + 1; j < len(r.all) && j <= i+4; j++ {
		m, ok := r.sumAt(j)
		if !ok {
			continue
		}
		s.Price, s.Basis = m.low, "hammer"
		last := m.last
		for k := m.last + 1; k < len(r.all) && k <= m.last+6; k++ {
			if strings.HasPrefix(r.at0(k), "premium") || r.at0(k) == "bp" {
				s.Basis, last = "all-in", k
			}
		}
		if d, ok := r.dateNear(last+1, 6, true); ok {
			s.Date, last = d.date, d.last
		}
		if s.Venue == "" {
			s.Basis = "sold"
		}
		r.use(i, last)
		return true
	}
	return false
}

// prices reads the estimate of an auction or the price that a seller asks. An earlier
// price ("was 4200, now …") gives way to the later one.
func (r *reader) prices(s *Sale) {
	for i := range r.all {
		if r.used[i] || r.at[i] >= 0 && r.used[r.ev[r.at[i]].first] {
			continue
		}
		m, ok := r.sumAt(i)
		if !ok {
			continue
		}
		r.use(m.first, m.last)
		before := r.at0(m.first - 1)
		if before == "." || before == ":" {
			before = r.at0(m.first - 2)
		}
		switch {
		case strings.HasPrefix(before, "est") || !m.high.IsZero() && s.Venue == "auction":
			high := m.high
			if high.IsZero() {
				high = m.low
			}
			s.Estimate = []money.Money{m.low, high}
			if s.Basis == "" {
				s.Basis = "hammer"
			}
			r.use(max(0, m.first-2), m.first)
		case before == "was" || before == "formerly" || s.Venue == "auction":
		case s.Price.IsZero() || before == "now" || before == "asking":
			s.Price, s.Basis = m.low, "asking"
			r.priceAt = reach{m.first, m.last}
			if before == "now" || before == "asking" || before == "price" {
				r.priceAt.first = m.first - 1
			}
			if r.at0(m.last+1) == "," && r.at0(m.last+2) == "firm" {
				r.priceAt.last = m.last + 2
			}
		}
	}
}

// sumAt reads an amount of money that begins at token i: "CHF 2'800 - 3'600", "$6,450",
// "5.9k EUR". A figure without a currency is no sum.
func (r *script) sumAt(i int) (sum, bool) {
	s := sum{first: i}
	cur, j := currencies[r.at0(i)], i
	if r.all[i].kind == mark || r.all[i].kind == word {
		if cur == "" {
			return s, false
		}
		j++
	}
	low, j, ok := r.amountAt(j)
	if !ok {
		return s, false
	}
	s.last = j - 1
	high := ""
	if sep := r.at0(j); sep == "-" || sep == "–" || sep == "/" || sep == "to" {
		if h, next, ok := r.amountAt(j + 1); ok {
			high, s.last = h, next-1
		}
	}
	if cur == "" {
		cur = currencies[r.at0(s.last+1)]
		if cur == "" {
			return s, false
		}
		s.last++
	}
	var err error
	if s.low, err = money.Parse(low, cur); err != nil {
		return s, false
	}
	if high != "" {
		if s.high, err = money.Parse(high, cur); err != nil {
			return s, false
		}
	}
	return s, true
}

// amountAt reads a figure as an amount; three digits behind a mark are thousands.
func (r *script) amountAt(j int) (text string, next int, ok bool) {
	if j >= len(r.all) || r.all[j].kind != figure {
		return "", 0, false
	}
	n, ok := numberAt(r.all, j)
	if !ok {
		return "", 0, false
	}
	text, next = n.digits(), n.last+1
	if n.fraction != "" {
		text += "." + n.fraction
	}
	if r.at0(next) == "k" {
		text, next = thousandfold(n), next+1
	}
	if r.at0(next) == "." && r.at0(next+1) == "-" { // 4'375.-
		next += 2
	}
	return text, next, true
}

// thousandfold is the figure times a thousand, as text.
func thousandfold(n number) string {
	frac := (n.fraction + "000")
	return n.digits() + frac[:3]
}

// completeness is what comes with the watch, where the text says so of box and papers.
func (r *passage) completeness() []string {
	has := map[string]int{}
	for k, e := range r.ev {
		id, ok := e.is(isSlot)
		if !ok || id != string(evidence.Box) && id != string(evidence.Papers) {
			continue
		}
		denied := r.deniedBehind(e) || k > 0 && r.ev[k-1].role == isNegation && r.onlyOf(r.ev[k-1].last, e.first) ||
			k > 1 && r.joinedDenial(k)
		if denied {
			has[id] = -1
		} else {
			has[id] = 1
		}
	}
	switch box, papers := has[string(evidence.Box)], has[string(evidence.Papers)]; {
	case box == 0 && papers == 0:
		return nil
	case box > 0 && papers > 0:
		return []string{"full"}
	case papers > 0:
		return []string{"papers"}
	case box > 0:
		return []string{"box"}
	}
	return []string{"watch"}
}
