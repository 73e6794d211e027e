package notes

import (
	"slices"
	"strconv"
	"strings"

	"midcase/evidence"
)

// sizes reads lengths said of the watch: "36.5 mm", "lugs 18", "takes a 16 strap", "lug
// thickn. 2.4", "thirty-three millimetres".
func (c *chapter) sizes(first, last int) bool {
	found := false
	for i := first; i <= last; {
		n, ok := numberAt(c.all, i)
		if !ok || n.last > last {
			i++
			continue
		}
		if what, sure := c.sizeOf(n, first, last); what != "" {
			if mm, fits := n.within(sizeRange(what)); fits {
				c.addSize(what, mm, c.ground(c.sizeFrom(what, i, first), c.sizeTo(what, n.last, last), sure))
				found = true
			}
		}
		i = n.last + 1
	}
	return found
}

// sizeRange is what a watch's size can be, in mm: outside of it a figure is no such size.
func sizeRange(what string) (low, high float64) {
	switch what {
	case "lug_width":
		return 8, 30
	case "lug_thickness":
		return 1, 6
	case "lug_to_lug":
		return 28, 65
	case "thickness":
		return 4, 20
	case "crown_diameter":
		return 3, 12
	}
	return 18, 60
}

// sizeOf is which size a figure is, by the words around it.
func (c *chapter) sizeOf(n number, first, last int) (string, float64) {
	unit := n.last < last && slices.Contains([]string{"mm", "millimetres", "millimeters", "millimetre", "mill", "millimeter"}, c.at0(n.last+1))
	lug := c.near(n, first, last, "lugs", "lug")
	switch {
	case lug && c.near(n, first, last, "thick", "thickn", "thickness"):
		return "lug_thickness", 0.9
	case c.holdsAll(first, last, "lug", "to") && strings.Contains(c.spoken(first, last), "lug to lug") ||
		strings.Contains(c.spoken(first, last), "over the lugs"):
		return "lug_to_lug", 0.9
	case lug, c.near(n, first, last, "strap", "straps") && c.slot == "":
		return "lug_width", 0.9
	case unit && c.near(n, first, last, "thick", "thickness", "high", "height", "deep"):
		return "thickness", 0.85
	case c.slot == "" && c.beside(n, first, last, "thick", "thickn", "thickness"):
		return "thickness", 0.8
	case unit && c.slot == "":
		return "mid_case_diameter", 0.85
	case unit && c.slot != evidence.Crown && c.slot != evidence.Bezel && c.slot != evidence.Pushers:
		return "mid_case_diameter", 0.7
	case c.slot == "" && (n.fraction != "" && n.first == first || c.near(n, first, last, "diameter", "across", "diam", "measures")):
		return "mid_case_diameter", 0.6
	}
	return "", 0
}

// near reports whether one of the words stands within five tokens of a figure.
func (c *chapter) near(n number, first, last int, words ...string) bool {
	for i := max(first, n.first-5); i <= min(last, n.last+5); i++ {
		if slices.Contains(words, c.all[i].norm) {
			return true
		}
	}
	return false
}

// beside reports whether one of the words stands next to a figure.
func (c *chapter) beside(n number, first, last int, words ...string) bool {
	before := n.first - 1
	for before > first && c.all[before].kind == mark {
		before--
	}
	return before >= first && slices.Contains(words, c.all[before].norm) ||
		n.last < last && slices.Contains(words, c.all[n.last+1].norm)
}

func (c *chapter) holdsAll(first, last int, words ...string) bool {
	for _, w := range words {
		if !c.holdsWord(first, last, w) {
			return false
		}
	}
	return true
}

// spoken is the text between two tokens in small letters with single spaces.
func (c *chapter) spoken(first, last int) string {
	var out []string
	for i := first; i <= last; i++ {
		if c.all[i].kind == word {
			out = append(out, c.all[i].norm)
		}
	}
	return strings.Join(out, " ")
}

// sizeFrom and sizeTo widen the words that a size stands on by what names it.
func (c *chapter) sizeFrom(what string, i, first int) int {
	for j := i - 1; j >= first && j >= i-4; j-- {
		if slices.Contains([]string{"lugs", "lug", "strap", "thick"}, c.all[j].norm) && what != "mid_case_diameter" {
			return j
		}
	}
	return i
}

