package telling

import (
	"fmt"
	"slices"
	"strings"

	"midcase/estimate"
	"midcase/evidence"
	"midcase/say"
)

// Form is the form in which a watch is told of.
type Form string

// The forms.
const (
	Page      Form = "page"
	Catalogue Form = "catalogue"
	Message   Form = "message"
	Post      Form = "post"
	Talk      Form = "talk"
)

// Forms lists the forms.
func Forms() []Form { return []Form{Page, Catalogue, Message, Post, Talk} }

// LongPost and ShortPost are the lengths of a post in characters that are in use.
const (
	LongPost  = 2000
	ShortPost = 280
)

// Told is a text in one language, with what it stands on.
type Told struct {
	Title     string      `json:"title"`
	Language  string      `json:"language"`
	For       Form        `json:"for"`
	Text      string      `json:"text"`
	Facts     []Fact      `json:"facts"`
	Disclosed []Disclosed `json:"disclosed"`
	LeftOut   []Disclosed `json:"left_out"`
	// Elsewhere is the sentence that says where the whole list is, in a post too short
	// for it.
	Elsewhere string  `json:"elsewhere,omitempty"`
	Blocks    []Block `json:"-"`
}

// Fact is a sentence of the text with its grounds.
type Fact struct {
	Section  Section          `json:"section"`
	Kind     say.Kind         `json:"kind"`
	Text     string           `json:"text"`
	Evidence []evidence.ID    `json:"evidence"`
	Basis    []estimate.Basis `json:"basis,omitempty"`
	Chance   float64          `json:"chance,omitempty"` // that it is so, at least
	Picture  evidence.ID      `json:"picture,omitempty"`
}

// Disclosed is what the text says of one finding; its words stand in the text.
type Disclosed struct {
	Finding evidence.ID   `json:"finding"`
	Slot    evidence.Slot `json:"slot,omitempty"`
	Text    string        `json:"text"`
}

// Block is a piece of the text under a heading, which may be empty. With Apart each
// sentence stands on a line of its own.
type Block struct {
	Heading   string
	Sentences []Spoken
	Apart     bool
	Asked     bool // the heading is a question that a client may ask
	Inside    bool // for whoever talks, not for the client
}

// Spoken is a sentence in words.
type Spoken struct {
	Fact
	Discloses []Disclosure
	// Cue names the picture to show, at the end of Text; empty where there is none.
	Cue string
}

// Aloud is the sentence without its cue.
func (s Spoken) Aloud() string { return strings.TrimSuffix(s.Text, " "+s.Cue) }

// LeftOutError reports that a text leaves out what has to be disclosed.
type LeftOutError struct{ Findings []evidence.ID }

// Error implements error.
func (e *LeftOutError) Error() string {
	var names []string
	for _, id := range e.Findings {
		if !slices.Contains(names, string(id)) {
			names = append(names, string(id))
		}
	}
	const named = 3
	text := strings.Join(names[:min(named, len(names))], ", ")
	if more := len(names) - named; more > 0 {
		text += fmt.Sprintf(" and %d more", more)
	}
	return fmt.Sprintf("this form is too short to disclose everything: it leaves out %s. Choose a longer form", text)
}

// Tell writes the plan in one form. length is how many characters a post may have; 0 is
// LongPost. It refuses with a *LeftOutError a text that leaves a disclosure out.
func (p Plan) Tell(w say.Writer, form Form, length int) (Told, error) {
	t := &writing{w: w, plan: p, told: Told{Title: plain(w.Capital(p.Title)), Language: w.Catalogue.Tag.String(),
		For: form, Facts: []Fact{}, Disclosed: []Disclosed{}, LeftOut: []Disclosed{}}}
	switch form {
	case Catalogue:
		t.entry()
	case Message:
		t.message()
	case Post:
		if length <= 0 {
			length = LongPost
		}
		t.post(length)
	case Talk:
		t.talk()
	default:
		t.page()
	}
	if t.told.Text == "" {
		t.told.Text = textOf(t.told.Blocks)
	}
	t.account()
	if len(t.told.LeftOut) > 0 {
		left := make([]evidence.ID, len(t.told.LeftOut))
		for i, d := range t.told.LeftOut {
			left[i] = d.Finding
		}
		return t.told, &LeftOutError{left}
	}
	return t.told, nil
}

// writing is the work on one text.
type writing struct {
	w    say.Writer
	plan Plan
	told Told
	say  []Disclosed // what the short forms say of the findings
}

// plain has plain spaces, so that words are found where they stand.
func plain(text string) string {
	return strings.NewReplacer("\u00a0", " ", "\u202f", " ").Replace(text)
}

