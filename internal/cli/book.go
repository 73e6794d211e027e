package cli

import (
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"midcase/internal/shop"
	"midcase/refbook"
	"midcase/say"
)

type bookCmd struct {
	Check   bookCheckCmd   `cmd:"" help:"Check a reference book strictly; lists everything wrong with file and line."`
	Keep    bookKeepCmd    `cmd:"" help:"Keep files of the shop's book that were edited by hand as their newest versions."`
	Compare bookCompareCmd `cmd:"" help:"Tell the differences between two references, the most telling first."`
	Learn   bookLearnCmd   `cmd:"" help:"Learn from examples seen when each version of a part was fitted, and what that says of the book."`
	Lacks   bookLacksCmd   `cmd:"" help:"List what the book lacks for the watches in stock, what concerns most of them first."`
}

type bookCheckCmd struct {
	Dir  string `arg:"" help:"Folder of the book." type:"existingdir"`
	JSON bool   `name:"json" help:"Print JSON."`
}

// Run checks a book. Everything wrong is listed at once.
func (c bookCheckCmd) Run(a *app) error {
	if err := folder(c.Dir); err != nil {
		return err
	}
	book, err := refbook.LoadDir(c.Dir)
	var problems refbook.Problems
	if err != nil && !errors.As(err, &problems) {
		return err
	}
	if c.JSON {
		if problems == nil {
			problems = refbook.Problems{}
		}
		if err := a.printJSON(problems); err != nil {
			return err
		}
	} else {
		for _, p := range problems {
			fmt.Fprintln(a.out, p)
		}
	}
	if len(problems) > 0 {
		return fmt.Errorf("%s: %s", c.Dir, count(len(problems), "problem"))
	}
	if !c.JSON {
		references := 0
		for _, m := range book.Makers {
			references += len(m.References)
		}
		fmt.Fprintf(a.out, "%s is in order: %s, %s\n", c.Dir, count(len(book.Makers), "maker"),
			count(references, "reference"))
	}
	return nil
}

type bookLacksCmd struct {
	JSON bool `name:"json" help:"Print JSON."`
}

// Run lists what the book lacks.
func (c bookLacksCmd) Run(a *app) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	all, err := s.Desk.Lacks(a.ctx)
	if err != nil {
		return err
	}
	type row struct {
		Says      string `json:"says"`
		Watches   int    `json:"watches"`
		Maker     string `json:"maker"`
		Reference string `json:"reference,omitempty"`
	}
	rows := make([]row, len(all))
	for i, l := range all {
		rows[i] = row{plain().String(l.Says), l.Watches, l.Maker, l.Reference}
	}
	if c.JSON {
		return a.printJSON(rows)
	}
	for _, r := range rows {
		fmt.Fprintln(a.out, r.Says)
	}
	if len(rows) == 0 {
		fmt.Fprintln(a.out, "Nothing that would tell more of the watches in stock.")
	}
	return nil
}

type bookKeepCmd struct{}

// Run keeps what was changed outside the program.
func (bookKeepCmd) Run(a *app) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	kept, err := s.keepBook(a, true)
	if err != nil {
		return err
	}
	if len(kept) == 0 {
		_, err = fmt.Fprintln(a.out, "Nothing to keep: every file is as its newest version.")
		return err
	}
	_, err = fmt.Fprintf(a.out, "kept: %s\n", strings.Join(kept, ", "))
	return err
}

// keepBook keeps files of the book as versions; two programs do not do it at once. A book that does not load is not
// kept: the versions are what it is mended from.
func (o *opened) keepBook(a *app, changed bool) (kept []string, err error) {
	if err := o.BookProblem(a.ctx); err != nil {
		return nil, fmt.Errorf("the book is not kept until it is corrected: %w", err)
	}
	err = o.store.EditBook(a.ctx, func() error {
		note := shop.BookNote{At: a.now(), By: user(""), Why: "as it was found in the folder"}
		kept, err = o.book.Keep(a.ctx, note, changed)
		return err
	})
	return kept, err
}

type bookCompareCmd struct {
	A    string `arg:"" help:"A reference, as MAKER/REFERENCE, or the number alone where it is unique."`
	B    string `arg:"" help:"The other reference."`
	Book string `help:"Folder of the book; default the shop's." type:"existingdir" placeholder:"DIR"`
	JSON bool   `name:"json" help:"Print JSON."`
}

// Run compares two references.
func (c bookCompareCmd) Run(a *app) error {
	dir := c.Book
	if dir == "" {
		folder, err := a.shopFolder()
		if err != nil {
			return err
		}
		dir = filepath.Join(folder, bookFolder)
	}
	book, err := loadBook(dir)
	if err != nil {
		return err
	}
	makerA, refA, err := resolve(book, c.A)
	if err != nil {
		return err
	}
	makerB, refB, err := resolve(book, c.B)
	if err != nil {
		return err
	}
	cmp, err := refbook.Compare(book, makerA, refA, makerB, refB)
	if err != nil {
		return err
	}
	if c.JSON {
		return a.printJSON(cmp)
	}
	if err := a.differences(cmp, makerA+" "+refA, makerB+" "+refB); err != nil {
		return err
	}
	if len(cmp.Same) > 0 {
		_, err = fmt.Fprintf(a.out, "\nThe same: %s\n", strings.Join(say.Strings(cmp.Same), ", "))
	}
	return err
}

// differences prints each difference as a heading with the two sides beneath, for a
// side may be long.
func (a *app) differences(cmp refbook.Comparison, nameA, nameB string) error {
	w := max(len(nameA), len(nameB))
	for _, d := range cmp.Differences {
		if _, err := fmt.Fprintf(a.out, "%s  (%s)\n  %-*s  %s\n  %-*s  %s\n", a.bold(d.Feature), d.Why, w, nameA,
			orElse(d.A, "–"), w, nameB, orElse(d.B, "–")); err != nil {
			return err
		}
	}
	return nil
}

// resolve finds MAKER/REFERENCE, or a reference number that one maker alone has.
func resolve(book *refbook.Book, text string) (maker, reference string, err error) {
	if m, r, ok := strings.Cut(text, "/"); ok {
		mk, ref, found := book.Reference(m, r)
		if !found {
			return "", "", fmt.Errorf("the book has no reference %q; 'midcase book check' counts what it has", text)
		}
		return mk.ID, ref.ID, nil
	}
	var found [][2]string
	for i := range book.Makers {
		if ref, ok := book.Makers[i].Reference(text); ok {
			found = append(found, [2]string{book.Makers[i].ID, ref.ID})
		}
	}
	switch len(found) {
	case 0:
		return "", "", fmt.Errorf("the book has no reference %q", text)
	case 1:
		return found[0][0], found[0][1], nil
	}
	names := make([]string, len(found))
	for i, f := range found {
		names[i] = f[0] + "/" + f[1]
	}
	return "", "", wrong("more than one maker has a reference %s: give one of %s", text, strings.Join(names, ", "))
}
