package tables

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"midcase/tables/workbook"
)

// MaxBytes is the largest file read.
const MaxBytes = 50 << 20

// ErrNoTable is wrapped where a file holds no table.
var ErrNoTable = errors.New("no table found")

// gridRow is one row of cells with its line in the file, or its row in the sheet.
type gridRow struct {
	line  int
	cells []string

	numbers, days uint64 // cells of a workbook that are such, a bit for each of the first 64
}

// cell is a cell of the row; empty where the row is shorter.
func (r gridRow) cell(i int) string {
	if i < 0 || i >= len(r.cells) {
		return ""
	}
	return strings.TrimSpace(r.cells[i])
}

// empty reports whether nothing stands in the row.
func (r gridRow) empty() bool {
	for i := range r.cells {
		if r.cell(i) != "" {
			return false
		}
	}
	return true
}

// open reads the cells of a file by what its bytes are: of a workbook the fullest sheet.
func open(data []byte) ([]gridRow, error) {
	f, err := openAll(data, 0)
	if err != nil {
		return nil, err
	}
	best := f.tabs[0]
	for _, t := range f.tabs[1:] {
		if fullness(t.rows) > fullness(best.rows) {
			best = t
		}
	}
	return best.rows, nil
}

// openAll reads all sheets of a file, no more than some rows of each; 0 reads all.
func openAll(data []byte, rows int) (opened, error) {
	if len(data) > MaxBytes {
		return opened{}, fmt.Errorf("the file has %d MB; tables of up to %d MB are read", len(data)>>20, MaxBytes>>20)
	}
	if len(bytes.TrimSpace(data[:min(len(data), headBytes)])) == 0 && len(bytes.TrimSpace(data)) == 0 {
		return opened{}, fmt.Errorf("the file is empty: %w", ErrNoTable)
	}
	if isZip(data) {
		return openWorkbook(bytes.NewReader(data), int64(len(data)), rows)
	}
	if err := otherKind(data); err != nil {
		return opened{}, err
	}
	text, err := decoded(data)
	if err != nil {
		return opened{}, err
	}
	all, err := openText(text)
	if err != nil {
		return opened{}, err
	}
	n := 0
	for _, r := range all {
		n += len(r.cells)
	}
	if n > workbook.MaxCells {
		return opened{}, fmt.Errorf("the file has %d cells; up to %d are read at once: save its rows in several files", n,
			workbook.MaxCells)
	}
	return opened{tabs: []tab{{rows: all}}, cut: cutOff(text, all)}, nil
}

// headBytes is how much of a file of text shows what it lists.
const headBytes = 64 << 10

// Head is the beginning of a file of text, up to the end of a line, for telling what it lists; a workbook whole.
func Head(data []byte) []byte {
	if len(data) <= headBytes || isZip(data) {
		return data
	}
	head := data[:headBytes]
	if bytes.IndexByte(head, 0) >= 0 {
		return head // UTF-16: an even number of bytes
	}
	if at := bytes.LastIndexByte(head, '\n'); at > 0 {
		return head[:at+1]
	}
	return head
}

// decoded turns text of any of the usual encodings into UTF-8: by its mark, else UTF-8
// where it is valid, else Windows-1252.
func decoded(data []byte) (string, error) {
	switch {
	case bytes.HasPrefix(data, []byte{0xFF, 0xFE}), bytes.HasPrefix(data, []byte{0xFE, 0xFF}):
		out, err := unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewDecoder().Bytes(data)
		if err != nil {
			return "", fmt.Errorf("the text is marked as UTF-16 but cannot be read as such: %w", err)
		}
		return string(out), nil
	case bytes.HasPrefix(data, []byte{0xEF, 0xBB, 0xBF}):
		data = data[3:]
	}
	if text, ok := unmarkedUTF16(data); ok {
		return text, nil
	}
	if unreadable(data[:min(len(data), 4096)]) {
		return "", fmt.Errorf("the file is no text and no workbook, whatever its name says; "+
			"save the list as .xlsx or CSV: %w", ErrNoTable)
	}
	if bytes.IndexByte(data, '\n') < 0 { // lines that end as on old Macs
		data = bytes.ReplaceAll(data, []byte{'\r'}, []byte{'\n'})
	}
	if utf8.Valid(data) {
		return string(data), nil
	}
	out, err := charmap.Windows1252.NewDecoder().Bytes(data)
	return string(out), err
}

