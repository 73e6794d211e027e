package document

import (
	"bytes"
	"fmt"
	"io"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"midcase/say"
)

// The page, in mm: a column of text and a wide outer margin for notes and the
// numbers of what a figure rests on.
const (
	pageW, pageH = 210.0, 297.0
	leftX        = 20.0
	bodyW        = 128.0
	noteX        = 155.0
	noteW        = 39.0
	rightX       = noteX + noteW
	topY         = 27.0
	bottomY      = 277.0
)

type colour struct{ r, g, b int }

// Ink on paper, the blue of tempered steel, and aged cream.
var (
	ink        = colour{30, 28, 25}
	soft       = colour{92, 86, 78}
	hair       = colour{196, 190, 180}
	steel      = colour{36, 68, 120}
	steelPale  = colour{213, 222, 236}
	steelLight = colour{193, 207, 228}
	steelSoft  = colour{168, 187, 216}
	steelMid   = colour{150, 172, 206}
	cream      = colour{226, 200, 146}
	creamPale  = colour{247, 239, 222}
	paper      = colour{255, 255, 255}
)

// The five sizes.
var (
	faceTitle   = face{serif, 23, ink}
	faceHeading = face{serif, 15, ink}
	faceLead    = face{serif, 15, ink}
	faceFinding = face{serif, 12, ink}
	faceText    = face{serif, 10.5, ink}
	faceTable   = face{sans, 8, ink}
	faceStrong  = face{sansBold, 8, ink}
	faceHead    = face{sans, 7, soft}
	faceSub     = face{sans, 7, soft}
	faceNote    = face{sans, 7, steel}
	faceSmall   = face{sans, 7, soft}
	faceKicker  = face{sansBold, 8, steel}
)

func (f face) in(c colour) face          { f.ink = c; return f }
func (f face) as(t typeface) face        { f.typeface = t; return f }
func (f face) leading(k float64) float64 { return f.size * mmPerPoint * k }

// sheet writes pages from top to bottom. y is where the next thing goes.
type sheet struct {
	pdf     *fpdf.Fpdf
	y       float64
	current face
	pics    shelf
	in      tongue // of the words that a sheet puts itself

	contentsY float64 // where the contents stand on the first page; 0 for nowhere
	contents  []entry // sections as they were set
	notes     []spot  // citations, to be linked to the list at the end
}

// entry is a section with the page that it begins on.
type entry struct {
	id, title string
	page      int
	y         float64
}

// spot is a place on a page.
type spot struct {
	page       int
	x, y, w, h float64
}

func newSheet() *sheet {
	pdf := fpdf.New("P", "mm", "A4", "")
	pdf.SetAutoPageBreak(false, 0)
	pdf.SetMargins(leftX, topY, pageW-rightX)
	pdf.SetCatalogSort(true)
	return &sheet{pdf: pdf, in: english}
}

func (s *sheet) page() {
	s.pdf.AddPage()
	s.current = face{}
	s.y = topY
}

// room starts a new page unless h mm are left on this one.
func (s *sheet) room(h float64) {
	if s.y+h > bottomY && s.y > topY+1e-6 {
		s.page()
	}
}

func (s *sheet) left() float64 { return bottomY - s.y }

func (s *sheet) use(f face) {
	if s.current == f {
		return
	}
	if s.current.typeface != f.typeface || s.current.size != f.size {
		setFont(s.pdf, f.typeface, f.size)
	}
	s.pdf.SetTextColor(f.ink.r, f.ink.g, f.ink.b)
	s.current = f
}

// put writes one line with its baseline at y, aligned in w.
func (s *sheet) put(x, y, w float64, l line, a align) {
	switch a {
	case right:
		x += w - l.width
	case centre:
		x += (w - l.width) / 2
	}
	for _, p := range l.visual().pieces {
		s.use(p.face)
		s.pdf.Text(x, y, p.text)
		x += p.face.width(p.text)
	}
}

// label writes a short text in one line; a text too long for w is cut with dots.
func (s *sheet) label(x, y, w float64, f face, text string, a align) {
	lines := wrap(w, setIn(f, text)...)
	if len(lines) == 0 {
		return
	}
	l := lines[0]
	if len(lines) > 1 {
		l = wrap(w-f.width("…"), setIn(f, text)...)[0]
		l.add(spanOf{"…", f}, f.width("…"))
	}
	s.put(x, y, w, l, a)
}

// lines writes set lines from y down and gives the y below them.
func (s *sheet) lines(x, y, w float64, ls []line, lead float64, a align) float64 {
	for _, l := range ls {
		y += lead
		s.put(x, y-0.28*lead, w, l, a)
	}
	return y
}

// fresh makes the next text name its font, on a page that was left and is taken up
// again: the library names a font only where it changes.
func (s *sheet) fresh() {
	setFont(s.pdf, sans, 5)
	s.current = face{}
}

func (s *sheet) stroke(c colour, width float64) {
	s.pdf.SetDrawColor(c.r, c.g, c.b)
	s.pdf.SetLineWidth(width)
}

func (s *sheet) fill(c colour) { s.pdf.SetFillColor(c.r, c.g, c.b) }

func (s *sheet) rule(y float64, c colour, width, to float64) {
	s.stroke(c, width)
	s.pdf.Line(leftX, y, to, y)
}

