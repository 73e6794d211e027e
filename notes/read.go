package notes

import (
	"sort"
	"strings"
	"unicode"

	"midcase/evidence"
	"midcase/refbook"
)

// Options say what is known beforehand.
type Options struct {
	Book      *refbook.Book // its words help; may be nil
	Maker     string        // id, name or alias; found in the text where empty
	Reference string        // likewise
	Year      int           // the year of writing, for dates such as "11/24"; 0: not known
	Language  string        // en, de, fr or it; told by the words of the text where empty
	Own       []Own         // words that the shop uses in its own way
	Currency  string        // of a price that is asked without one, as over a counter; such a price is not read where empty
	Seller    bool          // the whole text is a seller's: what it says of parts and faults is claimed
}

// Item is one proposal. From and To are the runes of the text that it stands on. Open
// lists fields that the record needs and the notes do not give.
type Item struct {
	Data evidence.Data
	Text string
	From int
	To   int
	Sure float64 // 0 to 1
	Open []string
	Says string // the words that alone make it this finding, without place and degree; empty where there are none
}

// Span is a part of the text.
type Span struct {
	Text string `json:"text"`
	From int    `json:"from"`
	To   int    `json:"to"`
}

// Question is what the notes leave open.
type Question struct {
	About   string   `json:"about"`
	Choices []string `json:"choices,omitempty"`
	Span
}

// Reading is what was understood of a text.
type Reading struct {
	Maker     string
	Reference string
	Items     []Item
	Unread    []Span
	Questions []Question
}

// Read reads a text about one watch. It never fails: what it does not understand is
// returned as unread.
func Read(text string, opt Options) Reading {
	r := newReader(text, opt)
	letter := r.byTheSeller()
	r.opt.Seller = r.opt.Seller || letter
	r.heads()
	r.comparedWith()
	r.positions()
	r.codes()
	r.scan()
	r.sections()
	r.read()
	if letter {
		r.statements()
	}
	return r.reading()
}

// comparedWith keeps what is said of another watch out: "Cf. lot 212, a yellow gold example, no. 11'902". It stays unread.
func (r *reader) comparedWith() {
	for i := range r.all {
		switch r.at0(i) {
		case "cf", "confer":
		case "compare":
			if next := r.at0(i + 1); next != "lot" && next != "also" && next != "a" && next != "the" && next != "no" {
				continue
			}
		default:
			continue
		}
		if r.at[i] >= 0 || i > 0 && !r.ends(i-1) && r.at0(i-1) != "(" {
			continue
		}
		last := i + 1
		for last+1 < len(r.all) && (!r.ends(last) || last == i+1) {
			last++
		}
		r.cover(event{role: isPseudo, first: i, last: last})
	}
}

// read proposes what the phrases and figures come to.
func (r *reader) read() {
	r.speakers()
	r.papers()
	r.needs()
	r.reserves()
	r.romanStamps()
	r.figures()
	r.findings()
	r.fitted()
	r.asked()
	r.hearsay()
}

// script is a text cut into tokens.
type script struct {
	*lexicon
	runes []rune
	all   []token
}

// passage is a script with the phrases found in it and the parts that it speaks of.
type passage struct {
	script
	ev    []event
	at    []int // the event that covers a token, or -1
	used  []bool
	opens []opening // where a slot begins to be spoken of, in order

	denials []denial // faults that are said not to be there
}

// reader holds one text while it is read.
type reader struct {
	passage
	opt Options

	maker *refbook.Maker
	ref   *refbook.Reference

	claims []reach // words that somebody else says
	found  []candidate
	out    []Item
	ask    []Question

	needed  []reach // words of work that is still to do
	priceAt reach   // where the price asked stands
}

// event is a phrase, a code of the book or a number where it stands in the text.
type event struct {
	role  role
	id    string
	first int // tokens
	last  int
	n     number
	also  []phrase // other roles that the same words can have
}

const (
	isNumber role = "number"
	isCode   role = "code"
)

