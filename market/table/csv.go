package table

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"strings"
	"time"
	"unicode/utf8"
)

// ReadOptions are what reading a sales file depends on besides the file.
type ReadOptions struct {
	Now time.Time // sales after this day are refused; zero accepts any date
	// Share is the part of the file to read, by the places at which rows start; zero reads all of it.
	Share Share
}

// Share is one of several parts of a file, counted from 1. Together they hold each row once.
type Share struct {
	N, Of int
	Bytes int64 // of the whole file
}

// rows says which rows are of the share: those that start from a byte on and before another.
func (s Share) rows() (from, to int64) {
	if s.Of <= 1 {
		return 0, math.MaxInt64
	}
	from, to = s.Bytes/int64(s.Of)*int64(s.N-1), s.Bytes/int64(s.Of)*int64(s.N)
	if s.N == s.Of {
		to = math.MaxInt64
	}
	return from, to
}

// ErrNotSales is wrapped by ReadCSV when the file as a whole cannot be a sales
// file.
var ErrNotSales = errors.New("not a sales file")

// ReadCSV reads a sales file: UTF-8 CSV (RFC 4180) with a header row, columns in
// any order. Rows that are not acceptable are returned as RowErrors and kept out;
// so are rows that repeat an earlier one. It fails as a whole only where reading
// fails or the file is no sales file (ErrNotSales). It streams: memory grows with
// the good rows only. name is used in the reasons.
func ReadCSV(r io.Reader, name string, opt ...ReadOptions) (*Table, []RowError, error) {
	latest := int32(math.MaxInt32)
	var share Share
	if len(opt) > 0 {
		share = opt[0].Share
	}
	if len(opt) > 0 && !opt[0].Now.IsZero() {
		n := opt[0].Now.UTC()
		latest = DayNumber(n.Year(), int(n.Month()), n.Day())
	}
	t := EmptyTable()
	var bad []RowError
	size := sizeOf(r)
	if share.Of > 1 {
		size = 0 // rows of others pass too
	}
	err := readRecords(r, name, share, []int{colDate, colMaker, colReference, colPrice, colCurrency}, &t.ignored,
		func(f *[columnCount][]byte, at position) {
			if t.Len() == reserveAfter && size > 0 {
				t.reserve(int(min(size*reserveAfter/max(at.bytes, 1)*21/20, maxReserved)))
			}
			line := at.line
			if e := t.addRow(f, line, at.plain, latest); e != nil {
				e.File, e.Line = name, line
				bad = append(bad, *e)
			}
		}, func(e RowError) { bad = append(bad, e) })
	if err != nil {
		return nil, bad, err
	}
	t.nameFirst(bad)
	return t, bad, nil
}

// nameFirst adds to the reasons of duplicates the line that they repeat.
func (t *Table) nameFirst(bad []RowError) {
	first := map[uint64]int32{}
	for _, e := range bad {
		if e.duplicate {
			first[e.hash] = 0
		}
	}
	if len(first) == 0 {
		return
	}
	for i, h := range t.ID {
		if line, ok := first[h]; ok && line == 0 {
			first[h] = t.Line[i]
		}
	}
	for i := range bad {
		if e := &bad[i]; e.duplicate && first[e.hash] > 0 {
			e.Want += fmt.Sprintf(" of line %d", first[e.hash])
		}
	}
}

// After reserveAfter rows the number of rows is estimated from the size of the file.
const (
	reserveAfter = 2000
	maxReserved  = 5_000_000
)

// sizeOf is the number of bytes to come, where the reader can tell.
func sizeOf(r io.Reader) int64 {
	switch r := r.(type) {
	case interface{ Len() int }:
		return int64(r.Len())
	case interface{ Stat() (fs.FileInfo, error) }:
		if info, err := r.Stat(); err == nil && info.Mode().IsRegular() {
			return info.Size()
		}
	}
	return 0
}

// position is where a row starts, the bytes read up to its end, and whether the row
// is all printable ASCII.
type position struct {
	line  int
	bytes int64
	plain bool
}

// readRecords runs over the rows of a CSV with the columns of a sales file. Rows
// that are no CSV go to bad, the others to row, whose fields are valid during the
// call only.
func readRecords(r io.Reader, name string, share Share, required []int, ignored *[]string,
	row func(*[columnCount][]byte, position), bad func(RowError)) error {
	in := &records{r: r, buf: make([]byte, 1<<18), line: 1}
	header, _, problem, err := in.next()
	if errors.Is(err, io.EOF) {
		return fmt.Errorf("%s: %w: the file is empty; want a header row with date, maker, reference, price, currency",
			name, ErrNotSales)
	}
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	if problem != "" {
		return fmt.Errorf("%s:1: %w: %s", name, ErrNotSales, problem)
	}
	place, extra, err := readHeader(header, required)
	if err != nil {
		return fmt.Errorf("%s:1: %w", name, err)
	}
	*ignored = extra
	width := len(place)
	var f [columnCount][]byte
	from, to := share.rows()
	for {
		starts := in.taken
		if starts >= to {
			return nil
		}
		fields, line, problem, err := in.next()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if starts < from && err == nil {
			continue // a row of another share
		}
		if err != nil {
			return fmt.Errorf("%s:%d: %w", name, line, err)
		}
		if problem == "" && len(fields) == 1 && len(trim(fields[0])) == 0 && width > 1 {
			continue // an empty line
		}
		if problem == "" && len(fields) != width {
			bad(RowError{File: name, Line: line, Found: fmt.Sprintf("%d fields", len(fields)),
				Want: fmt.Sprintf("%d fields, as in the header", width)})
			continue
		}
		if problem != "" {
			bad(RowError{File: name, Line: line, Found: Excerpt(in.bad), Want: problem})
			continue
		}
		for k, c := range place {
			if c >= 0 {
				f[c] = fields[k]
			}
		}
		row(&f, position{line, in.taken, in.plain})
	}
}

