package document

import (
	"io"
)

// WritePDF writes the report on condition and originality as an A4 PDF. The same
// report gives the same bytes. A picture that cannot be read is said in its place;
// the error is one of writing.
func WritePDF(w io.Writer, r Report) error {
	var pics shelf
	for cut := cutNothing; ; cut++ {
		wr := newWriter(r)
		wr.cut = cut
		f := wr.reportFront()
		s := setPages(wr.r, f, wr.plateOne(), wr.sections(), &pics)
		if wr.annexed() || cut == cuts || s.pdf.PageCount() <= briefPages {
			return s.finish(w, wr.r, f)
		}
	}
}

// WriteValuationPDF writes the pages on value alone: what the watch is, what it
// is worth and what that rests on.
func WriteValuationPDF(w io.Writer, r Report) error {
	wr := newWriter(r)
	return writePDF(w, wr.r, wr.valuationFront(), wr.plateOne(), wr.valuation())
}

func (w *writer) plateOne() *plate {
	if len(w.r.Photos) == 0 {
		return nil
	}
	p := w.plate(1, w.r.Photos[0])
	return &p
}

func writePDF(w io.Writer, r Report, f front, first *plate, sections []section) error {
	return setPages(r, f, first, sections, new(shelf)).finish(w, r, f)
}

// setPages sets all pages.
func setPages(r Report, f front, first *plate, sections []section, pics *shelf) *sheet {
	s := newSheet()
	s.in = f.in
	pics.read(r, numbered(first, sections))
	s.pics = *pics
	s.page()
	s.front(f, r, first, len(sections))
	s.page()
	for i, sec := range sections {
		s.section(i+1, sec)
	}
	return s
}

func (s *sheet) section(n int, sec section) {
	if s.y > topY+1 {
		s.y += 6
	}
	finding := wrap(bodyW, setIn(faceFinding, sec.finding)...)
	need := 16 + faceFinding.leading(1.3)*float64(min(len(finding), 3))
	if len(sec.blocks) > 0 {
		need += s.opens(sec.blocks[0])
	}
	if sec.whole {
		need += heightOf(sec.blocks)
	}
	s.room(need)
	s.rule(s.y, ink, 0.3, rightX)
	s.y += 2
	setFont(s.pdf, serif, 12)
	s.current = face{}
	s.pdf.Bookmark(sec.title, 0, s.y)
	s.contents = append(s.contents, entry{sec.id, sec.title, s.pdf.PageNo(), s.y})
	h := faceHeading.leading(1.25)
	s.put(leftX, s.y+0.72*h, bodyW, wrap(bodyW, setIn(faceHeading, sec.title)...)[0], left)
	s.y += h + 1
	s.text(faceFinding.as(serifItalic), 1.3, bodyW, sec.finding, sec.cites)
	s.y += 2.5
	for _, b := range sec.blocks {
		s.block(b)
	}
}

// heightOf is how high lists and the line to sign are, which may have to stay together.
func heightOf(blocks []block) float64 {
	h, lead := 0.0, faceText.leading(1.3)
	for _, b := range blocks {
		switch b := b.(type) {
		case bullets:
			for _, c := range b {
				h += lead*float64(len(wrap(bodyW-bulletIndent, setIn(faceText, c.text)...))) + 0.9
			}
		case signing:
			h += signingH
		}
	}
	return h
}

func (s *sheet) block(b block) {
	switch b := b.(type) {
	case para:
		if b.note {
			s.y -= 1
			s.text(faceSmall, 1.4, bodyW, b.text, b.cites)
		} else {
			s.text(faceText, 1.32, bodyW, b.text, b.cites)
		}
		s.y += 2.5
	case bullets:
		s.bullets(b, faceText)
	case fine:
		s.bullets(b, faceTable)
	case facts:
		s.facts(b)
	case table:
		s.table(b)
	case plates:
		s.plates(b)
	case figure:
		s.figure(b)
	case signing:
		s.signing(b)
	case index:
		s.index(b)
	}
}

const (
	bulletIndent = 4.0
	signingH     = 40.0 // of the line to sign with the room above it
)

