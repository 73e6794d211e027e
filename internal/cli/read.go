package cli

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"unicode/utf8"

	"midcase/notes"
	"midcase/refbook"
)

type readCmd struct {
	Notes   readNotesCmd   `cmd:"" help:"Read dictated or typed notes on a watch and propose items of evidence. Nothing is recorded."`
	Table   readTableCmd   `cmd:"" help:"Read a stock list, sales, clients or serial numbers from CSV, TSV or XLSX. Nothing is recorded."`
	Invoice readInvoiceCmd `cmd:"" help:"Read an e-invoice (EN 16931, as UBL or CII) and say what it states and which rules it breaks."`
	Book    readBookCmd    `cmd:"" help:"Read what somebody wrote down about makers and references and propose entries of the book. Nothing is recorded."`
}

type readNotesCmd struct {
	File      string `arg:"" help:"Text file with the notes; - is standard input."`
	Book      string `help:"Folder of the book; the shop's book if not given." type:"existingdir" placeholder:"DIR"`
	Maker     string `help:"Maker of the watch, by id or name; found in the notes if not given."`
	Reference string `help:"Reference of the watch; found in the notes if not given."`
	JSON      bool   `name:"json" help:"Print JSON."`
}

// maxNotes is the longest text read: some hundred pages.
const maxNotes = 1 << 20

// Run prints what the notes propose.
func (c readNotesCmd) Run(a *app) error {
	text, err := a.readText(c.File)
	if err != nil {
		return err
	}
	book, err := a.bookOf(c.Book)
	if err != nil {
		return err
	}
	own, err := a.ownWords()
	if err != nil {
		return err
	}
	opt := notes.Options{Book: book, Maker: c.Maker, Reference: c.Reference, Year: a.now().Year(), Own: own}
	if err := named(book, c.Maker, c.Reference); err != nil {
		return err
	}
	if lots := notes.ReadLots(text, opt); lots != nil {
		if c.JSON {
			return a.printJSON(map[string][]notes.Lot{"lots": lots})
		}
		for _, l := range lots {
			fmt.Fprintf(a.out, "%s\n", a.bold(fmt.Sprintf("Lot %d: %s", l.Lot, titleOf(l.Reading))))
			a.printReading(l.Reading)
		}
		return nil
	}
	r := notes.Read(text, opt)
	if c.JSON {
		return a.printJSON(r)
	}
	fmt.Fprintln(a.out, a.bold(titleOf(r)))
	a.printReading(r)
	return nil
}

// bookOf loads the book of a folder, or the shop's where none is given.
func (a *app) bookOf(dir string) (*refbook.Book, error) {
	if dir != "" {
		return refbook.LoadDir(dir)
	}
	return loadBook(filepath.Join(a.shop, bookFolder))
}

// ownWords are the words of the shop's own, where a shop was named and is there.
func (a *app) ownWords() ([]notes.Own, error) {
	if a.shop == "" || !exists(filepath.Join(a.shop, storeFile)) && os.Getenv(storeURLVariable) == "" {
		return nil, nil
	}
	s, err := a.open(false)
	if err != nil {
		return nil, err
	}
	defer s.close()
	return s.Intake.Own(a.ctx)
}

// named refuses a maker or reference that the book does not have.
func named(book *refbook.Book, maker, reference string) error {
	if maker == "" {
		return nil
	}
	m, ok := book.Maker(maker)
	if !ok {
		return wrong("the book has no maker %q", maker)
	}
	if reference == "" {
		return nil
	}
	if _, ok := m.Reference(reference); !ok {
		return wrong("the book has no reference %q of %s", reference, m.Name)
	}
	return nil
}