// unreadable reports whether bytes are no text: empty ones, or many signs that no text has.
func unreadable(head []byte) bool {
	odd := 0
	for _, c := range head {
		if c == 0 {
			return true
		}
		if c < ' ' && c != '\t' && c != '\n' && c != '\r' && c != '\f' && c != '\v' {
			odd++
		}
	}
	const some = 50 // one in so many
	return odd > len(head)/some
}

// unmarkedUTF16 reads UTF-16 without its mark, by the empty bytes that stand on one side of nearly every letter.
func unmarkedUTF16(data []byte) (string, bool) {
	head := data[:min(len(data), 4096)&^1]
	var empty [2]int
	for i, c := range head {
		if c == 0 {
			empty[i%2]++
		}
	}
	order, most := unicode.LittleEndian, empty[1]
	if empty[0] > empty[1] {
		order, most = unicode.BigEndian, empty[0]
	}
	if len(head) < 8 || most < len(head)*2/5 || min(empty[0], empty[1]) > 0 {
		return "", false
	}
	out, err := unicode.UTF16(order, unicode.IgnoreBOM).NewDecoder().Bytes(data)
	return string(out), err == nil
}

// openText reads separated text with the separator that makes the most consistent table
// of it.
func openText(text string) ([]gridRow, error) {
	sample := text
	if len(text) > sampled {
		sample = text[:sampled+max(0, strings.IndexByte(text[sampled:], '\n'))]
	}
	best, bestScore := ',', -1.0
	var rows []gridRow
	for _, sep := range []rune{'\t', ';', ',', '|'} {
		of := cut(sample, sep)
		if s := consistency(of); s > bestScore {
			best, bestScore, rows = sep, s, of
		}
	}
	if len(sample) < len(text) {
		rows = cut(text, best)
	}
	if len(rows) == 0 {
		return nil, ErrNoTable
	}
	return rows, nil
}

// sampled is how much of a long text shows its separator.
const sampled = 256 << 10

// cut cuts a text at a separator.
func cut(text string, sep rune) []gridRow {
	rows := unquoted(unswallow(separated(text, sep), sep))
	if sep == ',' {
		rows = wholeAmounts(rows)
	}
	return rows
}

// separated reads text by one separator. A line that cannot be read as quoted text is
// cut at the separators as it stands.
func separated(text string, sep rune) []gridRow {
	r := csv.NewReader(strings.NewReader(text))
	r.Comma, r.FieldsPerRecord, r.LazyQuotes, r.ReuseRecord = sep, -1, true, false
	r.TrimLeadingSpace = sep != '\t' // a quote may stand behind a space: 4 May, "$3,850"
	var out []gridRow
	for {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			return out
		}
		if err != nil {
			return out
		}
		line, _ := r.FieldPos(0)
		out = append(out, gridRow{line: line, cells: cells})
	}
}

var (
	thousandsPart = regexp.MustCompile(`^\D{0,4}[1-9]\d{0,2}$`)
	hundredsPart  = regexp.MustCompile(`^\d{3}(?:\.\d\d)?(?:\s?\D{1,4})?$`)
)

