package notes

import (
	"slices"
	"sort"
	"strings"

	"midcase/evidence"
)

// Ground is what a proposal stands on: the runes of the text and how sure the reader is
// of it. Assumed marks what the text does not say and common practice fills in.
type Ground struct {
	Text    string  `json:"text,omitempty"`
	From    int     `json:"from"`
	To      int     `json:"to"`
	Sure    float64 `json:"sure"`
	Assumed bool    `json:"assumed,omitempty"`
}

// BookReading is what was understood of a text about makers and references.
type BookReading struct {
	Makers    []BookMaker `json:"makers"`
	Unread    []Span      `json:"unread"`
	Questions []Question  `json:"questions,omitempty"`
}

// BookMaker is one maker that the text writes of.
type BookMaker struct {
	Name       string          `json:"name"`
	References []BookReference `json:"references"`
	Serials    []Milestone     `json:"serials"`
}

// BookReference is one reference. Its fields are proposals, each on words of the text.
type BookReference struct {
	ID         string          `json:"id"`
	Kind       string          `json:"kind,omitempty"` // what sort of watch it is, as written
	Made       *BookSpan       `json:"made,omitempty"`
	Metals     []BookMetal     `json:"metals"`
	Calibres   []BookCalibre   `json:"calibres"`
	Dimensions []BookDimension `json:"dimensions"`
	Slots      []BookSlot      `json:"slots"`
	Ground
}

// BookSpan is a time, in EDTF; SoftMonths says how vaguely its ends were given.
type BookSpan struct {
	Value      string `json:"value"`
	SoftMonths int    `json:"soft_months,omitempty"`
	Ground
}

// BookMetal is a metal that the reference was made in.
type BookMetal struct {
	Value   string       `json:"value"` // the book's id, such as gold18
	Windows []BookWindow `json:"windows,omitempty"`
	Ground
}

// BookCalibre is a movement that the reference was fitted with.
type BookCalibre struct {
	Value        string `json:"value"`
	BeatsPerHour int    `json:"beats_per_hour,omitempty"`
	Jewels       int    `json:"jewels,omitempty"`
	Winding      string `json:"winding,omitempty"` // hand or automatic
	Made         string `json:"made,omitempty"`
	Ground
}

// BookDimension is a size when new, as in evidence.DimensionKinds.
type BookDimension struct {
	What string  `json:"what"`
	MM   float64 `json:"mm"`
	Ground
}

// BookSlot is what is said of one part of a reference.
type BookSlot struct {
	Slot     evidence.Slot `json:"slot"`
	Variants []BookVariant `json:"variants"`
	Replaced *BookShare    `json:"replaced,omitempty"`
}

// BookShare is a chance between 0 and 1 that a word such as "often" stands for.
type BookShare struct {
	Value float64 `json:"value"`
	Ground
}

// BookVariant is one version of a part.
type BookVariant struct {
	Name     string       `json:"name"`
	Windows  []BookWindow `json:"windows,omitempty"`
	Service  bool         `json:"service,omitempty"`
	Supplied string       `json:"supplied,omitempty"` // when a service part was supplied
	Lume     string       `json:"lume,omitempty"`
	Look     string       `json:"look,omitempty"` // how to recognise it
	Ground
}

// BookWindow is a time in which a version was fitted.
type BookWindow struct {
	Made       string  `json:"made"`
	SoftMonths int     `json:"soft_months,omitempty"`
	Share      float64 `json:"share,omitempty"`
}

// Milestone is a number of a watch with the time at which it was reached.
type Milestone struct {
	Number          int    `json:"number"`
	Month           string `json:"month"`
	PlusMinusMonths int    `json:"plus_minus_months"`
	Mark            string `json:"mark"` // serial or movement_number
	Source          string `json:"source,omitempty"`
	Ground
}

// ReadBook reads what somebody wrote down about makers and references, in prose or in
// telegraph style. maker names the maker where the text does not; it may be empty. It
// never fails: what it does not understand is returned as unread.
func ReadBook(text, maker string) BookReading {
	r := newBookReader(text, maker)
	for _, s := range r.sections() {
		r.section(s)
	}
	return r.reading()
}

