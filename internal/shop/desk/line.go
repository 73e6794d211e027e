package desk

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/money"
	"midcase/notes"
	"midcase/refbook"
	"midcase/tables"
)

// Ear is what a line said at the counter is understood by.
type Ear struct {
	Book     *refbook.Book
	Met      []Met // references of the book, of stock and of sales
	Year     int   // the present one
	Currency money.Currency
	Own      []notes.Own // words that the shop uses in its own way
}

// Heard reads one line, or a sentence or two, said or typed at the counter (see Ear.Hear).
func (r *Room) Heard(ctx context.Context, line string) (Inquiry, error) {
	met, err := r.Met(ctx)
	if err != nil {
		return Inquiry{}, err
	}
	own, err := r.intake.Own(ctx)
	if err != nil {
		return Inquiry{}, err
	}
	return Ear{r.shop.Book(ctx), met, r.shop.Now().Year(), r.shop.Currency(), own}.Hear(line)
}

// Hear reads a line such as “KR-1 414459 silver dial box 5200”: the inquiry, with what was seen at a glance. Words
// that were not understood stand in its note.
func (e Ear) Hear(line string) (Inquiry, error) {
	words := wordsOf(line)
	var q Inquiry
	named := e.referenceIn(words)
	box := q.comesWith(words)
	q.figures(words, e.Year, e.Currency)
	read := notes.Read(left(words), notes.Options{Book: e.Book, Year: e.Year, Maker: named.Maker, Reference: named.Reference,
		Own: e.Own, Currency: string(e.Currency)})
	if named.Reference == "" {
		named = Met{Maker: read.Maker, Reference: read.Reference}
	}
	if named.Reference == "" {
		return Inquiry{}, shop.Refuse("counter offer", "line", strconv.Quote(line), e.wanted(words))
	}
	q.Reference = named.Maker + " " + named.Reference
	q.take(read, box)
	for _, u := range read.Unread {
		q.unread(u.Text)
	}
	if _, ref, ok := e.Book.Reference(named.Maker, named.Reference); ok {
		q.dialNamed(ref)
	}
	return q, nil
}

// wanted is what a line without a reference should have begun with, by an example that the shop knows.
func (e Ear) wanted(words []word) string {
	for n := min(longestReference-2, len(words)); n > 0; n-- {
		var texts, near []string
		for _, w := range words[:n] {
			texts = append(texts, w.key)
		}
		for _, m := range askedFor(texts).near(e.Met) {
			near = append(near, m.Maker+" "+m.Reference)
		}
		if len(near) > 0 {
			return "a reference that the shop knows; the nearest: " + strings.Join(near, ", ")
		}
	}
	if len(e.Met) == 0 {
		return "maker and reference in full: the book has no reference yet, nor has the stock or a sale"
	}
	m := e.Met[0]
	return "a line with a reference of the book, the stock or the sales, such as " + m.Maker + " " + m.Reference +
		"; or take the watch in under its maker and reference"
}

// left are the words that nothing was taken from yet.
func left(words []word) string {
	var out []string
	for _, w := range words {
		if !w.used {
			out = append(out, w.text)
		}
	}
	return strings.Join(out, " ")
}

// longestReference is how many words maker and reference are looked for in.
const longestReference = 5

// referenceIn finds the one reference that some words in a row name letter by letter, else the one that the first
// words name loosely, and marks the words.
func (e Ear) referenceIn(words []word) Met {
	for n := min(longestReference, len(words)); n > 0; n-- {
		for at := 0; at+n <= len(words); at++ {
			if fit, exact := e.fitting(words[at : at+n]); exact && len(fit) == 1 {
				if at > 0 && beforeReference[words[at-1].key] {
					words[at-1].used = true
				}
				return e.marked(words[at:at+n], fit[0])
			}
		}
	}
	for n := min(longestReference-2, len(words)); n > 0; n-- {
		if fit, _ := e.fitting(words[:n]); len(fit) == 1 {
			return e.marked(words[:n], fit[0])
		}
	}
	return Met{}
}

// beforeReference are the words for a reference that stand before it.
var beforeReference = map[string]bool{"ref": true, "ref.": true, "reference": true, "réf": true, "réf.": true,
	"référence": true, "referenz": true, "rif": true, "rif.": true, "model": true, "modell": true, "modèle": true}

func (e Ear) marked(words []word, m Met) Met {
	for i := range words {
		words[i].used = true
	}
	return m
}

