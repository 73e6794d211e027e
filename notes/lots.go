package notes

import (
	"regexp"
	"strings"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/money"
)

// Lot is one watch of a catalogue, or of several texts of sellers.
type Lot struct {
	Lot int `json:"lot"` // its place in the text, from 1
	Reading
	Sale Sale
}

// Sale is what a text says of price and sale. Empty fields were not said.
type Sale struct {
	Lot          string        `json:"lot,omitempty"`
	Date         edtf.Date     `json:"date,omitzero"`
	Price        money.Money   `json:"price,omitzero"`
	Estimate     []money.Money `json:"estimate,omitempty"` // low, high
	Basis        string        `json:"basis,omitempty"`    // hammer, all-in, asking, sold
	Venue        string        `json:"venue,omitempty"`
	Reserve      *bool         `json:"reserve,omitempty"`
	Unsold       bool          `json:"unsold,omitempty"`
	Firm         bool          `json:"firm,omitempty"`
	State        string        `json:"state,omitempty"`
	Completeness []string      `json:"completeness,omitempty"`
}

var lotBreak = regexp.MustCompile(`\n[ \t]*(?:-{3,}[ \t]*)?\n`)

// ReadLots reads a text with several watches, parted by blank lines or by lines of
// dashes. All that it says is a seller's word: facts that can be read off the watch
// (numbers, sizes, weights) and papers are proposed as evidence, the rest as claims.
// It returns nil where the text holds only one.
func ReadLots(text string, opt Options) []Lot {
	parts := cutLots([]rune(text))
	if len(parts) < 2 {
		return nil
	}
	var out []Lot
	for i, p := range parts {
		own := opt
		own.Seller = true
		reading, sale := readSelling(p.Text, own)
		for k := range reading.Items {
			reading.Items[k].From += p.From
			reading.Items[k].To += p.From
		}
		for k := range reading.Unread {
			reading.Unread[k].From += p.From
			reading.Unread[k].To += p.From
		}
		for k := range reading.Questions {
			reading.Questions[k].From += p.From
			reading.Questions[k].To += p.From
		}
		out = append(out, Lot{i + 1, reading, sale})
	}
	return out
}

// cutLots parts a text; offsets are in runes.
func cutLots(text []rune) []Span {
	s := strings.ReplaceAll(string(text), "\r", " ")
	s = regexp.MustCompile(`(?m)^[ \t]*-{3,}[ \t]*$`).
		ReplaceAllStringFunc(s, func(m string) string { return strings.Repeat(" ", len(m)) })
	var out []Span
	at := 0
	add := func(from, to int) {
		part := s[from:to]
		trimmed := strings.TrimSpace(part)
		if trimmed == "" {
			return
		}
		start := len([]rune(s[:from])) + len([]rune(part[:strings.Index(part, trimmed)]))
		out = append(out, Span{trimmed, start, start + len([]rune(trimmed))})
	}
	for _, m := range lotBreak.FindAllStringIndex(s, -1) {
		add(at, m[0])
		at = m[1]
	}
	add(at, len(s))
	return out
}

func readSelling(text string, opt Options) (Reading, Sale) {
	r := newReader(text, opt)
	r.codes()
	r.scan()
	r.sections()
	sale := r.sale()
	r.read()
	r.sellerFacts(sale)
	return r.reading(), sale
}

// sellerFacts proposes what sellers say beside parts and faults: year, metal, how it
// runs, the price.
func (r *reader) sellerFacts(s Sale) {
	for i := range r.all {
		if r.used[i] {
			continue
		}
		if y, last, ok := r.yearAt(i, false, false); ok && r.looksLikeYear(i) {
			if r.at0(i-1) == "circa" || r.at0(i-1) == "about" || r.at0(i-1) == "in" || r.at0(i-1) == "ca" ||
				r.at0(i-1) == "c" {
				i--
			}
			_ = y
			if r.at0(last+1) == "s" {
				last++
			}
			r.claim("year", i, last, 0.8)
			break
		}
	}
	for _, e := range r.ev {
		if id, ok := e.is(isMetal); ok && !r.used[e.first] && r.metalOfCase(e) {
			r.claim("metal", e.first, e.last, 0.8)
			_ = id
			break
		}
	}
	for _, e := range r.ev {
		if e.role == isTopic && !r.used[e.first] {
			r.claim(e.id, e.first, e.last, 0.7)
		}
	}
	if s.Basis == "asking" && !s.Price.IsZero() && r.priceAt.last > 0 {
		r.propose(
			&evidence.Claim{
				About: "price",
				Text:  r.words(r.priceAt.first, r.priceAt.last),
				From:  "seller",
				Price: s.Price,
			},
			r.priceAt.first,
			r.priceAt.last,
			0.9,
		)
	}
}

func (r *script) looksLikeYear(i int) bool {
	switch r.at0(i - 1) {
	case "circa", "about", "in", "ca", "from", "made", ",", "c", ".", "year", "dated":
		return true
	}
	return r.at0(i+1) == "s" || r.at0(i+1) == ","
}

// metalOfCase keeps the metal of a buckle or a bezel from being taken for the case's.
func (r *passage) metalOfCase(e event) bool {
	switch r.slotAt(e.first) {
	case "", evidence.Case, evidence.Movement:
		return true
	}
	return e.first < 20
}