func (c *chapter) sizeTo(what string, at, last int) int {
	end := at
	for j := at + 1; j <= last && j <= at+4; j++ {
		if slices.Contains([]string{"mm", "millimetres", "millimeters", "strap", "lugs"}, c.all[j].norm) && (j == at+1 || what != "mid_case_diameter") {
			end = j
		}
	}
	return end
}

func (c *chapter) addSize(what string, mm float64, g Ground) {
	for _, d := range c.ref.Dimensions {
		if d.What == what && !d.Assumed {
			return
		}
	}
	c.ref.Dimensions = append(c.ref.Dimensions, BookDimension{What: what, MM: mm, Ground: g})
}

// partSize reads the size of a part beside its version: "crown 5.8 plain".
func (c *chapter) partSize(first, last int) {
	if c.slot != evidence.Crown {
		return
	}
	for i := first; i <= last; i++ {
		n, ok := numberAt(c.all, i)
		if !ok || n.last > last {
			continue
		}
		if mm, fits := n.within(3, 12); fits && (n.fraction != "" || n.last < last && c.all[n.last+1].norm == "mm") {
			from := i
			for j := i - 1; j >= first; j-- {
				if strings.HasPrefix(c.all[j].norm, "crown") {
					from = j
				}
			}
			c.addSize("crown_diameter", mm, c.ground(from, n.last, 0.85))
		}
		i = n.last
	}
}

// movement reads the calibre with its jewels and winding.
func (c *chapter) movement(first, last int, next []int) bool {
	found := false
	if id, at, ok := c.calibreIn(first, last, next); ok {
		said := make([]bool, last-first+1)
		t := c.timingOf(first, last, said)
		cal := BookCalibre{Value: id, Ground: c.ground(at[0], at[1], 0.9)}
		if t.begins || t.ends {
			cal.Made = c.window(t)
			c.ground(t.first, t.last, 0.9)
		}
		c.ref.Calibres = append(c.ref.Calibres, cal)
		found = true
	}
	if j, at, ok := c.jewelsIn(first, last); ok && len(c.ref.Calibres) > 0 {
		cal := &c.ref.Calibres[len(c.ref.Calibres)-1]
		if cal.Jewels == 0 {
			cal.Jewels = j
			c.ground(at[0], at[1], 0.9)
			found = true
		}
	}
	for i := first; i <= last; i++ {
		winding, end := "", i
		switch c.all[i].norm {
		case "automatic", "selfwinding":
			winding = "automatic"
		case "hand", "manual", "manually":
			if e, ok := c.matches([]string{c.all[i].norm, "wound"}, i, last); ok {
				winding, end = "hand", e
			} else if e, ok := c.matches([]string{c.all[i].norm, "winding"}, i, last); ok {
				winding, end = "hand", e
			}
		}
		if winding == "" {
			continue
		}
		c.ground(i, end, 0.9)
		c.winding(winding)
		return true
	}
	return found
}

// winding is kept for the calibre named; one named later takes it too (settle).
func (c *chapter) winding(w string) {
	if len(c.ref.Calibres) > 0 {
		c.ref.Calibres[len(c.ref.Calibres)-1].Winding = w
		return
	}
	c.parts = append(c.parts, &partDraft{slot: evidence.Movement, name: w})
}

var calibreWords = map[string]bool{"cal": true, "calibre": true, "caliber": true, "calibres": true, "movement": true, "mvt": true,
	"cals": true, "movements": true}

// calibreIn finds a calibre's code in a piece: behind "cal." or "movement", with jewels
// beside it, or with the letters of a calibre met before.
func (c *chapter) calibreIn(first, last int, next []int) (string, [2]int, bool) {
	named := false
	for i := first; i <= last; i++ {
		if calibreWords[c.all[i].norm] {
			named = true
			continue
		}
		id, end, ok := c.codeAt(i, last, named)
		if !ok || c.isNumeric(id) && !named {
			continue
		}
		_, _, jewels := c.jewelsIn(end+1, last)
		if !jewels && next != nil {
			_, at, is := c.jewelsIn(next[0], next[1])
			jewels = is && at[0] == next[0]
		}
		if !named && !jewels && !c.knownCalibre(id) || id == c.ref.ID {
			continue
		}
		from := i
		for j := i - 1; j >= first; j-- {
			if calibreWords[c.all[j].norm] {
				from = j
			}
		}
		return id, [2]int{from, end}, true
	}
	return "", [2]int{}, false
}

