package notes

import (
	"sort"
	"strings"
	"unicode"

	"midcase/evidence"
	"midcase/refbook"
)

// codes finds the maker, the reference and the numbers of calibres, bracelets and end
// pieces that the book knows, typed or spelled out ("em vee two one eight").
func (r *reader) codes() {
	if r.opt.Book == nil {
		return
	}
	r.findMaker()
	r.findReference()
	if r.maker == nil {
		return
	}
	known := map[string]event{}
	add := func(id, kind string) { known[plainCode(id)] = event{role: isCode, id: kind + ":" + id} }
	for _, c := range r.maker.Calibres {
		add(c.ID, "calibre")
	}
	for _, b := range r.maker.Bracelets {
		add(b.ID, string(evidence.Bracelet))
	}
	for _, e := range r.maker.EndPieces {
		add(e.ID, string(evidence.EndPieces))
	}
	keys := make([]string, 0, len(known))
	for k := range known {
		if strings.ContainsFunc(k, unicode.IsDigit) {
			keys = append(keys, k)
		}
	}
	longestFirst(keys)
	r.shortCalibres()
	for i := range r.all {
		if r.at[i] >= 0 {
			continue
		}
		for _, k := range keys {
			if last, ok := r.spells(i, k, true); ok {
				e := known[k]
				e.first, e.last = i, last
				r.cover(e)
				break
			}
		}
	}
}

// positions finds the positions by their short names at the head of a line, as timing is written down: "3H -31 180 1.4".
func (r *reader) positions() {
	for i := 0; i+2 < len(r.all); i++ {
		if i > 0 && r.all[i-1].kind != line || r.all[i].kind != figure || !r.all[i+1].joined || r.all[i+1].text != "H" {
			continue
		}
		switch at := r.all[i].text + "H"; at {
		case "3H", "6H", "9H", "12H":
			r.cover(event{role: isPosition, id: at, first: i, last: i + 1})
		}
	}
}

// shortCalibres finds the calibres of the reference by their figures alone, where they are spoken of as a movement: "the
// 8 runs", "the twelve inside". Two calibres of one number are not told apart.
func (r *reader) shortCalibres() {
	if r.ref == nil {
		return
	}
	bare := map[string]string{}
	for _, id := range r.ref.Calibres {
		key := strings.TrimLeftFunc(plainCode(id), unicode.IsLetter)
		if _, twice := bare[key]; twice {
			id = ""
		}
		bare[key] = id
	}
	for i := 0; i+1 < len(r.all); i++ {
		if r.at0(i) != "the" || r.at[i+1] >= 0 {
			continue
		}
		for key, id := range bare {
			last, ok := r.spells(i+1, key, true)
			lettered := strings.ContainsFunc(key, unicode.IsLetter)
			if ok && id != "" && (lettered || r.asMovement(last+1)) {
				r.cover(event{role: isCode, id: "calibre:" + id, first: i + 1, last: last})
				break
			}
		}
	}
}

// asMovement reports whether what follows is said of a movement.
func (r *script) asMovement(i int) bool {
	switch r.at0(i) {
	case "inside", ":", "runs", "ran", "gains", "loses", "ticks", "keeps", "does", "is":
		return true
	}
	return false
}

func longestFirst(keys []string) {
	sort.Slice(keys, func(i, j int) bool {
		if len(keys[i]) != len(keys[j]) {
			return len(keys[i]) > len(keys[j])
		}
		return keys[i] < keys[j]
	})
}

// cover puts an event over its tokens.
func (r *passage) cover(e event) {
	r.ev = append(r.ev, e)
	for i := e.first; i <= e.last; i++ {
		r.at[i] = len(r.ev) - 1
	}
}

// plainCode keeps letters and digits, in lower case.
func plainCode(id string) string {
	return strings.Map(func(c rune) rune {
		if unicode.IsLetter(c) || unicode.IsDigit(c) {
			return unicode.ToLower(c)
		}
		return -1
	}, id)
}

