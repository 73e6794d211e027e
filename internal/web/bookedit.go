package web

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"github.com/rogpeppe/go-internal/diff"

	"midcase/evidence"
	"midcase/internal/bookdir"
	"midcase/internal/shop"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/bookedit"
	"midcase/internal/web/pages/watch"
	"midcase/refbook"
)

// bookEditor lets a dealer correct the reference book.
type bookEditor struct{ *site }

func (s *bookEditor) routes(mux *http.ServeMux) {
	mux.Handle("GET /book-edit", s.page(s.newMakerPage))
	mux.Handle("POST /book-edit", s.page(s.saveNewMaker))
	mux.Handle("GET /book-edit/{maker}", s.page(s.bookEditPage))
	mux.Handle("POST /book-edit/{maker}", s.page(s.saveBookText))
	mux.Handle("POST /book-edit/{maker}/variant", s.page(s.addVariant))
	mux.Handle("POST /book-edit/{maker}/anchor", s.page(s.addAnchor))
	mux.Handle("GET /book-versions/{maker}", s.page(s.bookVersions))
	mux.Handle("GET /book-versions/{maker}/{n}", s.page(s.bookVersions))
	mux.Handle("POST /book-versions/{maker}/{n}", s.page(s.restoreBook))
}

// bookFile is a maker with the text of the file that stands for it now.
type bookFile struct {
	maker *refbook.Maker
	name  string
	text  string
}

func (s *bookEditor) bookFile(r *http.Request) (bookFile, error) {
	maker, ok := s.shop.Book(r.Context()).Maker(r.PathValue("maker"))
	if !ok {
		return bookFile{}, fmt.Errorf("maker %q: %w", r.PathValue("maker"), shop.ErrNotFound)
	}
	files, err := s.shop.Library.BookFiles(r.Context())
	if err != nil {
		return bookFile{}, err
	}
	f := bookFile{maker: maker, name: maker.ID + ".yaml"}
	text, ok := files[f.name]
	if !ok {
		return bookFile{}, fmt.Errorf("file %s of the book: %w; rename the maker's file to it", f.name,
			shop.ErrNotFound)
	}
	f.text = string(text)
	return f, nil
}

func (f bookFile) sum() string { return bookdir.Sum([]byte(f.text)) }

// part is the text of a reference with its first and last line; the whole file where
// no part is named.
func (f bookFile) part(reference string) (text string, first, last int, err error) {
	lines := strings.Split(f.text, "\n")
	if reference == "" {
		return f.text, 1, len(lines), nil
	}
	first, last, ok := refbook.Section([]byte(f.text), reference)
	if !ok {
		return "", 0, 0, fmt.Errorf("reference %s in %s: %w", reference, f.name, shop.ErrNotFound)
	}
	return strings.Join(lines[first-1:last], "\n"), first, last, nil
}

// with is the file's text with another in place of a part.
func (f bookFile) with(text string, first, last int) string {
	lines := strings.Split(f.text, "\n")
	return strings.Join(slices.Concat(lines[:first-1], strings.Split(text, "\n"), lines[last:]), "\n")
}

func (s *bookEditor) bookEditPage(w http.ResponseWriter, r *http.Request) error {
	f, err := s.bookFile(r)
	if err != nil {
		return err
	}
	d := bookedit.Data{Part: r.FormValue("part"), Saved: r.FormValue("saved") != ""}
	if d.Text, _, _, err = f.part(d.Part); err != nil {
		return err
	}
	return s.showEditor(w, r, f, d, http.StatusOK)
}

