package notes

import (
	"slices"
	"strings"

	"midcase/evidence"
)

// partDraft is a version of a part while the chapter is read; its times are settled at
// the end.
type partDraft struct {
	slot        evidence.Slot
	name        string
	head        string // "sweep hand", for a version named after it by "with a bar"
	t           timing
	more        []timing // when it was fitted again
	service     bool
	share       float64
	lume        string
	code        bool
	sentence    int
	first, last int
}

// version reads a version of the part spoken of. slotEnd is the last token of the part's
// name, -1 where the piece does not name it.
func (c *chapter) version(first, last, slotEnd int, open *partDraft) *partDraft {
	said := make([]bool, last-first+1)
	t := c.timingOf(first, last, said)
	t.beside = t.beside || t.front && !t.next && c.all[first].norm == "and"
	share := c.shareIn(first, last, said)
	ends, endsAt := c.endPiecesIn(first, last, said)
	name, own := c.nameOf(first, last, said)
	code := c.hasCode(first, last)
	switch {
	case name == "" && open != nil:
		if share > 0 {
			open.share = share
		}
		open.adds(t)
		if t.begins && open.t.ends && c.holdsWord(first, last, "again") {
			open.more = append(open.more, t)
		}
		if share > 0 || t.any() {
			open.last = last
		}
		return open
	case name == "":
		return open
	}
	adds := open != nil && !(own && slotEnd >= 0) && !(open.code && code) && !c.another(open, name) &&
		(!open.t.any() && !t.front && !t.begins && !t.next || open.t.front && !t.any())
	if adds {
		open.name += ", " + name
		if !open.t.any() {
			open.t = t
		}
		open.last, open.share = last, max(open.share, share)
		return open
	}
	d := &partDraft{slot: c.slot, name: name, t: t, share: share, code: code, sentence: c.own, first: first, last: last}
	c.headOf(d, first)
	c.parts = append(c.parts, d)
	if ends != "" {
		c.parts = append(c.parts, &partDraft{slot: evidence.EndPieces, name: ends, t: t, code: true, sentence: c.own, first: endsAt, last: last})
	}
	return d
}

// adds takes what a piece of its own says about the time: "the first ones were white,
// until about 1955", "from then on silver, which stayed to the end".
func (d *partDraft) adds(t timing) {
	switch {
	case !d.t.any():
		d.t = t
	case t.ends && !t.begins && !d.t.ends:
		d.t.end, d.t.ends = t.end, true
	case t.lasting && !d.t.ends:
		d.t.lasting = true
	}
}

// another reports whether a bare colour names another version beside one that is a bare
// colour or said to be rare: "cloisonné (rare), silver, black".
func (c *chapter) another(open *partDraft, name string) bool {
	return bareColours[strings.ToLower(name)] && (open.share > 0 || bareColours[strings.ToLower(open.name)])
}

var bareColours = map[string]bool{"black": true, "white": true, "silver": true, "silvered": true, "champagne": true, "blue": true, "green": true,
	"grey": true, "gray": true, "brown": true, "cream": true, "red": true, "gilt": true, "gold": true, "rose": true, "salmon": true}

// headOf keeps the noun before "with", and puts it before a version that begins with
// "with".
func (c *chapter) headOf(d *partDraft, first int) {
	if before, _, ok := strings.Cut(d.name, " with "); ok {
		d.head = before
	}
	if c.at0(first) != "with" && c.at0(first) != "w" {
		return
	}
	for i := len(c.parts) - 1; i >= 0; i-- {
		if p := c.parts[i]; p.slot == d.slot && p.head != "" {
			d.name, d.head = p.head+" with "+d.name, p.head
			return
		}
	}
}