// opening is a mention of a slot from which on that slot is spoken of.
type opening struct {
	slot evidence.Slot
	ev   int
}

// reach is a stretch of tokens, both ends included.
type reach struct{ first, last int }

func (w reach) holds(i int) bool { return w.first <= i && i <= w.last }

func newReader(text string, opt Options) *reader {
	r := &reader{passage: passage{script: script{lexicon: general().with(opt.Own), runes: []rune(text)}}, opt: opt}
	r.all = r.mend(r.english(tokens(r.runes), opt.Language))
	r.used = make([]bool, len(r.all))
	r.at = make([]int, len(r.all))
	for i := range r.at {
		r.at[i] = -1
	}
	if opt.Book != nil && opt.Maker != "" {
		r.maker, _ = opt.Book.Maker(opt.Maker)
		if r.maker != nil && opt.Reference != "" {
			r.ref, _ = r.maker.Reference(opt.Reference)
		}
	}
	return r
}

// is reports whether the event has the role, alone or beside others.
func (e event) is(want role) (id string, ok bool) {
	if e.role == want {
		return e.id, true
	}
	for _, p := range e.also {
		if p.role == want {
			return p.id, true
		}
	}
	return "", false
}

// has reports whether the event can be one of the roles, and which of them it takes
// first.
func (e event) has(roles ...role) bool {
	for _, want := range roles {
		if _, ok := e.is(want); ok {
			return true
		}
	}
	return false
}

// use marks tokens as read.
func (r *passage) use(first, last int) {
	for i := first; i <= last && i < len(r.used); i++ {
		r.used[i] = true
	}
}

// propose adds an item that stands on tokens.
func (r *reader) propose(d evidence.Data, first, last int, sure float64, open ...string) {
	from, to := r.all[first].from, r.all[last].to
	r.use(first, last)
	if r.opt.Seller {
		var claimed bool
		if d, claimed = r.claimed(d, first, last); claimed {
			open = nil
			first, last = r.clause(first, last)
			r.use(first, last)
			from, to = r.all[first].from, r.all[last].to
			if r.claimedAlready(d, from) {
				return
			}
		}
	}
	r.out = append(r.out, Item{Data: d, Text: string(r.runes[from:to]), From: from, To: to, Sure: sure, Open: open})
}

func (r *reader) question(about string, first, last int, choices ...string) {
	if r.opt.Seller {
		return // a claim leaves nothing open
	}
	from, to := r.all[first].from, r.all[last].to
	r.ask = append(r.ask, Question{about, choices, Span{string(r.runes[from:to]), from, to}})
}

// claimed turns into a claim what a seller says of parts, faults, work and running. What
// anybody can read off the watch, and papers, stay what they are.
func (r *script) claimed(d evidence.Data, first, last int) (evidence.Data, bool) {
	about := ""
	switch d := d.(type) {
	case *evidence.Finding:
		about = string(d.Slot)
	case *evidence.Fitted:
		if d.Slot == evidence.Bracelet || d.Slot == evidence.EndPieces {
			return d, false
		}
		about = string(d.Slot)
	case *evidence.Work:
		about = d.What
	case *evidence.Rate:
		about = "rate"
	case *evidence.Need:
		about = d.What
	default:
		return d, false
	}
	first, last = r.clause(first, last)
	return &evidence.Claim{About: about, Text: r.words(first, last), From: "seller"}, true
}

// claimedAlready reports whether the same words were claimed of the same part.
func (r *reader) claimedAlready(d evidence.Data, from int) bool {
	for _, it := range r.out {
		c, ok := it.Data.(*evidence.Claim)
		if ok && it.From == from && c.About == d.(*evidence.Claim).About {
			return true
		}
	}
	return false
}

// claim proposes what somebody else says, in his own words.
func (r *reader) claim(about string, first, last int, sure float64) {
	wide := reach{first, last}
	wide.first, wide.last = r.clause(first, last)
	for _, w := range r.claims {
		if w.holds(first) {
			wide.first, wide.last = max(wide.first, w.first), min(wide.last, max(w.last, last))
		}
	}
	r.propose(
		&evidence.Claim{About: about, Text: r.words(wide.first, wide.last), From: "seller"},
		wide.first,
		wide.last,
		sure,
	)
}

