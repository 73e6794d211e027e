package web

import (
	"context"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"midcase/internal/shop"
	"midcase/internal/shop/desk"
	"midcase/internal/web/pages/book"
	"midcase/internal/web/pages/terms"
	"midcase/refbook"
)

// bookPages show the reference book and the terms of the trade.
type bookPages struct{ *site }

func (s *bookPages) routes(mux *http.ServeMux) {
	mux.Handle("GET /book", s.page(s.bookPage))
	mux.Handle("GET /book/{maker}/{reference}", s.page(s.bookEntryPage))
	mux.Handle("GET /book/{maker}", s.page(s.bookMakerPage))
	mux.Handle("GET /book-difference", s.page(s.bookDifferencePage))
	mux.Handle("GET /book-lacks", s.page(s.lacksPage))
	mux.Handle("GET /terms", s.page(s.termsPage))
}

func (s *bookPages) bookPage(w http.ResponseWriter, r *http.Request) error {
	return book.IndexPage(book.Index{Frame: s.frame("book", "Reference book"),
		Book: s.shop.Book(r.Context())}).Render(r.Context(), w)
}

func (s *bookPages) bookEntryPage(w http.ResponseWriter, r *http.Request) error {
	maker, ref, ok := s.shop.Book(r.Context()).Reference(r.PathValue("maker"), r.PathValue("reference"))
	if !ok {
		return fmt.Errorf("reference %s/%s: %w", r.PathValue("maker"), r.PathValue("reference"), shop.ErrNotFound)
	}
	d := book.Entry{Frame: s.frame("book", maker.Name+" "+ref.ID), Maker: maker, Reference: ref}
	if err := s.examples(r.Context(), &d); err != nil {
		return err
	}
	return book.EntryPage(d).Render(r.Context(), w)
}

// examplesShown is how many examples the page of a reference lists.
const examplesShown = 40

// examples fills in the watches of the reference, the reference example first.
func (s *bookPages) examples(ctx context.Context, d *book.Entry) error {
	var err error
	if d.Example, _, err = s.shop.Intake.ReferenceExample(ctx, d.Maker.Name, d.Reference.ID); err != nil {
		return err
	}
	all, err := s.shop.Desk.Briefs(ctx, shop.Filter{Maker: d.Maker.Name, Reference: d.Reference.ID,
		Limit: 4 * examplesShown})
	if err != nil {
		return err
	}
	if i := slices.IndexFunc(all, func(b desk.Brief) bool { return b.Watch.ID == d.Example }); i > 0 {
		first := all[i]
		all = slices.Insert(slices.Delete(all, i, i+1), 0, first)
	}
	d.Examples = all[:min(len(all), examplesShown)]
	d.More = len(all) - len(d.Examples)
	return nil
}

// bookMakerPage shows all that the book holds of a maker.
func (s *bookPages) bookMakerPage(w http.ResponseWriter, r *http.Request) error {
	maker, ok := s.shop.Book(r.Context()).Maker(r.PathValue("maker"))
	if !ok {
		return fmt.Errorf("maker %q: %w", r.PathValue("maker"), shop.ErrNotFound)
	}
	return book.OfMaker(book.MakerPage{Frame: s.frame("book", maker.Name), Maker: maker}).Render(r.Context(), w)
}

func (s *bookPages) bookDifferencePage(w http.ResponseWriter, r *http.Request) error {
	if r.FormValue("a") == "" && r.FormValue("b") == "" {
		http.Redirect(w, r, "/book", http.StatusSeeOther) // nothing was chosen yet
		return nil
	}
	d := book.Difference{Frame: s.frame("book", "Difference"), Book: s.shop.Book(r.Context()), A: r.FormValue("a"),
		B: r.FormValue("b")}
	makerA, refA, okA := s.entry(r.Context(), d.A)
	makerB, refB, okB := s.entry(r.Context(), d.B)
	if !okA || !okB {
		return fmt.Errorf("reference %q or %q: %w", d.A, d.B, shop.ErrNotFound)
	}
	found, err := refbook.Compare(d.Book, makerA.ID, refA.ID, makerB.ID, refB.ID)
	if err != nil {
		return err
	}
	d.NameA, d.NameB, d.Found = makerA.Name+" "+refA.ID, makerB.Name+" "+refB.ID, found
	return book.DifferencePage(d).Render(r.Context(), w)
}

// entry resolves a path such as corvane/KR-1.
func (s *bookPages) entry(ctx context.Context, path string) (*refbook.Maker, *refbook.Reference, bool) {
	m, r, _ := strings.Cut(path, "/")
	return s.shop.Book(ctx).Reference(m, r)
}

// lacksPage says what the book lacks for this stock.
func (s *bookPages) lacksPage(w http.ResponseWriter, r *http.Request) error {
	all, err := s.shop.Desk.Lacks(r.Context())
	if err != nil {
		return err
	}
	return book.LacksPage(book.Lacks{Frame: s.frame("book", "What the book lacks"), All: all}).Render(r.Context(), w)
}

func (s *bookPages) termsPage(w http.ResponseWriter, r *http.Request) error {
	return terms.Page(s.frame("terms", "Terms")).Render(r.Context(), w)
}