// readHeader maps each field of the header to a column, or −1.
func readHeader(header [][]byte, required []int) (place []int, extra []string, err error) {
	if bytes.HasPrefix(header[0], []byte("\xff\xfe")) || bytes.HasPrefix(header[0], []byte("\xfe\xff")) {
		return nil, nil, fmt.Errorf("%w: the file is UTF-16; save it as UTF-8", ErrNotSales)
	}
	header[0] = bytes.TrimPrefix(header[0], []byte("\xef\xbb\xbf"))
	seen := map[string]bool{}
	for _, h := range header {
		if !utf8.Valid(h) || bytes.IndexByte(h, 0) >= 0 {
			return nil, nil, fmt.Errorf("%w: the first line is no text in UTF-8", ErrNotSales)
		}
		s := Fold(string(h))
		if seen[s] && s != "" {
			return nil, nil, fmt.Errorf("%w: column %q appears twice in the header", ErrNotSales, s)
		}
		seen[s] = true
		at := -1
		for c, n := range columnNames {
			if n == s {
				at = c
			}
		}
		if at < 0 {
			extra = append(extra, s)
		}
		place = append(place, at)
	}
	var missing []string
	for _, c := range required {
		if n := columnNames[c]; !seen[n] {
			missing = append(missing, n)
		}
	}
	if len(missing) > 0 {
		hint := ""
		if len(header) == 1 && bytes.ContainsAny(header[0], ";\t") {
			hint = "; the file seems to be separated by semicolons or tabs, want commas"
		}
		return nil, nil, fmt.Errorf("%w: the header lacks %s; found %q%s", ErrNotSales, strings.Join(missing, ", "),
			Excerpt(bytes.Join(header, []byte(","))), hint)
	}
	return place, extra, nil
}

// maxRecord bounds one row, so that a quote that is never closed does not swallow
// the file.
const maxRecord = 1 << 20

// records splits a CSV stream into rows.
type records struct {
	r          io.Reader
	buf        []byte
	start, end int
	eof        bool
	line       int // of the next byte
	fields     [][]byte
	bad        []byte // start of a row that is no CSV
	taken      int64  // bytes of all rows so far
	plain      bool   // whether the last row is all printable ASCII
}

// next gives the fields of the next row, valid until the next call, and the line
// where it starts. problem says what would be right where the row is no CSV.
func (in *records) next() (fields [][]byte, line int, problem string, err error) {
	line = in.line
	stop, err := in.lineEnd(in.start)
	if err != nil {
		return nil, line, "", err
	}
	if stop < 0 { // longer than a row may be
		in.bad = append([]byte(nil), in.buf[in.start:in.start+64]...)
		return nil, line, "a row of at most 1 MiB", in.skipLine()
	}
	text := in.buf[in.start:stop]
	in.taken += int64(len(text)) + 1
	in.plain = printable(text)
	if bytes.IndexByte(text, '"') >= 0 {
		return in.quoted(line)
	}
	in.start = min(stop+1, in.end)
	in.line++
	if n := len(text); n > 0 && text[n-1] == '\r' {
		text = text[:n-1]
	}
	in.fields = in.fields[:0]
	for {
		k := bytes.IndexByte(text, ',')
		if k < 0 {
			break
		}
		in.fields = append(in.fields, text[:k])
		text = text[k+1:]
	}
	in.fields = append(in.fields, text)
	return in.fields, line, "", nil
}

// printable reports whether all bytes are ASCII without control characters, but for
// a carriage return at the end; it looks at eight at a time.
func printable(b []byte) bool {
	if n := len(b); n > 0 && b[n-1] == '\r' {
		b = b[:n-1]
	}
	for len(b) >= 8 {
		x := binary.LittleEndian.Uint64(b)
		// A byte below 0x20 borrows into its top bit; one above 0x7f has it set.
		if (x|(x-0x2020202020202020))&0x8080808080808080 != 0 {
			return false
		}
		b = b[8:]
	}
	for _, c := range b {
		if c < ' ' || c >= 0x80 {
			return false
		}
	}
	return true
}