// bookReader holds one text while it is read.
type bookReader struct {
	script
	words     *bookWords
	makers    []*BookMaker
	used      []bool // tokens that a proposal stands on
	firstWord int    // the first token that is a word
	ask       []Question
}

func newBookReader(text, maker string) *bookReader {
	runes := []rune(text)
	r := &bookReader{script: script{lexicon: general(), runes: runes, all: withoutHyphens(tokens(runes))}, words: bookVocabulary()}
	r.used = make([]bool, len(r.all))
	for r.firstWord < len(r.all) && r.all[r.firstWord].kind != word {
		r.firstWord++
	}
	if maker != "" {
		r.makers = append(r.makers, &BookMaker{Name: maker})
	}
	return r
}

// withoutHyphens drops the hyphen inside a number in words, "thirty-three".
func withoutHyphens(all []token) []token {
	var out []token
	for i, t := range all {
		if t.text == "-" && t.joined && i > 0 && i+1 < len(all) && all[i+1].joined &&
			isNumberWord(all[i-1].norm) && isNumberWord(all[i+1].norm) {
			continue
		}
		out = append(out, t)
	}
	return out
}

// ground is that of the tokens first to last.
func (r *bookReader) ground(first, last int, sure float64) Ground {
	for first < last && r.all[first].kind == mark {
		first++
	}
	for last > first && (r.all[last].kind == mark && !strings.Contains(")%", r.all[last].text) || r.all[last].kind == line) {
		last--
	}
	for i := first; i <= last; i++ {
		r.used[i] = true
	}
	from, to := r.all[first].from, r.all[last].to
	return Ground{Text: string(r.runes[from:to]), From: from, To: to, Sure: sure}
}

// maker is the one that the text speaks of; one without a name where none was named.
func (r *bookReader) maker() *BookMaker {
	if len(r.makers) == 0 {
		r.makers = append(r.makers, &BookMaker{})
	}
	return r.makers[len(r.makers)-1]
}

func (r *bookReader) reading() BookReading {
	out := BookReading{Makers: []BookMaker{}, Unread: r.unread(), Questions: r.ask}
	for _, m := range r.makers {
		if len(m.References) == 0 && len(m.Serials) == 0 {
			continue
		}
		if m.Name == "" {
			out.Questions = append(out.Questions, Question{About: "maker"})
		}
		for i := range m.References {
			m.References[i].fill()
		}
		if m.References == nil {
			m.References = []BookReference{}
		}
		if m.Serials == nil {
			m.Serials = []Milestone{}
		}
		sort.SliceStable(m.Serials, func(i, j int) bool { return m.Serials[i].Number < m.Serials[j].Number })
		out.Makers = append(out.Makers, *m)
	}
	return out
}

// fill makes empty lists of those that nothing was said for, so that JSON has [].
func (b *BookReference) fill() {
	if b.Metals == nil {
		b.Metals = []BookMetal{}
	}
	if b.Calibres == nil {
		b.Calibres = []BookCalibre{}
	}
	if b.Dimensions == nil {
		b.Dimensions = []BookDimension{}
	}
	if b.Slots == nil {
		b.Slots = []BookSlot{}
	}
}

// unread are the stretches of a sentence that no proposal stands on, of two words or more
// and not of filler alone.
func (r *bookReader) unread() []Span {
	out := []Span{}
	for i := 0; i < len(r.all); i++ {
		if r.used[i] || r.all[i].kind == line || r.all[i].kind == mark {
			continue
		}
		last, words, idle := i, 0, true
		for j := i; j < len(r.all) && !r.used[j] && r.all[j].kind != line && !r.sentenceEnd(j); j++ {
			if r.all[j].kind != mark {
				last, words = j, words+1
				idle = idle && slices.Contains(r.words.Filler, r.all[j].norm)
			}
		}
		if words >= 2 && !idle {
			from, to := r.all[i].from, r.all[last].to
			out = append(out, Span{string(r.runes[from:to]), from, to})
		}
		i = last
	}
	return out
}
