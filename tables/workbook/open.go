package workbook

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"path"
	"strconv"
	"strings"
)

// MaxUnpacked bounds what the parts of a workbook that are read may unpack to together.
const MaxUnpacked = 1 << 30

// MaxCells bounds the cells of all sheets, empty ones before a filled one included.
const MaxCells = 1_500_000

// Book is a workbook.
type Book struct {
	Sheets   []*Sheet
	From1904 bool // its days count from 1904
	Macros   bool // it holds macros; they were not looked at
	Linked   bool // some of its formulas look into other files; these were not looked at

	most     int64 // of what is unpacked
	rows     int   // of each sheet; 0 for all
	files    map[string]*zip.File
	unpacked int64
	cells    int
	strings  []string
	styles   []shown
}

// Sheet is one sheet of a workbook.
type Sheet struct {
	Name   string
	Hidden bool
	Rows   []Row // those in which something stands

	part string
}

// Row is a row of cells with its number in the sheet, from 1.
type Row struct {
	Line  int
	Cells []string
	// Cells that are numbers, and numbers shown as days, a bit for each of the first 64.
	Numbers, Days uint64
}

// Refused says why a file is not read and what to do.
type Refused struct{ Why string }

// Error is the reason.
func (r Refused) Error() string { return r.Why }

func refuse(format string, args ...any) error { return Refused{fmt.Sprintf(format, args...)} }

// Open reads a workbook.
func Open(data io.ReaderAt, size int64) (*Book, error) { return OpenHead(data, size, 0) }

// OpenHead reads no more than some rows of each sheet; 0 reads all.
func OpenHead(data io.ReaderAt, size int64, rows int) (*Book, error) {
	z, err := zip.NewReader(data, size)
	if err != nil {
		return nil, damaged(err)
	}
	return read(z, MaxUnpacked, rows)
}

// read reads a workbook of which no more than most is unpacked.
func read(z *zip.Reader, most int64, rows int) (*Book, error) {
	b := &Book{most: most, rows: rows, files: make(map[string]*zip.File, len(z.File))}
	for _, f := range z.File {
		b.files[strings.ToLower(strings.TrimPrefix(f.Name, "/"))] = f
	}
	if err := b.known(); err != nil {
		return nil, err
	}
	if err := b.read(); err != nil {
		return nil, damaged(err)
	}
	return b, nil
}

// OpenBytes reads a workbook that is held in memory.
func OpenBytes(data []byte) (*Book, error) { return Open(bytes.NewReader(data), int64(len(data))) }

// errEnough ends the reading of a sheet of which no more is wanted.
var errEnough = errors.New("enough")

// others are files that are packed like a workbook, by a part that each has.
var others = []struct{ part, is, todo string }{
	{"xl/workbook.bin", "a binary workbook (.xlsb)", "save it as .xlsx or CSV"},
	{"content.xml", "an OpenDocument file (.ods)", "save it as .xlsx or CSV"},
	{"index/document.iwa", "a workbook of a kind that is not read (.numbers)", "export it as .xlsx or CSV"},
	{"index.zip", "a workbook of a kind that is not read (.numbers)", "export it as .xlsx or CSV"},
	{"word/document.xml", "a text document (.docx)", "copy its table into a spreadsheet and save that as .xlsx or CSV"},
	{"ppt/presentation.xml", "a presentation (.pptx)", "copy its table into a spreadsheet and save that as .xlsx or CSV"},
	{"encryptedpackage", "locked with a password", "save it without one"},
}

// known refuses what is packed like a workbook and is none.
func (b *Book) known() error {
	for _, o := range others {
		if b.files[o.part] != nil {
			return refuse("this is %s; %s", o.is, o.todo)
		}
	}
	if b.files["xl/workbook.xml"] == nil && b.files["_rels/.rels"] == nil {
		return refuse("this is a packed folder (.zip) and no workbook; unpack it and bring in the files in it")
	}
	const encrypted = 1
	for _, f := range b.files {
		if f.Flags&encrypted != 0 {
			return refuse("the workbook is locked with a password; save it without one")
		}
	}
	return nil
}

// damaged says what to do with a workbook that cannot be read to its end.
func damaged(err error) error {
	var r Refused
	if errors.As(err, &r) {
		return err
	}
	return refuse("the workbook is damaged or was not sent whole (%v); save it again as .xlsx, or as CSV", err)
}

// part opens a part; nil where the workbook has none of the name. What it unpacks to
// counts, whatever the file says of it.
func (b *Book) part(name string) (io.ReadCloser, error) {
	f := b.files[strings.ToLower(name)]
	if f == nil {
		return nil, nil
	}
	if f.UncompressedSize64 > uint64(b.most) {
		return nil, b.tooLarge()
	}
	r, err := f.Open()
	if err != nil {
		return nil, err
	}
	return &counted{r, b}, nil
}

func (b *Book) tooLarge() error {
	return refuse("the workbook unpacks to more than %d MB, which no list of watches needs; save the one sheet as CSV",
		b.most>>20)
}