// nameOf is the name of a version: the words that are neither time nor the part itself.
// own reports whether a word of it opens the part ("mesh", "buckle").
func (c *chapter) nameOf(first, last int, said []bool) (name string, own bool) {
	drop := append([]bool(nil), said...)
	for i := first; i <= last; i++ {
		if p, end, ok := c.phraseAt(i, last, "slot"); ok && p.id == string(c.slot) && !c.place(i, first) {
			own = own || p.keep
			for j := i; j <= end; j++ {
				drop[j-first] = drop[j-first] || !p.keep
			}
			i = end
		} else if _, end, ok := c.phraseAt(i, last, "often"); ok {
			for j := i; j <= end; j++ {
				drop[j-first] = true
			}
			i = end
		}
	}
	from, to := first, last
	idle := func(i int) bool {
		t := c.all[i]
		if t.joined && t.kind == word && i > from && c.all[i-1].kind == figure {
			return false // a letter of a code, "18a"
		}
		return drop[i-first] || t.kind == line || t.kind == mark || t.kind == word && slices.Contains(c.words.Filler, t.norm)
	}
	for from <= to && idle(from) {
		from++
	}
	for to >= from && idle(to) {
		to--
	}
	var b strings.Builder
	for i := from; i <= to; i++ {
		t := c.all[i]
		if drop[i-first] || t.kind == line {
			continue
		}
		if t.text == "/" && i > from && c.all[i-1].norm == "w" {
			continue
		}
		touches := t.joined && i > from && !drop[i-1-first]
		switch {
		case b.Len() > 0 && !touches:
			b.WriteByte(' ')
		case touches && c.all[i-1].to < t.from: // the hyphen inside a word
			b.WriteByte('-')
		}
		if t.norm == "w" && i < to && c.all[i+1].text == "/" {
			b.WriteString("with")
			continue
		}
		b.WriteString(t.text)
	}
	return strings.TrimSpace(b.String()), own
}

// place reports whether the token stands behind a word that makes it a place.
func (c *chapter) place(i, first int) bool {
	i--
	for i >= first && slices.Contains([]string{"the", "its", "a"}, c.all[i].norm) {
		i--
	}
	return i >= first && placeWords[c.all[i].norm]
}

// hasCode reports whether a piece names a code, such as that of a bracelet.
func (c *chapter) hasCode(first, last int) bool {
	for i := first; i <= last; i++ {
		if id, _, ok := c.codeAt(i, last, false); ok && !c.isNumeric(id) {
			return true
		}
	}
	return false
}

// endPiecesIn finds the end pieces named with a bracelet, "w/ e6".
func (c *chapter) endPiecesIn(first, last int, said []bool) (string, int) {
	if c.slot != evidence.Bracelet {
		return "", 0
	}
	for i := first; i < last; i++ {
		if n := c.all[i].norm; n != "w" && n != "with" {
			continue
		}
		at := i + 1
		for at <= last && (c.all[at].text == "/" || slices.Contains([]string{"ends", "end", "pieces", "endpieces", "links"}, c.all[at].norm)) {
			at++
		}
		if id, end, ok := c.codeAt(at, last, false); ok && !c.isNumeric(id) {
			for j := i; j <= end; j++ {
				said[j-first] = true
			}
			return id, i
		}
	}
	return "", 0
}

// shareIn reads how common a version is: "rare", "one in five".
func (c *chapter) shareIn(first, last int, said []bool) float64 {
	share := 0.0
	for i := first; i <= last; i++ {
		if p, end, ok := c.phraseAt(i, last, "share"); ok {
			share = c.words.Share[p.id]
			for j := i; j <= end; j++ {
				said[j-first] = true
				c.used[j] = true
			}
			i = end
		}
	}
	return share
}

// replaced reads how often a part is no longer the first one: "nearly always replaced",
// "inserts often swapped".
func (c *chapter) replaced(first, last int) bool {
	chance, often, lost := 0.0, false, false
	for i := first; i <= last; i++ {
		if p, end, ok := c.phraseAt(i, last, "often"); ok {
			chance, often, i = c.words.Often[p.id], true, end
			continue
		}
		if _, end, ok := c.phraseAt(i, last, "lost"); ok {
			lost, i = true, end
		}
	}
	if !lost || !often {
		return false
	}
	g := c.ground(first, last, 0.7)
	g.Assumed = true
	c.lost[c.slot] = &BookShare{Value: chance, Ground: g}
	return true
}