// clause widens a stretch to the punctuation around it.
func (r *script) clause(first, last int) (int, int) {
	const most = 10
	from, to := first, last
	stops := func(i int) bool { return r.ends(i) || strings.Contains(",:;()", r.at0(i)) }
	for from > 0 && first-from < most && !stops(from-1) {
		from--
	}
	for to+1 < len(r.all) && to-last < most && !stops(to+1) {
		to++
	}
	return from, to
}

// words is the text of tokens as typed.
func (r *script) words(first, last int) string {
	return string(r.runes[r.all[first].from:r.all[last].to])
}

// ends reports whether a sentence ends at the token.
func (r *script) ends(i int) bool {
	t := r.all[i]
	switch {
	case t.kind == line:
		return true
	case t.kind != mark:
		return false
	case t.norm == ";" || t.norm == "!":
		return true
	case t.norm == ".":
		ellipsis := r.at0(i+1) == "." && r.all[i+1].joined || r.at0(i-1) == "." && t.joined
		return !ellipsis && !r.abbreviates(i)
	}
	return false
}

// abbreviates reports whether a full stop only shortens the word before it.
func (r *script) abbreviates(i int) bool {
	if i == 0 || !r.all[i].joined || r.all[i-1].kind != word {
		return false
	}
	before := r.all[i-1].norm
	if r.all[i-1].short && before != "mm" {
		return true
	}
	if r.wholeWord(before) {
		return false
	}
	next := i+1 < len(r.all) && r.all[i+1].kind != line
	if !next || len(before) > 5 {
		return false
	}
	after := r.all[i+1]
	// As typed: articles of other languages are no tokens.
	typed := strings.TrimLeft(string(r.runes[r.all[i].to:after.to]), " \t")
	return after.kind == figure || after.kind == mark || !unicode.IsUpper([]rune(typed)[0])
}

// wholeWord reports whether the vocabulary has a word and no longer one of which it may be the beginning.
func (l *lexicon) wholeWord(w string) bool {
	if len(w) < 4 || len(l.byFirst[w]) == 0 {
		return false
	}
	for longer := range l.byFirst {
		if rest, ok := strings.CutPrefix(longer, w); ok && len(rest) > 2 {
			return false
		}
	}
	return true
}

func (r *reader) reading() Reading {
	out := Reading{Questions: r.ask}
	if r.maker != nil {
		out.Maker = r.maker.Name
	}
	if r.ref != nil {
		out.Reference = r.ref.ID
	}
	sort.SliceStable(r.out, func(i, j int) bool { return r.out[i].From < r.out[j].From })
	out.Items = r.out
	out.Unread = r.unread()
	return out
}

// unread gathers what nothing stands on; words that carry nothing are left out.
func (r *reader) unread() []Span {
	var out []Span
	for i := 0; i < len(r.all); i++ {
		if r.used[i] || r.all[i].kind == line || r.all[i].kind == mark {
			continue
		}
		first, last, says := i, i, false
		for j := i; j < len(r.all) && !r.used[j] && !r.ends(j); j++ {
			if r.all[j].kind != mark {
				last = j
			}
			says = says || r.tells(j)
		}
		if says {
			out = append(out, Span{r.words(first, last), r.all[first].from, r.all[last].to})
		}
		i = last
	}
	return out
}

// tells reports whether a token says something by itself.
func (r *passage) tells(i int) bool {
	t := r.all[i]
	if t.kind == figure {
		return true
	}
	if t.kind != word || r.filler[t.norm] || len(t.norm) < 2 {
		return false
	}
	return r.at[i] < 0 || !r.ev[r.at[i]].has(isSlot, isCloser, isThere, isNegation, isDegree, isNow)
}

// slotName is a slot in words.
func slotName(s evidence.Slot) string { return strings.ReplaceAll(string(s), "_", " ") }