// speak writes one sentence.
func (t *writing) speak(s Sentence) Spoken {
	return Spoken{Fact: Fact{Section: s.Section, Kind: s.Says.Kind, Text: plain(t.w.Capital(s.Says)),
		Evidence: append([]evidence.ID{}, s.Evidence...), Basis: s.Basis, Chance: s.Chance}, Discloses: s.Discloses}
}

// block adds the sentences of some sections under one heading.
func (t *writing) block(heading string, apart bool, in ...Section) {
	b := Block{Heading: heading, Apart: apart}
	for _, section := range in {
		for _, s := range t.plan.of(section) {
			b.Sentences = append(b.Sentences, t.speak(s))
		}
	}
	if len(b.Sentences) > 0 {
		t.told.Blocks = append(t.told.Blocks, b)
	}
}

// line adds a sentence of the form itself, such as a greeting.
func (t *writing) line(s say.Statement) {
	t.told.Blocks = append(t.told.Blocks, Block{Sentences: []Spoken{{Fact: Fact{Kind: s.Kind,
		Text: plain(t.w.Capital(s)), Evidence: []evidence.ID{}}}}})
}

// heading is the heading of a section.
func (t *writing) heading(in Section) string {
	return plain(t.w.Capital(say.That("tell.heading", say.Term("section", "section", string(in), ""))))
}

func (t *writing) page() {
	for _, in := range Sections() {
		heading := t.heading(in)
		if in == What {
			heading = ""
		}
		t.block(heading, in == Condition || in == Doubts || in == Example, in)
	}
	t.terms()
}

// terms adds the shop's own words, which stand in one language alone.
func (t *writing) terms() {
	if t.told.Language != "en" {
		return
	}
	for _, term := range t.plan.subject.Offer.Terms {
		t.line(say.Verbatim(term))
	}
}

func (t *writing) entry() {
	t.block("", false, What, Example)
	t.block("", false, Doubts)
	t.block("", false, Condition, Running)
	t.block("", false, With, Sizes)
	t.block("", false, Open, Notes)
	t.block("", false, Price)
}

func (t *writing) message() {
	t.line(say.That("tell.greeting", say.Name("way", t.plan.way)))
	t.block("", false, What)
	t.block("", false, Example)
	t.block(plain(t.w.Capital(say.That("tell.to-know"))), true, Doubts, Condition, Open)
	t.block("", false, Running, With, Sizes)
	t.block("", false, Notes)
	t.block("", false, Price)
	t.line(say.That("tell.closing", say.Name("way", t.plan.way)))
	if shop := t.plan.subject.Offer.Shop; shop != "" {
		t.line(say.Verbatim(shop))
	}
}

// textOf joins blocks: paragraphs apart, sentences in a line or each on its own.
func textOf(blocks []Block) string {
	var out []string
	for _, b := range blocks {
		var lines []string
		for _, s := range b.Sentences {
			lines = append(lines, s.Text)
		}
		between := " "
		if b.Apart {
			between = "\n"
		}
		text := strings.Join(lines, between)
		if b.Heading != "" {
			text = b.Heading + "\n" + text
		}
		out = append(out, text)
	}
	return strings.Join(out, "\n\n")
}

// account lists the facts and what is disclosed, and holds them against what has to be.
func (t *writing) account() {
	type key struct {
		finding evidence.ID
		slot    evidence.Slot
	}
	done, told := map[key]bool{}, map[evidence.ID]bool{}
	disclose := func(d Disclosed) {
		if d.Text == "" || !strings.Contains(t.told.Text, d.Text) {
			return
		}
		if !slices.Contains(t.told.Disclosed, d) {
			t.told.Disclosed = append(t.told.Disclosed, d)
		}
		done[key{d.Finding, d.Slot}], told[d.Finding] = true, true
	}
	for _, b := range t.told.Blocks {
		for _, s := range b.Sentences {
			t.told.Facts = append(t.told.Facts, s.Fact)
			for _, d := range s.Discloses {
				text := plain(t.w.String(d.Says))
				if !strings.Contains(s.Text, text) {
					text = plain(t.w.Capital(d.Says))
				}
				disclose(Disclosed{d.Finding, d.Slot, text})
			}
		}
	}
	for _, d := range t.say {
		disclose(d)
	}
	for _, d := range t.plan.Disclosures() {
		if k := (key{d.Finding, d.Slot}); !done[k] {
			t.told.LeftOut = append(t.told.LeftOut, Disclosed{Finding: d.Finding, Slot: d.Slot})
			done[k], told[d.Finding] = true, true
		}
	}
	for _, id := range t.plan.must {
		if !told[id] {
			t.told.LeftOut = append(t.told.LeftOut, Disclosed{Finding: id})
		}
	}
}
