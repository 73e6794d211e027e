package workbook

import (
	"bytes"
	"errors"
	"slices"
	"strconv"
)

const (
	maxText    = 200 << 20 // bytes of text in all cells
	widest     = 512       // columns; what stands beyond is no list
	maxInterns = 1 << 16
	longIntern = 24
	manyCells  = 4096
)

func tooMany() error {
	return refuse("the workbook has more cells than are read at once (%d); save its rows in several files",
		MaxCells)
}

// sheetReader reads one sheet.
type sheetReader struct {
	*Book
	sheet *Sheet
	line  int
	row   Row
	known map[string]string // short texts seen before
	room  []string          // where cells of rows are put
	bytes int

	at      int // column of the cell
	style   int
	kind    []byte
	value   []byte
	formula []byte
	saved   bool // the file holds a value, if an empty one
	silent  bool
	merged  []span
}

// span is a range of merged cells in one column.
type span struct{ col, first, last int }

func (b *Book) readSheet(of *Sheet) error {
	r := &sheetReader{Book: b, sheet: of, known: map[string]string{}}
	err := b.each(of.part, r.tag)
	if err != nil && !errors.Is(err, errEnough) {
		return err
	}
	return r.merge()
}

// tag takes one tag of the sheet.
func (r *sheetReader) tag(s *scanner) error {
	switch string(s.name) {
	case "row":
		if !s.end {
			r.startRow(s)
		}
		if s.end || s.empty {
			return r.endRow()
		}
	case "c":
		if !s.end {
			r.startCell(s)
		}
		if s.end || s.empty {
			return r.endCell()
		}
	case "v":
		r.saved = true
		if s.end {
			r.value = unescaped(r.value[:0], s.text)
		}
	case "t":
		if s.end && !r.silent {
			r.value = unescaped(r.value, s.text)
		}
	case "rPh":
		r.silent = !s.end && !s.empty
	case "f":
		if s.end {
			r.formula = unescaped(r.formula[:0], s.text)
		}
		if len(r.formula) == 0 {
			r.formula = append(r.formula[:0], '?') // a formula that another cell holds
		}
	case "mergeCell":
		r.mergeCell(s.attrString("ref"))
	}
	return nil
}

func (r *sheetReader) startRow(s *scanner) {
	r.line++
	if n, err := strconv.Atoi(string(s.attr("r"))); err == nil && n > 0 {
		r.line = n
	}
	r.row = Row{Line: r.line, Cells: r.row.Cells[:0]}
	r.at = -1
}

func (r *sheetReader) startCell(s *scanner) {
	r.at++
	if col, _, ok := place(s.attr("r")); ok {
		r.at = col
	}
	r.style, _ = strconv.Atoi(string(s.attr("s")))
	r.kind = append(r.kind[:0], s.attr("t")...)
	r.value, r.formula, r.saved = r.value[:0], r.formula[:0], false
}

// endCell puts the cell into its row.
func (r *sheetReader) endCell() error {
	if r.at >= widest || r.at < 0 {
		return nil
	}
	text, number, day := r.cell()
	if text == "" {
		return nil
	}
	if r.bytes += len(text); r.bytes > maxText {
		return tooMany()
	}
	for len(r.row.Cells) <= r.at {
		r.row.Cells = append(r.row.Cells, "")
	}
	r.row.Cells[r.at] = text
	if r.at < 64 {
		if number {
			r.row.Numbers |= 1 << r.at
		}
		if day {
			r.row.Days |= 1 << r.at
		}
	}
	return nil
}