// text writes a paragraph that breaks across pages, never leaving one line of it
// alone on a page where it has more than two.
func (s *sheet) text(f face, lead float64, w float64, text string, cites string) {
	ls := wrap(w, setIn(f, text)...)
	h := f.leading(lead)
	if len(ls) == 0 {
		return
	}
	s.room(h * float64(min(len(ls), 2)))
	noteEnd := s.note(s.y+h, cites)
	for i, l := range ls {
		if s.y+h > bottomY || (i == len(ls)-2 && i > 0 && s.y+2*h > bottomY) {
			s.page()
			noteEnd = 0
		}
		s.y += h
		s.put(leftX, s.y-0.28*h, w, l, left)
	}
	s.y = max(s.y, noteEnd)
}

// note writes what a figure rests on in the outer margin, beside the line that
// ends at y, and gives the y below it.
func (s *sheet) note(y float64, cites string) float64 {
	ls := noteLines(cites)
	if len(ls) == 0 {
		return 0
	}
	h := faceNote.leading(1.3)
	s.mark(y-h, h*float64(len(ls)))
	return s.lines(noteX, y-h-0.25, noteW, ls, h, left)
}

// mark keeps the place of a citation in the margin.
func (s *sheet) mark(y, h float64) {
	s.notes = append(s.notes, spot{s.pdf.PageNo(), noteX, y, noteW, h})
}

// link leads every citation to the list of what the figures rest on, and every
// line of the contents to its section.
func (s *sheet) link(contentsY float64) {
	links := make([]int, len(s.contents))
	for i, e := range s.contents {
		links[i] = s.pdf.AddLink()
		s.pdf.SetLink(links[i], e.y-2, e.page)
		if e.id != "basis" {
			continue
		}
		for _, n := range s.notes {
			s.pdf.SetPage(n.page)
			s.pdf.Link(n.x, n.y, n.w, n.h, links[i])
		}
	}
	if contentsY == 0 {
		return
	}
	s.pdf.SetPage(1)
	s.fresh()
	const columns = 3
	rows := contentsRows(len(s.contents))
	w := (rightX - leftX) / columns
	for i, e := range s.contents {
		x, y := leftX+w*float64(i/rows), contentsY+contentsLead*float64(i%rows+1)
		s.label(x, y, 5, faceTable.in(soft), fmt.Sprint(e.page), right)
		s.label(x+7.5, y, w-10, faceTable, e.title, left)
		s.pdf.Link(x, y-contentsLead+1, w-4, contentsLead, links[i])
	}
}

const contentsLead = 4.4

func contentsRows(n int) int { return max(1, (n+2)/3) }

func noteLines(cites string) []line {
	if cites == "" {
		return nil
	}
	return wrap(noteW, setIn(faceNote, "["+cites+"]")...)
}

// finish writes the running heads, which need the number of pages, and the file.
func (s *sheet) finish(w io.Writer, r Report, f front) error {
	n := s.pdf.PageCount()
	s.link(s.contentsY)
	for i := 1; i <= n; i++ {
		s.pdf.SetPage(i)
		s.fresh()
		if i > 1 {
			s.label(leftX, 15, bodyW, faceSmall, f.kind+" · "+f.title, left)
		}
		page, foot := f.in.String(say.That("report.page", say.Name("file", orDash(r.Number)), say.Count("n", i),
			say.Count("of", n))), footWords(f.in, r)
		if f.words != nil {
			page, foot = f.words.page(i, n), f.words.foot
		}
		s.label(noteX-20, 15, noteW+20, faceSmall, page, right)
		s.label(leftX, 287, bodyW, faceSmall, foot, left)
	}
	about := info{title: f.kind + ": " + f.title, author: r.Shop.Name, subject: f.sentence, day: r.Issued,
		lang: f.in.language()}
	if f.words != nil {
		about.lang = f.words.lang
	}
	return s.write(w, about, "report "+orDash(r.Number))
}

// info is what a file says of itself. The language is English where there is none.
type info struct {
	title, author, subject, lang string
	day                          time.Time
}

// write writes the file; what names it in errors.
func (s *sheet) write(w io.Writer, about info, what string) error {
	pdf := s.pdf
	pdf.SetTitle(about.title, true)
	pdf.SetAuthor(orElse(about.author, "author not stated"), true)
	pdf.SetSubject(about.subject, true)
	pdf.SetCreator("Midcase", true)
	pdf.SetProducer("Midcase", true)
	pdf.SetLang(orElse(about.lang, "en-GB"))
	dated(pdf, about.day)
	var b bytes.Buffer
	if err := pdf.Output(&b); err != nil {
		return fmt.Errorf("%s: %w", what, err)
	}
	if _, err := w.Write(b.Bytes()); err != nil {
		return fmt.Errorf("%s: write: %w", what, err)
	}
	return nil
}

func footWords(in tongue, r Report) string {
	foot := say.That("report.foot", say.Name("issuer", orElse(r.Shop.Name, in.String(say.That("report.no-issuer")))))
	if r.ForShop {
		foot = say.That("report.foot-shop", say.Saying("foot", foot))
	}
	return in.String(foot)
}

// dated puts the day of issue into the file, a fixed one where there is none: the library would put the hour, and
// the same paper would come out differently.
func dated(pdf *fpdf.Fpdf, day time.Time) {
	if day.IsZero() {
		day = targetDay
	}
	pdf.SetCreationDate(day.UTC())
	pdf.SetModificationDate(day.UTC())
}