// knownCalibre reports whether a calibre with the same letters was met before.
func (c *chapter) knownCalibre(id string) bool {
	letters := func(s string) string { return strings.TrimRight(strings.SplitN(s, " ", 2)[0], "0123456789-./") }
	for _, m := range c.makers {
		for _, ref := range m.References {
			for _, cal := range ref.Calibres {
				if letters(cal.Value) == letters(id) && letters(id) != "" {
					return true
				}
			}
		}
	}
	return false
}

// jewelsIn reads "17 j.", "24 jewels", "sixteen jewels".
func (r *bookReader) jewelsIn(first, last int) (int, [2]int, bool) {
	for i := first; i < last; i++ {
		n, ok := numberAt(r.all, i)
		if !ok || n.last >= last || !n.whole() || len(n.pieces) != 1 {
			continue
		}
		if slices.Contains([]string{"j", "jewels", "jewel", "rubies", "jls"}, r.all[n.last+1].norm) {
			v, err := strconv.Atoi(n.digits())
			return v, [2]int{i, n.last + 1}, err == nil && v > 0 && v < 80
		}
	}
	return 0, [2]int{}, false
}

// numberList reads which number was reached when, and leaves out numbers that are said to
// date nothing.
func (r *bookReader) numberList(s bookSection) {
	r.ground(s.first, s.head, 0.9)
	for _, sentence := range r.sentences(s.head+1, s.last) {
		if r.holds(sentence[0], sentence[1], "no-date") {
			continue
		}
		for _, p := range r.listPieces(sentence[0], sentence[1]) {
			r.milestone(p[0], p[1], s.numbers)
		}
	}
}

// listPieces cuts a list of numbers at commas, line ends and "and".
func (r *bookReader) listPieces(first, last int) [][2]int {
	var out [][2]int
	from := first
	for i := first; i <= last+1; i++ {
		if i <= last && r.all[i].kind != line && r.all[i].norm != "and" &&
			!(r.all[i].kind == mark && strings.Contains(",;:()", r.all[i].text)) {
			continue
		}
		if i > from {
			out = append(out, [2]int{from, i - 1})
		}
		from = i + 1
	}
	return joinHalves(r, out)
}

// joinHalves puts a number and the time behind a comma or colon together.
func joinHalves(r *bookReader, pieces [][2]int) [][2]int {
	var out [][2]int
	for k := 0; k < len(pieces); k++ {
		p := pieces[k]
		num, _, when := r.numberAndTime(p[0], p[1])
		if k+1 < len(pieces) && (num > 0) != when {
			q := pieces[k+1]
			num2, _, when2 := r.numberAndTime(q[0], q[1])
			if (num2 > 0) != when2 && (num > 0) != (num2 > 0) {
				p[1] = q[1]
				k++
			}
		}
		out = append(out, p)
	}
	return out
}

func (r *bookReader) milestone(first, last int, what string) {
	num, m, when := r.numberAndTime(first, last)
	if num == 0 || !when {
		return
	}
	month, plusMinus := m.middle()
	maker := r.maker()
	maker.Serials = append(maker.Serials, Milestone{Number: num, Month: month, PlusMinusMonths: plusMinus, Mark: what,
		Ground: r.ground(first, last, 0.9)})
}

// numberAndTime finds a number of three figures or more and a time in a piece.
func (r *bookReader) numberAndTime(first, last int) (num int, at moment, when bool) {
	for i := first; i <= last; i++ {
		if !when {
			if m, ok := r.momentAt(i, last, false); ok {
				at, when, i = m, true, m.last
				continue
			}
		}
		n, ok := numberAt(r.all, i)
		if !ok || n.last > last {
			continue
		}
		if v, err := strconv.Atoi(n.digits()); err == nil && len(n.digits()) >= 3 && n.whole() && num == 0 {
			num = v
		}
		i = n.last
	}
	return num, at, when
}
