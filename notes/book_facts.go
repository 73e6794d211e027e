package notes

import (
	"slices"
	"strings"

	"midcase/evidence"
)

// chapter is what is being read about one reference.
type chapter struct {
	*bookReader
	ref   *BookReference
	slot  evidence.Slot // spoken of in the sentence
	metal bool          // the last sentence spoke of the metal of the watch
	same  *Ground       // "the same", where it is like the reference before
	began *timing       // a begin without an end, for the time it was made
	parts []*partDraft
	own   int // which sentence it is
	lost  map[evidence.Slot]*BookShare
}

// section reads one stretch into the maker that the text speaks of.
func (r *bookReader) section(s bookSection) {
	switch {
	case s.numbers != "":
		r.numberList(s)
	case s.reference != "":
		r.reference(s)
	}
}

func (r *bookReader) reference(s bookSection) {
	m := r.maker()
	m.References = append(m.References, BookReference{ID: s.reference, Ground: r.ground(s.first, s.head, 0.95)})
	c := &chapter{bookReader: r, ref: &m.References[len(m.References)-1], lost: map[evidence.Slot]*BookShare{}}
	c.ref.Text = s.reference
	c.ref.From = c.ref.To - len([]rune(s.reference))
	for k, sentence := range r.sentences(s.head+1, s.last) {
		c.sentence(sentence[0], sentence[1], k == 0)
	}
	c.inherit(m)
	c.settle()
	if c.ref.empty() { // a list of names, or a word to the reader
		for i := s.first; i <= s.last; i++ {
			r.used[i] = false
		}
		m.References = m.References[:len(m.References)-1]
	}
}

// empty reports whether nothing is said of the reference.
func (b *BookReference) empty() bool {
	return b.Made == nil && len(b.Metals)+len(b.Calibres)+len(b.Dimensions)+len(b.Slots) == 0
}

// sentence reads one sentence, piece by piece.
func (c *chapter) sentence(first, last int, opening bool) {
	pieces := c.pieces(first, last)
	if len(pieces) == 0 {
		return
	}
	if !c.carriesOn(first, pieces[0]) {
		c.slot = ""
	}
	if c.servicePart(first, last, pieces) {
		return
	}
	c.own++
	metal := c.holds(first, last, "metal")
	talk := c.metal || metal
	c.metal = metal
	var open *partDraft
	for k, p := range pieces {
		next := []int(nil)
		if k+1 < len(pieces) {
			next = pieces[k+1][:]
		}
		open = c.piece(p[0], p[1], next, talk, open)
		if opening && k == 0 {
			c.kind(p[0], p[1])
		}
	}
}

// carriesOn reports whether a sentence goes on about the part that the one before it
// spoke of: behind a semicolon, or where it begins with a time ("From 1962 it is blue").
func (c *chapter) carriesOn(first int, p [2]int) bool {
	if first > 0 && c.all[first-1].text == ";" {
		return true
	}
	if slices.Contains([]string{"made", "produced", "built", "production"}, c.all[first].norm) {
		return false // "Made 1961-68": the watch, not the part
	}
	if slot, _ := c.slotIn(p[0], p[1]); slot == "" && c.onlyReplaced(p[0], p[1]) || c.colourAlone(first, p[1]) {
		return true
	} else if _, _, ok := c.phraseAt(first, p[1], "service"); ok && slot == "" {
		return true
	}
	said := make([]bool, p[1]-p[0]+1)
	t := c.timingOf(p[0], p[1], said)
	_, _, code := c.calibreIn(p[0], p[1], nil)
	return t.front && !code && !c.holds(p[0], p[1], "metal")
}

// onlyReplaced reports whether a piece says how often something was replaced, and not
// what: "Rarely replaced."
func (c *chapter) onlyReplaced(first, last int) bool {
	for i := first; i <= last; i++ {
		if _, end, ok := c.phraseAt(i, last, "often", "lost", "filler"); ok {
			i = end
		} else if c.all[i].kind == word || c.all[i].kind == figure {
			return false
		}
	}
	return c.holds(first, last, "often") && c.holds(first, last, "lost")
}

// colourAlone reports whether a sentence opens with a further version by its colour: "A
// black one was offered in 1958 only."
func (c *chapter) colourAlone(first, last int) bool {
	return first+2 <= last && (c.all[first].norm == "a" || c.all[first].norm == "the") && bareColours[c.all[first+1].norm] &&
		c.all[first+2].norm == "one"
}

