package typed

import (
	"encoding/csv"
	"io"
	"strconv"
	"strings"
)

// formula begins what a spreadsheet computes: the signs of formulas, and the blanks that some skip before one.
const formula = "=+-@\t\r"

// Cell is a text for a cell of a CSV file: one that a spreadsheet would compute gets an apostrophe in front, which
// it takes as the mark of text. Plain numbers stay as they are; +1 is none, but how a telephone number begins.
func Cell(s string) string {
	if computed(s) {
		return "'" + s
	}
	return s
}

// Sheet writes a CSV file of which a spreadsheet computes nothing.
type Sheet struct{ *csv.Writer }

// NewSheet returns a Sheet that writes to w. Flush it and ask it for its error, as a csv.Writer.
func NewSheet(w io.Writer) Sheet { return Sheet{csv.NewWriter(w)} }

// Write writes a row; each text of it goes through Cell.
func (s Sheet) Write(row []string) error {
	cells := make([]string, len(row))
	for i, text := range row {
		cells[i] = Cell(text)
	}
	return s.Writer.Write(cells)
}

// WriteAll writes all rows and flushes.
func (s Sheet) WriteAll(rows [][]string) error {
	for _, row := range rows {
		if err := s.Write(row); err != nil {
			return err
		}
	}
	s.Flush()
	return s.Error()
}

// FromCell is the text that Cell wrote.
func FromCell(s string) string {
	if rest, ok := strings.CutPrefix(s, "'"); ok && computed(rest) {
		return rest
	}
	return s
}

// computed also holds for what Cell has marked once, so that FromCell takes one mark off and no more.
func computed(s string) bool {
	bare := strings.TrimLeft(s, "'")
	if bare == "" || !strings.ContainsRune(formula, rune(bare[0])) {
		return false
	}
	digits := strings.TrimPrefix(bare, "-")
	_, err := strconv.ParseFloat(digits, 64)
	plain := err == nil && len(digits) == len(bare)-1 && strings.Trim(digits, "0123456789.") == ""
	return !plain || bare != s
}