// counted counts what is unpacked.
type counted struct {
	io.ReadCloser
	book *Book
}

func (c *counted) Read(p []byte) (int, error) {
	n, err := c.ReadCloser.Read(p)
	if c.book.unpacked += int64(n); c.book.unpacked > c.book.most {
		return n, c.book.tooLarge()
	}
	return n, err
}

// each goes over the tags of a part; a part that is missing has none.
func (b *Book) each(name string, tag func(*scanner) error) error {
	r, err := b.part(name)
	if err != nil || r == nil {
		return err
	}
	defer r.Close()
	s := newScanner(r)
	for {
		switch err := s.next(); {
		case errors.Is(err, io.EOF):
			return nil
		case err != nil:
			return fmt.Errorf("%s: %w", name, err)
		}
		if err := tag(s); err != nil {
			return err
		}
	}
}

// links are the relations of a part: targets by id, and by the last word of their type.
func (b *Book) links(of string) (byID, byType map[string]string, err error) {
	byID, byType = map[string]string{}, map[string]string{}
	err = b.each(path.Join(path.Dir(of), "_rels", path.Base(of)+".rels"), func(s *scanner) error {
		if !s.is("Relationship") || s.attrString("TargetMode") == "External" {
			return nil
		}
		target := s.attrString("Target")
		if strings.HasPrefix(target, "/") {
			target = target[1:]
		} else {
			target = path.Join(path.Dir(of), target)
		}
		kind := path.Base(s.attrString("Type"))
		byType[kind] = target
		if kind != "chartsheet" {
			byID[s.attrString("Id")] = target
		}
		return nil
	})
	return byID, byType, err
}

// read reads all that holds cells.
func (b *Book) read() error {
	_, root, err := b.links("")
	if err != nil {
		return err
	}
	main := root["officeDocument"]
	if main == "" {
		main = "xl/workbook.xml"
	}
	byID, byType, err := b.links(main)
	if err != nil {
		return err
	}
	for name := range b.files {
		b.Macros = b.Macros || path.Base(name) == "vbaproject.bin"
		b.Linked = b.Linked || strings.Contains(name, "externallinks/")
	}
	if err := b.list(main, byID); err != nil {
		return err
	}
	if err := b.readStyles(byType["styles"]); err != nil {
		return err
	}
	if err := b.readStrings(byType["sharedStrings"]); err != nil {
		return err
	}
	for _, s := range b.Sheets {
		if err := b.readSheet(s); err != nil {
			return err
		}
	}
	b.strings, b.files = nil, nil
	return nil
}

// list lists the sheets.
func (b *Book) list(main string, parts map[string]string) error {
	err := b.each(main, func(s *scanner) error {
		switch {
		case s.is("workbookPr"):
			v := s.attrString("date1904")
			b.From1904 = v == "1" || v == "true"
		case s.is("sheet"):
			if part := parts[s.attrString("id")]; part != "" {
				b.Sheets = append(b.Sheets, &Sheet{Name: s.attrString("name"), part: part,
					Hidden: strings.HasSuffix(strings.ToLower(s.attrString("state")), "hidden")})
			}
		}
		return nil
	})
	if err == nil && len(b.Sheets) == 0 {
		return refuse("the workbook has no sheet of cells; save the list as .xlsx or CSV")
	}
	return err
}

// readStyles notes which formats of cells show days.
func (b *Book) readStyles(part string) error {
	if part == "" {
		return nil
	}
	own, inCells := map[int]shown{}, false
	return b.each(part, func(s *scanner) error {
		switch {
		case s.is("numFmt"):
			id, err := strconv.Atoi(s.attrString("numFmtId"))
			if err == nil {
				own[id] = formatShows(s.attrString("formatCode"))
			}
		case s.is("cellXfs"):
			inCells = true
		case s.ends("cellXfs"):
			inCells = false
		case s.is("xf") && inCells:
			id, _ := strconv.Atoi(s.attrString("numFmtId"))
			as, is := own[id]
			if !is {
				as = builtIn(id)
			}
			b.styles = append(b.styles, as)
		}
		return nil
	})
}

// readStrings reads the texts that cells share, all into one piece of memory.
func (b *Book) readStrings(part string) error {
	if part == "" {
		return nil
	}
	var all []byte
	var ends []int
	silent := false
	err := b.each(part, func(s *scanner) error {
		switch {
		case s.is("rPh"):
			silent = !s.empty // how a text is pronounced
		case s.ends("rPh"):
			silent = false
		case s.end && string(s.name) == "t" && !silent:
			all = unescaped(all, s.text)
		case s.ends("si"):
			ends = append(ends, len(all))
		}
		if len(all) > maxText || len(ends) > MaxCells {
			return tooMany()
		}
		return nil
	})
	if err != nil {
		return err
	}
	whole, from := string(all), 0
	b.strings = make([]string, len(ends))
	for i, to := range ends {
		b.strings[i], from = whole[from:to], to
	}
	return nil
}