// kind keeps what sort of watch it is, as the opening words say.
func (c *chapter) kind(first, last int) {
	for first < last && slices.Contains(c.words.Filler, c.all[first].norm) {
		first++
	}
	last = min(last, first+5)
	for i := first + 1; i <= last; i++ {
		if c.used[i] || slices.Contains([]string{"it", "which", "they", "from", "with", "made"}, c.all[i].norm) {
			last = i - 1
		}
	}
	if c.used[first] {
		return
	}
	g := c.ground(first, last, 0.8)
	c.ref.Kind = g.Text
	for i := first; i <= last; i++ {
		if c.all[i].norm == "same" {
			c.same = &g
		}
	}
}

// piece reads one piece of a sentence and returns the version of a part that the next
// piece may add to.
func (c *chapter) piece(first, last int, next []int, metalTalk bool, open *partDraft) *partDraft {
	if c.lumeOf(first, last) {
		return open
	}
	if slot, end := c.slotIn(first, last); slot != "" {
		if slot != c.slot {
			open = nil
		}
		c.slot = slot
		if c.replaced(first, last) {
			return open
		}
		c.partSize(first, last)
		if c.denied(first, last) || c.holds(first, last, "state") {
			return open
		}
		return c.version(first, last, end, open)
	}
	if c.slot != "" && c.replaced(first, last) {
		return open
	}
	sized := c.sizes(first, last)
	calibres := len(c.ref.Calibres)
	moved := c.movement(first, last, next)
	if c.slot == "" {
		if c.denied(first, last) {
			return nil
		}
		c.holdsSame(first, last)
		if !c.metals(first, last, metalTalk) && len(c.ref.Calibres) == calibres {
			c.madeIn(first, last)
		}
		return nil
	}
	if sized || moved {
		return open
	}
	if c.denied(first, last) || c.holds(first, last, "aside", "state") {
		return open
	}
	c.partSize(first, last)
	return c.version(first, last, -1, open)
}

// holdsSame notes that the reference is like the one before it.
func (c *chapter) holdsSame(first, last int) {
	for i := first; i <= last && c.same == nil; i++ {
		if c.all[i].norm == "same" || c.all[i].norm == "like" && i == first {
			g := c.ground(first, last, 0.8)
			c.same = &g
		}
	}
}

// denied reports whether a piece says what never was.
func (c *chapter) denied(first, last int) bool {
	for i := first; i <= last; i++ {
		switch c.all[i].norm {
		case "never", "none", "neither", "nor", "not":
			return true
		}
	}
	return false
}

// placeWords stand before a part that is named only to say where something is.
var placeWords = map[string]bool{"on": true, "of": true, "over": true, "under": true, "behind": true, "inside": true, "outside": true,
	"at": true, "near": true, "around": true, "beside": true, "to": true, "into": true, "for": true}

// slotIn finds the part that a piece speaks of, with the last token of its name.
func (c *chapter) slotIn(first, last int) (evidence.Slot, int) {
	for i := first; i <= last; i++ {
		p, end, ok := c.phraseAt(i, last, "slot")
		if !ok {
			continue
		}
		before := i - 1
		for before >= first && slices.Contains([]string{"the", "its", "a", "this"}, c.all[before].norm) {
			before--
		}
		if before >= first && (placeWords[c.all[before].norm] || c.without(first, before)) {
			continue
		}
		if p.id == "hands" && c.counted(i-1, first) {
			continue
		}
		return evidence.Slot(p.id), end
	}
	return "", -1
}

// without reports whether "w/o" or "without" ends with the token: "37 w/o crown".
func (c *chapter) without(first, i int) bool {
	switch c.all[i].norm {
	case "without", "excl", "excluding", "wo":
		return true
	case "o":
		return i-2 >= first && c.all[i-1].text == "/" && c.all[i-2].norm == "w"
	}
	return false
}

// counted reports whether a count ends with the token: "3 hands" says what sort of watch
// it is, not what the hands look like.
func (c *chapter) counted(i, first int) bool {
	if i < first {
		return false
	}
	n, ok := numberAt(c.all, i)
	return ok && n.first == i && n.whole() && n.last == i && len(n.digits()) == 1
}