// spells reports whether the tokens from i on spell the code, and where it ends. With
// aloud, words count for letters ("em") and figures ("thirty one").
func (r *passage) spells(i int, code string, aloud bool) (last int, ok bool) {
	if code == "" || i >= len(r.all) {
		return 0, false
	}
	t := r.all[i]
	if t.kind == mark && strings.Contains("-/.", t.norm) && i > 0 {
		return r.spells(i+1, code, aloud)
	}
	if t.kind == mark || t.kind == line || r.at[i] >= 0 {
		return 0, false
	}
	try := func(said string, end int) bool {
		rest, fits := strings.CutPrefix(code, said)
		if !fits || said == "" {
			return false
		}
		if rest == "" {
			last = end
			return !r.goesOn(end)
		}
		last, fits = r.spells(end+1, rest, aloud)
		return fits
	}
	if try(t.code, i) {
		return last, true
	}
	if !aloud {
		return 0, false
	}
	if letter, is := r.Letters[t.norm]; is && try(letter, i) {
		return last, true
	}
	if t.kind == word {
		if n, is := numberAt(r.all, i); is && n.spoken && n.whole() && try(n.digits(), n.last) {
			return last, true
		}
		p := speller{all: r.all, at: i}
		if piece, is := p.piece(); is && try(piece, p.at-1) {
			return last, true
		}
	}
	return 0, false
}

// goesOn reports whether the word or figure at i goes on without a space ("31/4").
func (r *script) goesOn(i int) bool {
	if i+1 >= len(r.all) || !r.all[i+1].joined {
		return false
	}
	next := r.all[i+1]
	if next.kind == word && len(next.norm) == 1 || next.kind == figure {
		return true
	}
	return next.kind == mark && next.norm == "/" && i+2 < len(r.all) && r.all[i+2].joined && r.all[i+2].kind == figure
}

func (r *reader) findMaker() {
	if r.maker != nil {
		return
	}
	type named struct {
		maker *refbook.Maker
		code  string
	}
	var all []named
	for k := range r.opt.Book.Makers {
		m := &r.opt.Book.Makers[k]
		all = append(all, named{m, plainCode(m.Name)})
		for _, alias := range m.Aliases {
			all = append(all, named{m, plainCode(alias)})
		}
	}
	for i := range r.all {
		for _, n := range all {
			if last, ok := r.spells(i, n.code, false); ok {
				r.maker = n.maker
				r.cover(event{role: isCode, id: "maker:" + n.maker.ID, first: i, last: last})
				r.use(i, last)
				return
			}
		}
	}
}

// findReference looks for a reference of the maker, or of any maker; the longest that
// fits wins.
func (r *reader) findReference() {
	type named struct {
		maker *refbook.Maker
		ref   *refbook.Reference
	}
	known := map[string][]named{}
	for k := range r.opt.Book.Makers {
		m := &r.opt.Book.Makers[k]
		if r.maker != nil && m.ID != r.maker.ID {
			continue
		}
		for j := range m.References {
			key := plainCode(m.References[j].ID)
			known[key] = append(known[key], named{m, &m.References[j]})
		}
	}
	keys := make([]string, 0, len(known))
	for k := range known {
		keys = append(keys, k)
	}
	longestFirst(keys)
	for _, aloud := range []bool{false, true} {
		for i := range r.all {
			for _, k := range keys {
				last, ok := r.spells(i, k, aloud)
				if !ok || len(known[k]) > 1 || r.isFigure(i, last) {
					continue
				}
				n := known[k][0]
				if r.ref != nil && n.ref.ID != r.ref.ID {
					continue
				}
				r.cover(event{role: isCode, id: "reference:" + n.ref.ID, first: i, last: last})
				r.use(i, last)
				r.maker, r.ref = n.maker, n.ref
				return
			}
		}
	}
}

// isFigure reports whether what could be a reference in figures is a size or a figure of running.
func (r *script) isFigure(first, last int) bool {
	switch r.at0(last + 1) {
	case "mm", "°", "deg", "degrees", "g", "eur", "euros":
		return true
	}
	switch r.at0(first - 1) {
	case "amplitude", "amp", "ampl", "+", "rate":
		return true
	}
	return false
}

// FindWatch finds the maker and the reference of the book that a few words name; both are
// empty where none is.
func FindWatch(text string, book *refbook.Book) (maker, reference string) {
	r := newReader(text, Options{Book: book})
	r.codes()
	if r.maker != nil {
		maker = r.maker.Name
	}
	if r.ref != nil {
		reference = r.ref.ID
	}
	return maker, reference
}