// cell is what a cell shows.
func (r *sheetReader) cell() (text string, isNumber, isDay bool) {
	value := bytes.TrimSpace(r.value)
	if len(value) == 0 {
		if len(r.formula) > 0 && !(r.saved && string(r.kind) == "str") { // a formula may come to an empty text
			return "=" + string(r.formula), false, false
		}
		return "", false, false
	}
	switch string(r.kind) {
	case "s":
		n, err := strconv.Atoi(string(value))
		if err != nil || n < 0 || n >= len(r.strings) {
			return "", false, false
		}
		return r.strings[n], false, false
	case "b":
		if string(value) == "1" || string(value) == "true" {
			return "true", false, false
		}
		return "false", false, false
	case "d":
		day, _, _ := bytes.Cut(value, []byte{'T'})
		return string(day), false, true
	case "", "n":
		if r.style >= 0 && r.style < len(r.styles) && r.styles[r.style] != noDay {
			if text, ok := r.shownAs(string(value), r.styles[r.style]); ok {
				return r.once([]byte(text)), false, r.styles[r.style] != asPercent
			}
		}
		return r.once([]byte(number(value))), true, false
	}
	return r.once(value), false, false // str, inlineStr, e
}

// once keeps one copy of short texts that come again.
func (r *sheetReader) once(text []byte) string {
	if len(text) > longIntern {
		return string(text)
	}
	if s, ok := r.known[string(text)]; ok {
		return s
	}
	s := string(text)
	if len(r.known) < maxInterns {
		r.known[s] = s
	}
	return s
}

// endRow keeps a row in which something stands.
func (r *sheetReader) endRow() error {
	n := len(r.row.Cells)
	if n == 0 {
		return nil
	}
	if r.cells += n; r.cells > MaxCells {
		return tooMany()
	}
	if len(r.room) < n {
		r.room = make([]string, max(manyCells, n))
	}
	row := r.row
	row.Cells = r.room[:n:n]
	copy(row.Cells, r.row.Cells)
	r.room = r.room[n:]
	r.sheet.Rows = append(r.sheet.Rows, row)
	if r.rows > 0 && len(r.sheet.Rows) >= r.rows {
		return errEnough
	}
	return nil
}

// place reads "B12" as column 1 and line 12.
func place(ref []byte) (col, line int, ok bool) {
	i := 0
	for i < len(ref) && i < 3 && ref[i] >= 'A' && ref[i] <= 'Z' {
		col = col*26 + int(ref[i]-'A') + 1
		i++
	}
	for _, c := range ref[i:] {
		if c < '0' || c > '9' || line > 1<<24 {
			return 0, 0, false
		}
		line = line*10 + int(c-'0')
	}
	return col - 1, line, i > 0 && line > 0
}

// mergeCell notes a range that runs down one column, where one note was written beside
// several rows. A title across columns stays in its first.
func (r *sheetReader) mergeCell(ref string) {
	from, to, ok := bytes.Cut([]byte(ref), []byte{':'})
	col, first, okFrom := place(from)
	lastCol, last, okTo := place(to)
	if ok && okFrom && okTo && col == lastCol && last > first && col < widest {
		r.merged = append(r.merged, span{col, first, last})
	}
}

// merge repeats the value of merged cells downwards, in rows in which something stands.
func (r *sheetReader) merge() error {
	rows := r.sheet.Rows
	at := func(line int) int {
		i, _ := slices.BinarySearchFunc(rows, line, func(row Row, line int) int { return row.Line - line })
		return i
	}
	for _, m := range r.merged {
		i := at(m.first)
		if i == len(rows) || rows[i].Line != m.first || m.col >= len(rows[i].Cells) {
			continue
		}
		top, bit := rows[i], uint64(0)
		if m.col < 64 {
			bit = 1 << m.col
		}
		for i++; i < len(rows) && rows[i].Line <= m.last; i++ {
			row := &rows[i]
			if r.cells++; r.cells > MaxCells {
				return tooMany()
			}
			for len(row.Cells) <= m.col {
				row.Cells = append(row.Cells, "")
			}
			if row.Cells[m.col] == "" {
				row.Cells[m.col] = top.Cells[m.col]
				row.Numbers |= top.Numbers & bit
				row.Days |= top.Days & bit
			}
		}
	}
	return nil
}
