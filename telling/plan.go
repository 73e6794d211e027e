package telling

import (
	"hash/fnv"
	"slices"

	"midcase/estimate"
	"midcase/evidence"
	"midcase/money"
	"midcase/opinion"
	"midcase/refbook"
	"midcase/say"
)

// Subject is a watch that is to be told of.
type Subject struct {
	Opinion opinion.Opinion
	File    evidence.File
	Book    *refbook.Book
	Offer   Offer
}

// Offer is how the watch is offered.
type Offer struct {
	Number   string      // of the file in the shop
	Price    money.Money // the zero Money means on request
	Standing Standing
	Shop     string   // its name
	Terms    []string // the shop's own words on return, delivery and tax, in English
	Address  string   // where the whole listing stands
}

// Standing is whether the watch may be offered.
type Standing int

// The standings. A watch in a file of its own is For Sale.
const (
	ForSale  Standing = iota
	Reserved          // for somebody, and told as reserved
	NotOurs           // not bought, returned or taken back
	Gone              // sold
)

// Section names a part of a text.
type Section string

// The sections in their order.
const (
	What      Section = "what"
	Example   Section = "example"
	Doubts    Section = "doubts"
	Condition Section = "condition"
	Running   Section = "running"
	With      Section = "with"
	Sizes     Section = "sizes"
	Dating    Section = "dating"
	History   Section = "history"
	Open      Section = "open"
	Notes     Section = "notes"
	Price     Section = "price"
)

// Sections lists the sections in their order.
func Sections() []Section {
	return []Section{What, Example, Doubts, Condition, Running, With, Sizes, Dating, History, Open, Notes, Price}
}

// Sentence is one sentence of the plan.
type Sentence struct {
	Section   Section
	Says      say.Statement
	Evidence  []evidence.ID
	Basis     []estimate.Basis
	Discloses []Disclosure
	// Chance is the least chance that what the sentence states is so; 0 where it states
	// what was seen.
	Chance float64
}

// Disclosure is one thing that a buyer has to hear of. Says stands within the sentence
// that discloses it; Word is the same in a word or two, of the slot where there is one.
type Disclosure struct {
	Finding evidence.ID // the item of evidence, or part/SLOT where there is none
	Slot    evidence.Slot
	Says    say.Statement
	Word    say.Value
	Grave   int // the higher the graver
}

// Plan is what is told of a watch, before the words.
type Plan struct {
	Title     say.Statement
	Sentences []Sentence

	subject Subject
	must    []evidence.ID
	way     string // which of several ways of saying the same
}

// planning is the work on a plan.
type planning struct {
	Subject
	plan Plan
	ref  *refbook.Reference
	book *refbook.Maker

	toldRules []string // those broken that were told with a part
}

// Make plans what is told of a watch. It refuses with an error of type *Refused what may
// not be offered. The same subject gives the same plan.
func Make(s Subject) (Plan, error) {
	if err := refuse(s); err != nil {
		return Plan{}, err
	}
	p := &planning{Subject: s}
	p.plan.subject, p.plan.way = s, wayOf(s.Opinion.Watch.ID+s.Opinion.Watch.Reference+s.Offer.Number)
	if m, ok := s.Book.Maker(s.Opinion.Watch.Maker); ok {
		p.book = m
		p.ref, _ = m.Reference(s.Opinion.Watch.Reference)
	}
	p.title()
	p.what()
	p.example()
	p.doubts()
	p.condition()
	p.running()
	p.with()
	p.sizes()
	p.dating()
	p.history()
	p.open()
	p.notes()
	p.price()
	p.plan.must = duties(s)
	return p.plan, nil
}

// wayOf chooses one of three ways of saying something by a fixed seed.
func wayOf(seed string) string {
	h := fnv.New32a()
	_, _ = h.Write([]byte(seed))
	return string("abc"[h.Sum32()%3])
}

func (p *planning) add(s Sentence) { p.plan.Sentences = append(p.plan.Sentences, s) }

// tell adds a sentence that discloses nothing.
func (p *planning) tell(in Section, says say.Statement, on ...evidence.ID) {
	p.add(Sentence{Section: in, Says: says, Evidence: on})
}

// of lists the sentences of a section.
func (p Plan) of(in Section) []Sentence {
	return slices.DeleteFunc(slices.Clone(p.Sentences), func(s Sentence) bool { return s.Section != in })
}

// Disclosures lists everything that the plan discloses, the gravest first.
func (p Plan) Disclosures() []Disclosure {
	var out []Disclosure
	for _, s := range p.Sentences {
		out = append(out, s.Discloses...)
	}
	slices.SortStableFunc(out, func(a, b Disclosure) int { return b.Grave - a.Grave })
	return out
}

// optional is a word of the trade or, without an id, the choice none of a sentence.
func optional(set, id, english string) say.Noun {
	if id == "" {
		id = "none"
	}
	return say.Noun{Set: set, ID: id, English: english}
}

// orNone is a name or, without one, the choice none of a sentence.
func orNone(text string) string {
	if text == "" {
		return "none"
	}
	return text
}

func slotNoun(slot evidence.Slot) say.Noun { return say.Noun{Set: "slot", ID: string(slot)} }

func slotNouns(slots []evidence.Slot) []say.Value {
	out := make([]say.Value, len(slots))
	for i, s := range slots {
		out[i] = slotNoun(s)
	}
	return out
}
