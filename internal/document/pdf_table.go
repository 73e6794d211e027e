package document

import (
	"midcase/internal/chart"
	"midcase/say"
)

// cellLines is one cell set into lines.
type cellLines struct {
	lines []line
	mark  *cell
}

const (
	tableLead = 1.28
	cellPad   = 1.1 // above and below a row
	colGap    = 3.0
	keptWhole = 50.0 // rows up to this height are not split
)

func (s *sheet) table(t table) {
	if len(t.rows) == 0 {
		s.text(faceText, 1.3, bodyW, orElse(t.empty, s.in.String(say.That("report.nothing-to-list"))), "")
		s.y += 2
		return
	}
	h := faceTable.leading(tableLead)
	first := s.rowHeight(t, t.rows[0], h)
	s.room(min(first+16, bottomY-topY))
	if t.caption != "" {
		s.y += 1.5
		s.text(faceStrong, 1.4, bodyW, t.caption, "")
		s.y += 1
	}
	s.tableHead(t)
	for i, r := range t.rows {
		with := 0.0
		if i == len(t.rows)-2 { // the last row does not go to a new page alone
			with = s.rowHeight(t, t.rows[i+1], h)
		}
		s.row(t, r, h, with)
	}
	s.rule(s.y, hair, 0.2, leftX+t.width())
	s.y += 4
}

func (s *sheet) tableHead(t table) {
	named := false
	h := faceHead.leading(1.25)
	bottom := s.y
	var set [][]line
	for i, c := range t.columns {
		ls := wrap(t.cellWidth(i), setIn(faceHead, c.title)...)
		named = named || len(ls) > 0
		set = append(set, ls)
		bottom = max(bottom, s.y+h*float64(len(ls)))
	}
	if named {
		for i, ls := range set {
			s.lines(t.cellX(i), bottom-h*float64(len(ls)), t.cellWidth(i), ls, h, t.columns[i].align)
		}
		s.y = bottom + 0.8
	}
	s.rule(s.y, ink, 0.25, leftX+t.width())
}

func (t table) width() float64 {
	if t.full {
		return rightX - leftX
	}
	return bodyW
}

func (t table) total() float64 {
	sum := 0.0
	for _, c := range t.columns {
		sum += c.width
	}
	return sum
}

func (t table) cellX(i int) float64 {
	x := leftX
	for _, c := range t.columns[:i] {
		x += c.width / t.total() * t.width()
	}
	return x
}

func (t table) cellWidth(i int) float64 {
	w := t.columns[i].width / t.total() * t.width()
	if i < len(t.columns)-1 {
		w -= colGap
	}
	return w
}

// markRoom is the space that a call-out number takes before a text.
const markRoom = 6.0

func (t table) set(i int, c cell, strong bool) cellLines {
	f := faceTable
	if strong {
		f = faceStrong
	}
	w := t.cellWidth(i)
	var out cellLines
	if c.number > 0 {
		w -= markRoom
		out.mark = &c
	}
	if t.columns[i].align == right {
		out.lines = wrap(w, setIn(f, c.text)...)
		if c.sub != "" {
			out.lines = append(out.lines, wrap(w, setIn(faceSub, c.sub)...)...)
		}
		return out
	}
	out.lines = wrap(w, setIn(f, c.text)...)
	if c.sub != "" {
		out.lines = append(out.lines, wrap(w, setIn(faceSub, c.sub)...)...)
	}
	return out
}

func (t table) setRow(r row) ([]cellLines, int) {
	n := len(noteLines(r.cites))
	var set []cellLines
	for i := range t.columns {
		var c cell
		if i < len(r.cells) {
			c = r.cells[i]
		}
		cl := t.set(i, c, r.strong && i < 2)
		n = max(n, len(cl.lines))
		set = append(set, cl)
	}
	return set, n
}

func (s *sheet) rowHeight(t table, r row, h float64) float64 {
	_, n := t.setRow(r)
	return float64(n)*h + 2*cellPad
}

// row writes a row whole, with room for the height that must stay with it, where a
// page can hold them, and else line by line.
func (s *sheet) row(t table, r row, h, with float64) {
	set, n := t.setRow(r)
	notes := noteLines(r.cites)
	height := float64(n)*h + 2*cellPad
	if kept := height + with; s.y+kept > bottomY && (kept < keptWhole || s.left() < 25) {
		s.page()
		s.tableHead(t)
	} else if s.y > topY {
		s.rule(s.y, hair, 0.12, leftX+t.width())
	}
	s.y += cellPad
	for k := 0; k < n; k++ {
		if s.y+h > bottomY {
			s.page()
			s.tableHead(t)
			s.y += cellPad
		}
		s.y += h
		base := s.y - 0.28*h
		for i, c := range set {
			x, w := t.cellX(i), t.cellWidth(i)
			if c.mark != nil {
				if k == 0 {
					s.marks(chart.Number(chart.Point{X: 2.1, Y: -0.95}, 2.1, c.mark.number, c.mark.mark), x, base, 1)
				}
				x, w = x+markRoom, w-markRoom
			}
			if k < len(c.lines) {
				s.put(x, base, w, c.lines[k], t.columns[i].align)
			}
		}
		if k < len(notes) {
			s.mark(s.y-h, h)
			s.put(noteX, base, noteW, notes[k], left)
		}
	}
	s.y += cellPad
}