// lineEnd is the index of the newline at or after from, the end of the data for a
// last line without one, or −1 where the row grows too long. It may move the
// buffer only while from == in.start.
func (in *records) lineEnd(from int) (int, error) {
	offset := from - in.start
	for {
		if k := bytes.IndexByte(in.buf[in.start+offset:in.end], '\n'); k >= 0 {
			return in.start + offset + k, nil
		}
		if in.eof {
			if in.start == in.end {
				return 0, io.EOF
			}
			return in.end, nil
		}
		if in.end-in.start > maxRecord {
			return -1, nil
		}
		offset = in.end - in.start
		if err := in.fill(); err != nil {
			return 0, err
		}
	}
}

// fill reads more, moving what is left to the front of the buffer.
func (in *records) fill() error {
	if in.start > 0 {
		copy(in.buf, in.buf[in.start:in.end])
		in.end -= in.start
		in.start = 0
	}
	if in.end == len(in.buf) {
		in.buf = append(in.buf, make([]byte, len(in.buf))...)
	}
	for tries := 0; ; tries++ {
		n, err := in.r.Read(in.buf[in.end:])
		in.end += n
		if errors.Is(err, io.EOF) {
			in.eof = true
			return nil
		}
		if err != nil {
			return err
		}
		if n > 0 {
			return nil
		}
		if tries > 100 {
			return io.ErrNoProgress
		}
	}
}

func (in *records) skipLine() error {
	for {
		if k := bytes.IndexByte(in.buf[in.start:in.end], '\n'); k >= 0 {
			in.start += k + 1
			in.line++
			return nil
		}
		in.start = in.end
		if in.eof {
			return nil
		}
		if err := in.fill(); err != nil {
			return err
		}
	}
}

// quoted reads a row that has a quote in its first line.
func (in *records) quoted(line int) ([][]byte, int, string, error) {
	in.plain = false
	in.fields = in.fields[:0]
	var out []byte // the fields without quotes, one after the other
	var ends []int
	at, lines := 0, 0 // from in.start, since the buffer may move
	for {
		next, problem, err := in.field(at, &out, &lines)
		if err != nil {
			return nil, line, "", err
		}
		if problem != "" {
			return in.broken(line, problem)
		}
		ends = append(ends, len(out))
		last := in.start+next >= in.end || in.buf[in.start+next] == '\n'
		at = next + 1
		if last {
			break
		}
	}
	in.start = min(in.start+at, in.end)
	in.line = line + lines + 1
	from := 0
	for _, e := range ends {
		in.fields = append(in.fields, out[from:e])
		from = e
	}
	return in.fields, line, "", nil
}

// peek is the byte at an offset from the start of the row; more is false at the end
// of the stream, or where the row grows too long.
func (in *records) peek(at int) (c byte, more bool, err error) {
	for in.start+at >= in.end {
		if in.eof || in.end-in.start > maxRecord {
			return 0, false, nil
		}
		if err := in.fill(); err != nil {
			return 0, false, err
		}
	}
	return in.buf[in.start+at], true, nil
}

// field adds the text of the field at an offset to out and gives the offset of the
// comma or line end behind it. Line breaks within quotes are counted.
func (in *records) field(at int, out *[]byte, lines *int) (next int, problem string, err error) {
	const stray = `quotes only around a whole field, with "" for a quote inside`
	from := len(*out)
	c, more, err := in.peek(at)
	isQuoted := more && c == '"'
	closed := !isQuoted
	if isQuoted {
		at++
	}
	for ; err == nil; at++ {
		if c, more, err = in.peek(at); err != nil || !more {
			break
		}
		switch {
		case isQuoted && !closed && c == '"':
			closed = true
			if d, more, e := in.peek(at + 1); e != nil {
				return 0, "", e
			} else if more && d == '"' {
				*out = append(*out, '"')
				closed = false
				at++
			}
		case isQuoted && !closed:
			if c == '\n' {
				*lines++
			}
			*out = append(*out, c)
		case c == ',' || c == '\n':
			if !isQuoted && c == '\n' {
				*out = dropCR(*out, from)
			}
			return at, "", nil
		case c == '"' || (isQuoted && c != '\r'):
			return 0, stray, nil
		case !isQuoted:
			*out = append(*out, c)
		}
	}
	if err == nil && !closed {
		return 0, "the closing quote of a field, within 1 MiB", nil
	}
	if !isQuoted {
		*out = dropCR(*out, from)
	}
	return at, "", err
}

// dropCR takes a carriage return off the end of what was added from an offset on.
func dropCR(b []byte, from int) []byte {
	if n := len(b); n > from && b[n-1] == '\r' {
		return b[:n-1]
	}
	return b
}

// broken gives up on a row and goes on with the line after the one where it
// starts.
func (in *records) broken(line int, want string) ([][]byte, int, string, error) {
	in.bad = append([]byte(nil), in.buf[in.start:min(in.end, in.start+64)]...)
	if k := bytes.IndexByte(in.bad, '\n'); k >= 0 {
		in.bad = in.bad[:k]
	}
	in.line = line
	return nil, line, want, in.skipLine()
}