func (s *sheet) bullets(b []cited, f face) {
	const indent = bulletIndent
	h := f.leading(1.3)
	for _, c := range b {
		ls := wrap(bodyW-indent, setIn(f, c.text)...)
		s.room(h * float64(min(len(ls), 3)))
		end := s.note(s.y+h, c.cites)
		for i, l := range ls {
			if s.y+h > bottomY {
				s.page()
				end = 0
			}
			s.y += h
			if i == 0 {
				s.stroke(steel, 0.35)
				s.pdf.Line(leftX, s.y-0.53*h, leftX+1.8, s.y-0.53*h)
			}
			s.put(leftX+indent, s.y-0.28*h, bodyW-indent, l, left)
		}
		s.y = max(s.y, end) + 0.9
	}
	s.y += 2
}

// facts is a two-column list: name, and what it comes to.
func (s *sheet) facts(f facts) {
	const nameW = 34.0
	h := faceTable.leading(1.35)
	for i, one := range f {
		names := wrap(nameW-3, setIn(faceTable.in(soft), one.name)...)
		spans := setIn(faceTable, one.text)
		if one.sub != "" {
			spans = append(spans, spanOf{nbsp + nbsp, faceSub})
			spans = append(spans, setIn(faceSub, one.sub)...)
		}
		texts := wrap(bodyW-nameW, spans...)
		notes := noteLines(one.cites)
		n := max(len(names), len(texts), len(notes), 1)
		if s.y+h*float64(min(n, 12))+1.4 > bottomY {
			s.page()
		} else if i > 0 {
			s.rule(s.y, hair, 0.12, leftX+bodyW)
		}
		s.y += 0.7
		for k := 0; k < n; k++ {
			if s.y+h > bottomY {
				s.page()
			}
			s.y += h
			base := s.y - 0.28*h
			if k < len(names) {
				s.put(leftX, base, nameW, names[k], left)
			}
			if k < len(texts) {
				s.put(leftX+nameW, base, bodyW-nameW, texts[k], left)
			}
			if k < len(notes) {
				s.put(noteX, base, noteW, notes[k], left)
			}
		}
		s.y += 0.7
	}
	s.y += 4
}

func (s *sheet) signing(b signing) {
	s.y += 4
	s.room(28)
	s.text(faceText, 1.3, bodyW, b.issuer, "")
	s.y += 15
	s.stroke(ink, 0.2)
	s.pdf.Line(leftX, s.y, leftX+64, s.y)
	s.y += 1
	s.text(faceSmall, 1.4, bodyW, b.by, "")
	s.y += 3
}

// index sets short entries in two columns, down the first and then the second.
func (s *sheet) index(b index) {
	const gap, codeW = 4.0, 9.0
	w := (bodyW - gap) / 2
	h := faceSub.leading(1.4)
	s.room(16)
	s.text(faceStrong, 1.6, bodyW, b.caption, "")
	s.rule(s.y, ink, 0.25, leftX+bodyW)
	s.y += 1
	for i := 0; i < len(b.texts); i += 2 {
		var set [2][]line
		n := 1
		for k := 0; k < 2 && i+k < len(b.texts); k++ {
			set[k] = wrap(w-codeW, setIn(faceSub.in(ink), b.texts[i+k])...)
			n = max(n, len(set[k]))
		}
		s.room(h * float64(min(n, 8)))
		for l := 0; l < n; l++ {
			s.room(h)
			s.y += h
			for k := 0; k < 2 && i+k < len(b.texts); k++ {
				x := leftX + (w+gap)*float64(k)
				if l == 0 {
					s.label(x, s.y-0.28*h, codeW, faceNote, b.codes[i+k], left)
				}
				if l < len(set[k]) {
					s.put(x+codeW, s.y-0.28*h, w-codeW, set[k][l], left)
				}
			}
		}
	}
	s.y += 5
}

// opens is how much of a block must stand under its heading.
func (s *sheet) opens(b block) float64 {
	switch b := b.(type) {
	case figure:
		return b.height()
	case plates:
		return 70
	}
	return 24
}
