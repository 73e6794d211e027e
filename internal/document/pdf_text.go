package document

import "strings"

// line is one set line: pieces side by side.
type line struct {
	pieces []spanOf
	width  float64
}

func (l *line) add(s spanOf, w float64) {
	l.width += w
	if n := len(l.pieces); n > 0 && l.pieces[n-1].face == s.face {
		l.pieces[n-1].text += s.text
		return
	}
	l.pieces = append(l.pieces, s)
}

// word is what may not be broken: its spans, and whether a space stands before it.
type word struct {
	spans []spanOf
	width float64
	space bool
}

// wrap sets spans into lines no wider than width. A word wider than a line is
// broken, at a mark such as - or / where there is one.
func wrap(width float64, spans ...spanOf) []line {
	var lines []line
	var l line
	flush := func() {
		lines = append(lines, l)
		l = line{}
	}
	for _, w := range words(spans) {
		space := 0.0
		if w.space && len(l.pieces) > 0 {
			space = l.pieces[len(l.pieces)-1].face.width(" ")
		}
		if len(l.pieces) > 0 && l.width+space+w.width > width+1e-6 {
			flush()
			space = 0
		}
		if space > 0 {
			last := l.pieces[len(l.pieces)-1].face
			l.add(spanOf{" ", last}, last.width(" "))
		}
		if w.width <= width {
			for _, s := range w.spans {
				l.add(s, s.face.width(s.text))
			}
			continue
		}
		for _, s := range w.spans {
			for _, r := range s.text {
				rw := s.face.width(string(r))
				if len(l.pieces) > 0 && l.width+rw > width {
					flush()
				}
				l.add(spanOf{string(r), s.face}, rw)
			}
		}
	}
	if len(l.pieces) > 0 {
		flush()
	}
	return lines
}

// words cuts spans at spaces and after the marks - / – where letters follow; a no-break
// space does not part words.
func words(spans []spanOf) []word {
	var out []word
	var w word
	spaceBefore := false
	flush := func() {
		if len(w.spans) > 0 {
			out = append(out, w)
		}
		w = word{}
	}
	put := func(text string, f face) {
		if text == "" {
			return
		}
		if len(w.spans) == 0 {
			w.space = spaceBefore
			spaceBefore = false
		}
		w.spans = append(w.spans, spanOf{text, f})
		w.width += f.width(text)
	}
	for _, s := range spans {
		start := 0
		for i, r := range s.text {
			switch {
			case r == ' ' && (closes(s.text[i+1:]) || strings.HasSuffix(s.text[:i], "«")):
			case r == ' ' || r == '\n' || r == '\t':
				put(s.text[start:i], s.face)
				flush()
				spaceBefore = true
				start = i + len(string(r))
			case strings.ContainsRune("-/–", r):
				end := i + len(string(r))
				if end-start > 3 && end < len(s.text) && !strings.HasPrefix(s.text[end:], " ") && !digit(s.text[end]) {
					put(s.text[start:end], s.face)
					flush()
					start = end
				}
			}
		}
		put(s.text[start:], s.face)
	}
	flush()
	return out
}

// closes reports whether a text begins with a mark that French sets apart from the word before it and never at the
// head of a line.
func closes(s string) bool {
	for _, mark := range []string{":", ";", "!", "?", "»"} {
		if rest, ok := strings.CutPrefix(s, mark); ok && (rest == "" || strings.ContainsAny(rest[:1], " .,\n")) {
			return true
		}
	}
	return false
}

func digit(b byte) bool { return b >= '0' && b <= '9' }