// fitting are the references that words in a row name; words of metal and fillers are no part of one.
func (e Ear) fitting(words []word) ([]Met, bool) {
	var texts []string
	for _, w := range words {
		texts = append(texts, w.key)
	}
	a := askedFor(texts)
	if len(a.words) != len(words) {
		return nil, false
	}
	return a.fitting(e.Met)
}

// comings are what is said of box and papers, the longest first; each is gone once it was heard.
var comings = []struct {
	said        string
	box, papers int // 1 is there, −1 is not
}{
	{"no box no papers", -1, -1}, {"no papers no box", -1, -1}, {"without box or papers", -1, -1},
	{"without papers or box", -1, -1}, {"no box or papers", -1, -1}, {"no box and papers", -1, -1},
	{"no papers or box", -1, -1}, {"neither box nor papers", -1, -1}, {"without box and papers", -1, -1},
	{"without box without papers", -1, -1}, {"no box nor papers", -1, -1}, {"box but no papers", 1, -1},
	{"papers but no box", -1, 1}, {"no box but papers", -1, 1}, {"no box but with papers", -1, 1},
	{"box and papers", 1, 1}, {"papers and box", 1, 1}, {"box & papers", 1, 1}, {"full set", 1, 1}, {"b&p", 1, 1},
	{"watch only", -1, -1}, {"watch alone", -1, -1}, {"naked", -1, -1}, {"no papers", 0, -1}, {"without papers", 0, -1},
	{"papers missing", 0, -1}, {"no box", -1, 0}, {"without box", -1, 0}, {"box missing", -1, 0}, {"with papers", 0, 1},
	{"with box", 1, 0}, {"papers", 0, 1}, {"box", 1, 0}, {"boxed", 1, 0},
}

// comesWith hears what comes with the watch; box is 1 where a box was said to be there, −1 where not.
func (q *Inquiry) comesWith(words []word) (box int) {
	papers, said := 0, false
	for _, c := range comings {
		parts := strings.Fields(c.said)
		for at := 0; at+len(parts) <= len(words); at++ {
			if !spoken(words[at:at+len(parts)], parts) {
				continue
			}
			for i := at; i < at+len(parts); i++ {
				words[i].used = true
			}
			said = true
			if c.box != 0 {
				box = c.box
			}
			if c.papers != 0 {
				papers = c.papers
			}
		}
	}
	switch {
	case papers > 0 && box > 0:
		q.Set = "full"
	case papers > 0:
		q.Set = "papers"
	case said && papers < 0:
		q.Set = "watch"
	}
	return box
}

func spoken(words []word, parts []string) bool {
	for i, p := range parts {
		if words[i].used || words[i].key != p {
			return false
		}
	}
	return true
}

// take keeps what the notes' reader made of the rest, and the box that was seen or missed.
func (q *Inquiry) take(read notes.Reading, box int) {
	for _, it := range read.Items {
		switch d := it.Data.(type) {
		case *evidence.Mark:
			if d.What == evidence.MarkSerial && q.Serial == "" {
				q.Serial = d.Text
				continue
			}
		case *evidence.Claim:
			if !d.Price.IsZero() {
				if q.Asked.IsZero() {
					q.Asked = d.Price
				}
				continue
			}
		case *evidence.Fitted:
			if d.Slot == evidence.Case && d.Metal != "" {
				q.Metal = d.Metal
				continue
			}
		}
		q.Seen = append(q.Seen, it.Data)
	}
	switch {
	case box > 0 && q.Set != "full":
		q.Seen = append(q.Seen, &evidence.Fitted{Slot: evidence.Box, Variant: evidence.Unknown})
	case box < 0 && q.Set != "watch":
		q.Seen = append(q.Seen, &evidence.Fitted{Slot: evidence.Box, Absent: true})
	}
}

// unread takes metals from words that the notes' reader left; the rest is kept.
func (q *Inquiry) unread(text string) {
	var rest []string
	words := strings.Fields(text)
	for i, w := range words {
		key := strings.Trim(strings.ToLower(w), ".,;:!?")
		metal, isMetal := tables.MetalNamed(key)
		layered := i+1 < len(words) && slices.Contains([]string{"filled", "plated", "capped"}, strings.ToLower(words[i+1]))
		switch {
		case isMetal && layered:
			rest = append(rest, w)
		case isMetal && (q.Metal == "" || q.Metal == metal):
			q.Metal = metal
		case isMetal && key == "gold": // “18k gold”
		default:
			rest = append(rest, w)
		}
	}
	rest = slices.DeleteFunc(rest, func(w string) bool { return carriesNothing[strings.Trim(strings.ToLower(w), ".,;:!?")] })
	if len(rest) > 0 {
		q.Note = strings.TrimSpace(q.Note + " " + strings.Join(rest, " "))
	}
}