// showEditor fills in what every state of the editor has.
func (s *bookEditor) showEditor(w http.ResponseWriter, r *http.Request, f bookFile, d bookedit.Data, status int) error {
	d.Maker, d.Base = f.maker, f.sum()
	text, _, _, err := f.part(d.Part)
	if err != nil {
		return err
	}
	d.Was = bookdir.Sum([]byte(text))
	if d.Part == "" && d.Anchor == nil {
		d.Anchor = pairView(r, f.maker)
	}
	if ref, ok := f.maker.Reference(d.Part); ok && d.Variant == nil {
		d.Variant = versionView(r, ref)
	}
	if d.Reason == nil {
		d.Reason = &reasoning.Of(r.Context(), reasonForm{}).View
	}
	d.Frame = s.frame("book", "Edit "+strings.TrimSpace(f.maker.Name+" "+d.Part))
	w.WriteHeader(status)
	return bookedit.Page(d).Render(r.Context(), w)
}

// plainText is a text as the book keeps it: lines end in one character.
func plainText(s string) string { return strings.ReplaceAll(s, "\r\n", "\n") }

func (s *bookEditor) saveBookText(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	f, err := s.bookFile(r)
	if err != nil {
		return err
	}
	reason, err := reasoning.Read(r, reasonForm{})
	if err != nil {
		return err
	}
	d := bookedit.Data{Part: r.PostFormValue("part"), Text: plainText(r.PostFormValue("text")), Reason: &reason.View}
	now, first, last, err := f.part(d.Part)
	if err != nil {
		return err
	}
	// Another part of the file may have changed meanwhile; this one must not.
	if r.PostFormValue("base") != f.sum() && (d.Part == "" || r.PostFormValue("was") != bookdir.Sum([]byte(now))) {
		return s.bookConflict(w, r, f, d)
	}
	if d.Part != "" {
		d.Text = strings.TrimRight(d.Text, "\n")
	}
	whole := f.with(d.Text, first, last)
	if r.PostFormValue("do") == "check" {
		return s.checkBookText(w, r, f, d, whole, first)
	}
	_, err = s.shop.Library.SaveBookFile(ctx, f.name, f.sum(), []byte(whole), reason.V.Why, s.user(ctx))
	switch {
	case errors.Is(err, shop.ErrConflict):
		if f, err = s.bookFile(r); err != nil {
			return err
		}
		return s.bookConflict(w, r, f, d)
	case err != nil:
		return s.bookRefused(w, r, f, d, err, first)
	}
	to := "/book-edit/" + f.maker.ID + "?saved=1"
	if d.Part != "" && stillThere(s.shop.Book(r.Context()), f.maker.ID, d.Part) {
		to += "&part=" + url.QueryEscape(d.Part)
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
	return nil
}

func stillThere(book *refbook.Book, maker, reference string) bool {
	_, _, ok := book.Reference(maker, reference)
	return ok
}

// bookRefused shows the editor with what is wrong with the text or the reason given;
// other errors it returns.
func (s *bookEditor) bookRefused(w http.ResponseWriter, r *http.Request, f bookFile, d bookedit.Data, err error,
	first int) error {
	var problems refbook.Problems
	switch {
	case errors.As(err, &problems):
		d.Problems = bookedit.Shown(problems, f.name, d.Text, first)
	case d.Reason.Refused(err, nil):
	default:
		return err
	}
	return s.showEditor(w, r, f, d, http.StatusUnprocessableEntity)
}

// bookConflict shows what somebody else changed since the text was taken. The text
// stays as it was typed, now upon the newer file.
func (s *bookEditor) bookConflict(w http.ResponseWriter, r *http.Request, f bookFile, d bookedit.Data) error {
	ctx := r.Context()
	d.Theirs = []bookedit.Change{}
	versions, err := s.shop.Library.BookVersions(ctx, f.name)
	if err != nil {
		return err
	}
	for _, v := range slices.Backward(versions) {
		if v.Sum == r.PostFormValue("base") {
			text, _, err := s.shop.Library.BookVersion(ctx, f.name, v.N)
			if err != nil {
				return err
			}
			d.Theirs = bookedit.Changes(diff.Diff("yours", text, "theirs", []byte(f.text)))
			break
		}
	}
	return s.showEditor(w, r, f, d, http.StatusConflict)
}

// checkBookText says whether the book is right with a text, and on which watches the
// opinion would change.
func (s *bookEditor) checkBookText(w http.ResponseWriter, r *http.Request, f bookFile, d bookedit.Data, whole string,
	first int) error {
	ctx := r.Context()
	book, err := s.shop.Library.CheckBookFile(ctx, f.name, []byte(whole))
	if err != nil {
		return s.bookRefused(w, r, f, d, err, first)
	}
	d.Checked = true
	effects, looked, of, err := s.shop.Library.BookEffects(ctx, f.maker.ID, book)
	if err != nil {
		return err
	}
	d.Looked, d.Of = looked, of
	for _, e := range effects {
		d.Effects = append(d.Effects, bookedit.Effect{Watch: e.Watch, Changes: watch.Changes(ctx, e.Before, e.Now)})
	}
	return s.showEditor(w, r, f, d, http.StatusOK)
}

func (s *bookEditor) addVariant(w http.ResponseWriter, r *http.Request) error {
	f, err := s.bookFile(r)
	if err != nil {
		return err
	}
	part := r.PostFormValue("part")
	ref, ok := f.maker.Reference(part)
	if !ok {
		return fmt.Errorf("reference %s: %w", part, shop.ErrNotFound)
	}
	q, err := addingVersion.Read(r, versionForm{})
	if err != nil {
		return err
	}
	offerSlots(q, ref)
	v, d := q.V.variant(&q.View), bookedit.Data{Part: part, Quick: "variant", Variant: &q.View}
	if !q.OK() {
		return s.quickRefused(w, r, f, d)
	}
	text, err := refbook.AddVariant([]byte(f.text), part, q.V.Slot, v)
	return s.saveQuick(w, r, f, d, q.V.Why, text, err)
}

func (s *bookEditor) addAnchor(w http.ResponseWriter, r *http.Request) error {
	f, err := s.bookFile(r)
	if err != nil {
		return err
	}
	q, err := addingPair.Read(r, pairForm{})
	if err != nil {
		return err
	}
	offerSeries(q, f.maker)
	d := bookedit.Data{Quick: "anchor", Anchor: &q.View}
	if !q.OK() {
		return s.quickRefused(w, r, f, d)
	}
	text, err := refbook.AddAnchor([]byte(f.text), q.V.Serial, refbook.Anchor{Number: int64(q.V.Number),
		Month: q.V.Month, Source: q.V.Source})
	return s.saveQuick(w, r, f, d, q.V.Why, text, err)
}

// saveQuick saves the text that an addition led to. It is added to the file as it stands
// now: what somebody else added meanwhile stays.
func (s *bookEditor) saveQuick(w http.ResponseWriter, r *http.Request, f bookFile, d bookedit.Data, why string, text []byte,
	err error) error {
	ctx := r.Context()
	var edit *refbook.EditError
	if errors.As(err, &edit) {
		d.Trouble = form.Says(evidence.Problem{Found: edit.Found, Want: edit.Want})
		return s.quickRefused(w, r, f, d)
	}
	if err != nil {
		return err
	}
	_, err = s.shop.Library.SaveBookFile(ctx, f.name, f.sum(), text, why, s.user(ctx))
	var problems refbook.Problems
	if errors.As(err, &problems) {
		d.Trouble = problems.Error()
		return s.quickRefused(w, r, f, d)
	}
	if err != nil {
		return err
	}
	to := "/book-edit/" + f.maker.ID + "?saved=1"
	if d.Part != "" {
		to += "&part=" + url.QueryEscape(d.Part)
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
	return nil
}

func (s *bookEditor) quickRefused(w http.ResponseWriter, r *http.Request, f bookFile, d bookedit.Data) error {
	var err error
	if d.Text, _, _, err = f.part(d.Part); err != nil {
		return err
	}
	return s.showEditor(w, r, f, d, http.StatusUnprocessableEntity)
}

func (s *bookEditor) newMakerPage(w http.ResponseWriter, r *http.Request) error {
	return bookedit.Page(bookedit.Data{Frame: s.frame("book", "A new maker"), Text: bookedit.Template,
		Reason: &reasoning.Of(r.Context(), reasonForm{}).View}).Render(r.Context(), w)
}

func (s *bookEditor) saveNewMaker(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	reason, err := reasoning.Read(r, reasonForm{})
	if err != nil {
		return err
	}
	d := bookedit.Data{Frame: s.frame("book", "A new maker"), Text: plainText(r.PostFormValue("text")),
		Reason: &reason.View}
	m, problems := refbook.ReadMaker("new.yaml", []byte(d.Text))
	name := m.ID + ".yaml"
	if len(problems) == 0 {
		if _, has := s.shop.Book(r.Context()).Maker(m.ID); has {
			problems = refbook.Problems{{File: name, Line: 1, Path: "id", Found: strconv.Quote(m.ID),
				Hint: "the book has this maker; edit its file"}}
		}
	}
	switch {
	case len(problems) > 0:
		err = problems
	case r.PostFormValue("do") == "check":
		_, err = s.shop.Library.CheckBookFile(ctx, name, []byte(d.Text))
		d.Checked = err == nil
	default:
		_, err = s.shop.Library.SaveBookFile(ctx, name, "", []byte(d.Text), reason.V.Why, s.user(ctx))
		if err == nil {
			http.Redirect(w, r, "/book/"+m.ID, http.StatusSeeOther)
			return nil
		}
	}
	var wrong refbook.Problems
	switch {
	case errors.As(err, &wrong):
		d.Problems = bookedit.Shown(wrong, wrong[0].File, d.Text, 1)
	case d.Reason.Refused(err, nil):
	case err != nil:
		return err
	}
	if err != nil {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	return bookedit.Page(d).Render(ctx, w)
}

func (s *bookEditor) bookVersions(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	f, err := s.bookFile(r)
	if err != nil {
		return err
	}
	all, err := s.shop.Library.BookVersions(ctx, f.name)
	if err != nil {
		return err
	}
	d := bookedit.History{Frame: s.frame("book", "Earlier versions of "+f.maker.Name), Maker: f.maker.ID,
		Name: f.maker.Name, InForce: f.sum()}
	d.Versions = slices.Clone(all)
	slices.Reverse(d.Versions)
	if text := r.PathValue("n"); text != "" {
		n, err := strconv.Atoi(text)
		if err != nil {
			return fmt.Errorf("version %q: %w", text, shop.ErrNotFound)
		}
		kept, v, err := s.shop.Library.BookVersion(ctx, f.name, n)
		if err != nil {
			return err
		}
		d.Shown, d.Text = &v, string(kept)
		d.Since = bookedit.Changes(diff.Diff("then", kept, "now", []byte(f.text)))
		var before []byte
		if n > 1 {
			if before, _, err = s.shop.Library.BookVersion(ctx, f.name, n-1); err != nil {
				return err
			}
			d.From = bookedit.Changes(diff.Diff("before", before, "then", kept))
		}
	}
	return bookedit.Versions(d).Render(ctx, w)
}

// restoreBook puts the text of an earlier version in force again, as a new version.
func (s *bookEditor) restoreBook(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	f, err := s.bookFile(r)
	if err != nil {
		return err
	}
	n, err := strconv.Atoi(r.PathValue("n"))
	if err != nil {
		return fmt.Errorf("version %q: %w", r.PathValue("n"), shop.ErrNotFound)
	}
	text, _, err := s.shop.Library.BookVersion(ctx, f.name, n)
	if err != nil {
		return err
	}
	why := strings.TrimSpace(r.PostFormValue("why"))
	if why != "" {
		why = fmt.Sprintf("version %d again: %s", n, why)
	}
	if _, err := s.shop.Library.SaveBookFile(ctx, f.name, r.PostFormValue("base"), text, why, s.user(ctx)); err != nil {
		return err
	}
	http.Redirect(w, r, "/book-versions/"+f.maker.ID, http.StatusSeeOther)
	return nil
}