// lumeOf reads which luminous paint goes with which version: "dots = radium".
func (c *chapter) lumeOf(first, last int) bool {
	for i := first; i <= last; i++ {
		p, end, ok := c.phraseAt(i, last, "lume")
		if !ok {
			continue
		}
		before := strings.TrimSuffix(c.subject(first, i-1), "s")
		if before == "" || before == "lume" {
			before, end = c.carrier(end+1, last), last
		}
		if before == "" {
			return c.holdsWord(first, i, "lume")
		}
		found := false
		for _, d := range c.parts {
			if strings.Contains(strings.ToLower(d.name), before) && d.lume == "" {
				d.lume, found = p.id, true
			}
		}
		if found {
			c.ground(first, end, 0.7)
		}
		return found || c.holdsWord(first, i, "lume")
	}
	return false
}

// carrier is the first word behind "on" that says which version: "radium on gilt dials".
func (c *chapter) carrier(first, last int) string {
	for i := first; i < last; i++ {
		if c.all[i].norm == "on" || c.all[i].norm == "with" {
			for i++; i <= last; i++ {
				if !slices.Contains(c.words.Filler, c.all[i].norm) && c.all[i].kind == word {
					return c.all[i].norm
				}
			}
		}
	}
	return ""
}

// subject is the last word before "=", "are" or "is".
func (c *chapter) subject(first, last int) string {
	for i := last; i > first; i-- {
		if n := c.all[i].norm; n == "=" || n == "are" || n == "is" || n == "were" {
			return c.all[i-1].norm
		}
	}
	return ""
}

// servicePart reads a sentence about a part made for repairs: "Service crown 7.0 with a
// flat rim, from 1975", "a signed crown on a 218 is a later one".
func (c *chapter) servicePart(first, last int, pieces [][2]int) bool {
	slot, slotEnd := c.slotIn(pieces[0][0], pieces[0][1])
	if _, end, ok := c.phraseAt(first, last, "service"); ok && slot == "" { // "Later supply has the name in one line."
		slot, slotEnd = c.slot, end
	}
	if slot == "" {
		return false
	}
	service := false
	for i := pieces[0][0]; i <= slotEnd; i++ {
		_, _, ok := c.phraseAt(i, slotEnd, "service")
		service = service || ok
	}
	later := -1
	for i := slotEnd; i <= pieces[0][1] && !service && later < 0; i++ {
		for _, words := range [][]string{{"is", "a", "later"}, {"is", "later"}, {"is", "a", "replacement"}, {"is", "a", "service"}, {"are", "later"},
			{"are", "replacements"}, {"is", "always", "later"}} {
			if _, ok := c.matches(words, i, pieces[0][1]); ok {
				later = i - 1
			}
		}
	}
	if !service && later < 0 {
		return false
	}
	c.slot = slot
	d := &partDraft{slot: slot, service: true, first: first, last: last}
	if later > 0 {
		name, _ := c.nameOf(first, c.placeFrom(first, later), make([]bool, last-first+1))
		d.name = name + ", later"
	} else {
		d.name = "service: " + c.serviceName(pieces, d)
	}
	c.parts = append(c.parts, d)
	return true
}

// placeFrom is the last token before "on a …" in a stretch.
func (c *chapter) placeFrom(first, last int) int {
	for i := first + 1; i <= last; i++ {
		if placeWords[c.all[i].norm] {
			return i - 1
		}
	}
	return last
}

// serviceName joins what the pieces say of a part for repairs, and notes since when it
// was supplied.
func (c *chapter) serviceName(pieces [][2]int, d *partDraft) string {
	var names []string
	for _, p := range pieces {
		said := make([]bool, p[1]-p[0]+1)
		if t := c.timingOf(p[0], p[1], said); t.begins || t.ends {
			d.t = t
		}
		for i := p[0]; i <= p[1]; i++ {
			if _, _, ok := c.phraseAt(i, p[1], "service"); ok {
				said[i-p[0]] = true
			}
		}
		if name, _ := c.nameOf(p[0], p[1], said); name != "" {
			names = append(names, name)
		}
	}
	return strings.Join(names, ", ")
}