// carriesNothing are the words of a sentence that are left when the rest was understood.
var carriesNothing = map[string]bool{"": true, "a": true, "an": true, "the": true, "and": true, "with": true, "here": true,
	"have": true, "has": true, "got": true, "he": true, "she": true, "they": true, "it": true, "its": true, "i": true,
	"ive": true, "i've": true, "we": true, "for": true, "in": true, "of": true, "is": true, "this": true, "that": true,
	"there": true, "on": true, "one": true, "just": true, "um": true, "uh": true}

// glance is how sure a version is that was named by its colour over the counter.
const glance = 0.7

// dialNamed takes the version of the dial of which alone the words left speak. Where several are so called, or none,
// the words are kept as told: a version that nobody identified would count against the watch.
func (q *Inquiry) dialNamed(ref *refbook.Reference) {
	s, ok := ref.Slot(evidence.Dial)
	words := strings.Fields(strings.ToLower(q.Note))
	at := slices.Index(words, "dial")
	if !ok || at < 0 || slices.ContainsFunc(q.Seen, isDial) {
		return
	}
	var fit []refbook.Variant
	said := ""
	for _, v := range s.Variants {
		if !v.Service && v.Premium != "" && slices.Contains(words, strings.ToLower(v.Premium)) {
			fit, said = append(fit, v), strings.ToLower(v.Premium)
		}
	}
	switch {
	case len(fit) == 1:
		q.Seen = append(q.Seen, &evidence.Fitted{Slot: evidence.Dial, Variant: fit[0].ID, Confidence: glance})
	case said == "" && at > 0:
		said = words[at-1]
		fallthrough
	case len(fit) > 1:
		q.Seen = append(q.Seen, &evidence.Claim{About: string(evidence.Dial), Text: said + " dial", From: "at the counter"})
	}
	if said != "" {
		words = slices.DeleteFunc(words, func(w string) bool { return w == said || w == "dial" })
		q.Note = strings.Join(words, " ")
	}
}

func isDial(d evidence.Data) bool {
	f, ok := d.(*evidence.Fitted)
	return ok && f.Slot == evidence.Dial
}

// Words are what was heard of a watch that was named, in a line; amount writes a price.
func (q Inquiry) Words(n Named, amount func(money.Money) string) string {
	var out []string
	if q.Serial != "" {
		out = append(out, "serial number "+q.Serial)
	}
	if q.Year != 0 {
		out = append(out, fmt.Sprintf("made about %d", q.Year))
	}
	if q.Metal != "" {
		name := strings.ReplaceAll(q.Metal, "_", " ")
		for _, x := range n.Maker.Metals {
			if x.ID == q.Metal && x.Name != "" {
				name = x.Name
			}
		}
		out = append(out, name)
	}
	if set := map[string]string{"watch": "the watch alone", "papers": "with papers",
		"full": "with box and papers"}[q.Set]; set != "" {
		out = append(out, set)
	}
	for _, d := range q.Seen {
		out = append(out, seenNamed(n, d))
	}
	if !q.Asked.IsZero() {
		out = append(out, amount(q.Asked)+" asked")
	}
	if len(out) == 0 {
		return "the reference alone"
	}
	return strings.Join(out, ", ")
}

// seenNamed is SeenWords with a version by the name that the book gives it.
func seenNamed(n Named, d evidence.Data) string {
	fitted, ok := d.(*evidence.Fitted)
	if !ok || fitted.Absent || fitted.Variant == "" || n.Reference == nil {
		return SeenWords(d)
	}
	for _, s := range n.Reference.Slots {
		if v, ok := s.Variant(fitted.Variant); ok && s.Slot == fitted.Slot {
			return s.Slot.Name() + ": " + v.Name
		}
	}
	return SeenWords(d)
}

// SeenWords is what was seen or told at a glance, in the words of the counter.
func SeenWords(d evidence.Data) string {
	switch d := d.(type) {
	case *evidence.Claim:
		return d.Text
	case *evidence.Fitted:
		switch {
		case d.Absent:
			return "no " + d.Slot.Name()
		case d.Variant == evidence.Unknown && d.Description == "":
			return d.Slot.Name()
		}
	}
	return evidence.Described(evidence.Item{Data: d}, true).String()
}