// wholeAmounts puts amounts together that the separator has cut in two ("$3,850" without quotes), in rows that are
// wider than others by as many cells as there are such pairs.
func wholeAmounts(rows []gridRow) []gridRow {
	narrow := 0
	for _, r := range rows {
		if n := len(r.cells); r.filled() > 1 && (narrow == 0 || n < narrow) {
			narrow = n
		}
	}
	for i, r := range rows {
		var cut []int
		for k := 0; k+1 < len(r.cells); k++ {
			if thousandsPart.MatchString(r.cell(k)) && hundredsPart.MatchString(r.cell(k+1)) {
				cut = append(cut, k)
				k++
			}
		}
		signed := func(k int) bool {
			return strings.ContainsAny(r.cells[k], "$€£¥") && len(digits.ReplaceAllString(r.cells[k], "")) < 3
		}
		if len(cut) == 0 || len(r.cells)-narrow != len(cut) && !allOf(cut, signed) {
			continue
		}
		cells := make([]string, 0, len(r.cells))
		for k := 0; k < len(r.cells); k++ {
			if slices.Contains(cut, k) {
				cells = append(cells, r.cells[k]+","+r.cells[k+1])
				k++
				continue
			}
			cells = append(cells, r.cells[k])
		}
		rows[i].cells = cells
	}
	return rows
}

func allOf(all []int, is func(int) bool) bool {
	return !slices.ContainsFunc(all, func(k int) bool { return !is(k) })
}

// fewLines is how short a file is whose first line tells its width: a quote may have swallowed all others.
const fewLines = 3

// unswallow cuts a row anew by its lines where a quote that nobody closed swallowed
// whole rows: the lines in it are as wide as a row.
func unswallow(rows []gridRow, sep rune) []gridRow {
	width := commonWidth(rows)
	if width < 3 && len(rows) > 0 && len(rows) <= fewLines {
		width = len(rows[0].cells)
	}
	if width < 3 {
		return rows
	}
	out := make([]gridRow, 0, len(rows))
	for _, r := range rows {
		if !slices.ContainsFunc(r.cells, func(c string) bool { return strings.Contains(c, "\n") }) {
			out = append(out, r)
			continue
		}
		lines := strings.Split(strings.TrimRight(strings.Join(r.cells, string(sep)), "\r\n"), "\n")
		narrow := func(line string) bool { return strings.Count(line, string(sep)) < width-2 }
		if len(lines) < 2 || slices.ContainsFunc(lines, narrow) {
			out = append(out, r)
			continue
		}
		for i, line := range lines {
			cells := strings.Split(strings.TrimRight(line, "\r"), string(sep))
			for j := range cells {
				if !strings.HasPrefix(cells[j], "=") {
					cells[j] = strings.Trim(cells[j], "\"")
				}
			}
			out = append(out, gridRow{line: r.line + i, cells: cells})
		}
	}
	return out
}

// commonWidth is the commonest number of cells in a row.
func commonWidth(rows []gridRow) int {
	widths := map[int]int{}
	best := 0
	for _, r := range rows[:min(len(rows), 200)] {
		widths[len(r.cells)]++
		if n, b := widths[len(r.cells)], widths[best]; n > b || n == b && len(r.cells) < best {
			best = len(r.cells)
		}
	}
	return best
}

// unquoted takes the value out of a cell that a program wrote as ="0123", to keep a
// spreadsheet from changing it.
func unquoted(rows []gridRow) []gridRow {
	for _, r := range rows {
		for i, c := range r.cells {
			if strings.HasPrefix(c, `="`) && strings.HasSuffix(c, `"`) && len(c) > 3 {
				r.cells[i] = c[2 : len(c)-1]
			}
		}
	}
	return rows
}

// consistency scores a table: how wide its rows are, and how many have the commonest
// width.
func consistency(rows []gridRow) float64 {
	widths := map[int]int{}
	n := 0
	for _, r := range rows[:min(len(rows), 200)] {
		if r.empty() {
			continue
		}
		widths[len(r.cells)]++
		n++
	}
	best, width := 0, 0
	for w, count := range widths {
		if count > best || count == best && w > width {
			best, width = count, w
		}
	}
	if n == 0 || width < 2 {
		return 0
	}
	return float64(best) / float64(n) * float64(min(width, 12)-1)
}