// readText reads a text file, or standard input where the name is -.
func (a *app) readText(name string) (string, error) {
	in := a.in
	if name != "-" {
		f, err := os.Open(name)
		if err != nil {
			return "", err
		}
		defer f.Close()
		in = f
	}
	b, err := io.ReadAll(io.LimitReader(in, maxNotes+1))
	if err != nil {
		return "", fmt.Errorf("%s: %w", name, err)
	}
	if len(b) > maxNotes {
		return "", wrong("%s is longer than 1 MB; notes on one watch are a few pages", name)
	}
	if !utf8.Valid(b) {
		return "", wrong("%s is not UTF-8 text; save it as UTF-8", name)
	}
	return strings.TrimPrefix(string(b), "\ufeff"), nil
}

func titleOf(r notes.Reading) string {
	switch {
	case r.Maker == "":
		return "Maker and reference were not found in the notes"
	case r.Reference == "":
		return r.Maker + ", reference not found in the notes"
	}
	return r.Maker + " " + r.Reference
}

// printReading prints proposals with the words that they stand on.
func (a *app) printReading(r notes.Reading) {
	for _, it := range r.Items {
		b, err := json.Marshal(it.Data)
		if err != nil {
			continue
		}
		fmt.Fprintf(a.out, "  %s %s\n      from “%s”\n", it.Data.Kind(), b, it.Text)
	}
	for _, q := range r.Questions {
		fmt.Fprintf(a.out, "  Please say: %s (“%s”)\n", q.About, q.Text)
	}
	for _, u := range r.Unread {
		fmt.Fprintf(a.out, "  Not read: “%s”\n", u.Text)
	}
}

type readBookCmd struct {
	File  string `arg:"" help:"Text file in which somebody wrote about makers and references; - is standard input."`
	Maker string `help:"Maker that the text is about, where it does not say." placeholder:"NAME"`
	JSON  bool   `name:"json" help:"Print JSON."`
}

// Run prints what the text says of references.
func (c readBookCmd) Run(a *app) error {
	text, err := a.readText(c.File)
	if err != nil {
		return err
	}
	r := notes.ReadBook(text, c.Maker)
	if c.JSON {
		return a.printJSON(r)
	}
	for _, m := range r.Makers {
		fmt.Fprintln(a.out, a.bold(m.Name))
		for _, ref := range m.References {
			a.printReference(ref)
		}
		if len(m.Serials) > 0 {
			fmt.Fprintln(a.out, "Numbers:")
		}
		for _, s := range m.Serials {
			fmt.Fprintf(a.out, "  %d: %s, give or take %d months\n", s.Number, s.Month, s.PlusMinusMonths)
		}
	}
	if len(r.Unread) > 0 {
		fmt.Fprintln(a.out, "Not read:")
	}
	for _, u := range r.Unread {
		fmt.Fprintf(a.out, "  %s\n", u.Text)
	}
	return nil
}

// printReference prints what was understood of one reference, a line a fact.
func (a *app) printReference(ref notes.BookReference) {
	fmt.Fprintf(a.out, "%s\n", ref.ID)
	if ref.Made != nil {
		fmt.Fprintf(a.out, "  made %s\n", ref.Made.Value)
	}
	for _, m := range ref.Metals {
		fmt.Fprintf(a.out, "  %s%s\n", m.Value, assumed(m.Ground))
	}
	for _, c := range ref.Calibres {
		fmt.Fprintf(a.out, "  calibre %s\n", c.Value)
	}
	for _, d := range ref.Dimensions {
		fmt.Fprintf(a.out, "  %s %g mm%s\n", strings.ReplaceAll(d.What, "_", " "), d.MM, assumed(d.Ground))
	}
	for _, s := range ref.Slots {
		for _, v := range s.Variants {
			when := v.Supplied
			for _, w := range v.Windows {
				when = w.Made
			}
			fmt.Fprintf(a.out, "  %s: %s, %s%s\n", s.Slot.Name(), v.Name, when, assumed(v.Ground))
		}
	}
}

func assumed(g notes.Ground) string {
	if g.Assumed {
		return " (assumed)"
	}
	return ""
}
