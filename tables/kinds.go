package tables

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf16"

	"midcase/tables/workbook"
)

// opened is a file with its sheets; a file of text has one, without a name.
type opened struct {
	tabs     []tab
	from1904 bool
	notes    []string // what was not looked at
	cut      int      // line in whose middle the file ends; 0 where it is whole
}

// tab is a sheet, or one of several tables on a sheet.
type tab struct {
	name string
	rows []gridRow
}

func isZip(data []byte) bool {
	return bytes.HasPrefix(data, []byte("PK\x03\x04")) || bytes.HasPrefix(data, []byte("PK\x05\x06"))
}

// openWorkbook reads the sheets of a workbook that are shown; the hidden ones where no
// other is filled.
func openWorkbook(data io.ReaderAt, size int64, rows int) (opened, error) {
	b, err := workbook.OpenHead(data, size, rows)
	if err != nil {
		return opened{}, err
	}
	f := opened{from1904: b.From1904}
	if b.Macros {
		f.notes = append(f.notes, "The workbook holds macros. They were not looked at; its saved values count.")
	}
	if b.Linked {
		f.notes = append(f.notes, "Formulas of the workbook look into other files. These were not looked at; "+
			"the values saved with the formulas count.")
	}
	var hidden []tab
	for _, s := range b.Sheets {
		t := tab{name: s.Name, rows: make([]gridRow, len(s.Rows))}
		for i, r := range s.Rows {
			t.rows[i] = gridRow{r.Line, r.Cells, r.Numbers, r.Days}
		}
		switch {
		case len(t.rows) == 0:
		case s.Hidden:
			hidden = append(hidden, t)
		default:
			f.tabs = append(f.tabs, t)
		}
	}
	if len(f.tabs) == 0 {
		f.tabs, hidden = hidden, nil
	}
	for _, t := range hidden {
		f.notes = append(f.notes, fmt.Sprintf("The hidden sheet “%s” was not read.", t.name))
	}
	if len(f.tabs) == 0 {
		return f, fmt.Errorf("the workbook has no filled sheet: %w", ErrNoTable)
	}
	return f, nil
}

// fullness counts the rows that have several cells.
func fullness(rows []gridRow) int {
	n := 0
	for _, r := range rows {
		if len(r.cells) > 2 && !r.empty() {
			n++
		}
	}
	return n
}

// signatures tell files by their first bytes, with what to do about each.
var signatures = []struct{ begins, is, todo string }{
	{"%PDF", "a PDF", "export the list as .xlsx or CSV where it was made"},
	{"{\\rtf", "a text document (.rtf)", "copy its table into a spreadsheet and save that as .xlsx or CSV"},
	{"\x89PNG", "a picture", "bring in the file that it was made from"},
	{"\xff\xd8\xff", "a picture", "bring in the file that it was made from"},
	{"GIF8", "a picture", "bring in the file that it was made from"},
	{"Rar!", "a packed folder (.rar)", "unpack it and bring in the files in it"},
	{"7z\xbc\xaf", "a packed folder (.7z)", "unpack it and bring in the files in it"},
	{"\x1f\x8b", "a packed file (.gz)", "unpack it and bring in the file in it"},
	{"SQLite format 3", "a database", "export its table as CSV"},
	{"\x09\x08", "a very old .xls workbook", "save it as .xlsx or CSV"},
}

// otherKind says of a file that is of a known kind, but no table in text, what it is and
// what to do.
func otherKind(data []byte) error {
	for _, s := range signatures {
		if bytes.HasPrefix(data, []byte(s.begins)) {
			return fmt.Errorf("this is %s, not a table; %s", s.is, s.todo)
		}
	}
	if bytes.HasPrefix(data, []byte{0xD0, 0xCF, 0x11, 0xE0}) {
		return oldOffice(data)
	}
	head := strings.ToLower(string(bytes.TrimSpace(bytes.TrimPrefix(data[:min(len(data), 4096)],
		[]byte("\xef\xbb\xbf")))))
	switch {
	case strings.HasPrefix(head, "<?xml") && strings.Contains(head, "urn:schemas-microsoft-com:office:spreadsheet"):
		return errors.New("this is an old workbook in XML; open it in a spreadsheet and save it as .xlsx or CSV")
	case strings.HasPrefix(head, "<") && (strings.Contains(head, "<html") || strings.Contains(head, "<table") ||
		strings.HasPrefix(head, "<!doctype html")):
		return errors.New("this is a page of the web (<html>), whatever its name says; " +
			"open it in a spreadsheet and save it as .xlsx or CSV")
	case strings.HasPrefix(head, "<?xml"), strings.HasPrefix(head, "<") && strings.Contains(head, "</"):
		return errors.New("this is XML, not a table; export the list as .xlsx or CSV where it was made")
	case strings.HasPrefix(head, "[{"), strings.HasPrefix(head, "{\""), strings.HasPrefix(head, "{\n"),
		strings.HasPrefix(head, "[\n"):
		return errors.New("this is JSON, not a table; export the list as .xlsx or CSV where it was made")
	}
	return nil
}

// oldOffice tells what a file of the old kind holds, by the names of its streams.
func oldOffice(data []byte) error {
	has := func(name string) bool {
		var b []byte
		for _, u := range utf16.Encode([]rune(name)) {
			b = append(b, byte(u), byte(u>>8))
		}
		return bytes.Contains(data, b)
	}
	switch {
	case has("EncryptedPackage"):
		return errors.New("the workbook is locked with a password; open it and save it without one, as .xlsx or CSV")
	case has("WordDocument"):
		return errors.New("this is an old text document (.doc), not a table; " +
			"copy its table into a spreadsheet and save that as .xlsx or CSV")
	}
	return errors.New("this is an old .xls workbook, or one with a password; save it as .xlsx or CSV without one")
}

// cutOff is the line in whose middle a file of text ends: its last, where it has no line
// end and fewer cells than nearly every other.
func cutOff(text string, rows []gridRow) int {
	if len(rows) < 3 || strings.HasSuffix(text, "\n") || strings.HasSuffix(text, "\r") {
		return 0
	}
	width, as := commonWidth(rows), 0
	if width < 3 {
		return 0
	}
	for _, r := range rows[:len(rows)-1] {
		if len(r.cells) >= width {
			as++
		}
	}
	last := rows[len(rows)-1]
	const nearlyAll = 0.9
	if len(last.cells) >= width || float64(as) < nearlyAll*float64(len(rows)-1) || last.filled() < 2 {
		return 0
	}
	return last.line
}