// madeIn reads when the reference was made: the first time with begin and end that is
// said of the watch itself.
func (c *chapter) madeIn(first, last int) bool {
	said := make([]bool, last-first+1)
	t := c.timingOf(first, last, said)
	if !t.begins && !t.ends || c.ref.Made != nil {
		return false
	}
	switch {
	case t.begins && t.ends && t.start.low != t.end.low:
		c.made(t.start, t.end, t.first, t.last)
	case c.began != nil && t.ends && !t.begins:
		c.made(c.began.start, t.end, c.began.first, t.last)
	case t.begins && !t.ends:
		c.began = &t
		c.ground(t.first, t.last, 0.8)
	default:
		return false
	}
	return true
}

func (c *chapter) made(from, to moment, first, last int) {
	sure := 0.9
	if from.low > to.high {
		sure = 0.4
	}
	c.ref.Made = &BookSpan{Value: from.start() + "/" + to.end(), SoftMonths: max(from.soft, to.soft), Ground: c.ground(first, last, sure)}
}

// metals reads the metals that the watch was made in. A colour alone counts where gold or
// another metal is spoken of.
func (c *chapter) metals(first, last int, talk bool) bool {
	said := make([]bool, last-first+1)
	t := c.timingOf(first, last, said)
	found := false
	for i := first; i <= last; i++ {
		sets := []string{"metal"}
		if talk {
			sets = append(sets, "colour")
		}
		p, end, ok := c.phraseAt(i, last, sets...)
		if !ok {
			continue
		}
		found = true
		g := c.ground(i, end, 0.9)
		if len(p.words) == 1 && p.words[0] == "gold" && c.hasGold() {
			i = end
			continue // "the gold ones": one that was named before
		}
		if p.id == "gold18" && !strings.Contains(strings.Join(p.words, " "), "18") && p.words[0] != "eighteen" {
			g.Assumed, g.Sure = !c.fineness(i), 0.7
		}
		metal := BookMetal{Value: p.id, Ground: g}
		if t.begins || t.ends {
			metal.Windows = []BookWindow{{Made: c.window(t), SoftMonths: max(t.start.soft, t.end.soft)}}
			c.ground(t.first, t.last, 0.9)
		}
		c.addMetal(metal)
		i = end
	}
	return found
}

// hasGold reports whether a gold was named for the reference.
func (c *chapter) hasGold() bool {
	for _, m := range c.ref.Metals {
		if strings.HasPrefix(m.Value, "gold") {
			return true
		}
	}
	return false
}

// fineness reports whether the sentence around token i says how fine its gold is.
func (c *chapter) fineness(i int) bool {
	for first, last := i-12, i+12; first <= last; first++ {
		if first >= 0 && first+1 < len(c.all) && (c.all[first].norm == "18" || c.all[first].norm == "eighteen") &&
			slices.Contains([]string{"k", "kt", "ct", "carat", "karat"}, c.all[first+1].norm) {
			return true
		}
	}
	return false
}

func (c *chapter) addMetal(m BookMetal) {
	for i := range c.ref.Metals {
		if c.ref.Metals[i].Value == m.Value {
			if !m.Assumed {
				c.ref.Metals[i].Assumed = false
			}
			return
		}
	}
	c.ref.Metals = append(c.ref.Metals, m)
}

// window is a time with one or both ends in EDTF; an end that was not said is open.
func (c *chapter) window(t timing) string {
	from, to := "..", ".."
	if t.begins {
		from = t.start.start()
	}
	if t.ends {
		to = t.end.end()
	}
	return from + "/" + to
}

// inherit takes over what "the same" says that the reference before it has too.
func (c *chapter) inherit(m *BookMaker) {
	if c.same == nil || len(m.References) < 2 {
		return
	}
	before := m.References[len(m.References)-2]
	if len(c.ref.Metals) == 0 {
		for _, metal := range before.Metals {
			metal.Ground, metal.Assumed, metal.Windows = *c.same, true, nil
			metal.Sure = 0.6
			c.ref.Metals = append(c.ref.Metals, metal)
		}
	}
	for _, d := range before.Dimensions {
		if d.What == "lug_width" && !c.hasSize(d.What) {
			d.Ground, d.Assumed = *c.same, true
			d.Sure = 0.5
			c.ref.Dimensions = append(c.ref.Dimensions, d)
		}
	}
}

func (c *chapter) hasSize(what string) bool {
	for _, d := range c.ref.Dimensions {
		if d.What == what {
			return true
		}
	}
	return false
}
