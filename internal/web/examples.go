package web

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"strings"

	"github.com/rogpeppe/go-internal/diff"

	"midcase/examples"
	"midcase/internal/shop"
	"midcase/internal/shop/library"
	"midcase/internal/shop/rights"
	seen "midcase/internal/web/pages/examples"
	"midcase/refbook"
	"midcase/say"
)

// examplePages show the watches seen of a reference, and what the book can learn of them.
type examplePages struct{ *site }

func (s *examplePages) routes(mux *http.ServeMux) {
	mux.Handle("GET /book/{maker}/{reference}/examples", s.page(s.examplesPage))
	mux.Handle("POST /book/{maker}/{reference}/examples", s.page(s.withdraw))
	mux.Handle("POST /book/{maker}/{reference}/examples/accept", s.page(s.accept))
	mux.Handle("GET /examples/new", s.page(s.addPage))
	mux.Handle("POST /examples/new", s.page(s.add))
}

func (s *examplePages) entry(r *http.Request) (*refbook.Maker, *refbook.Reference, error) {
	m, ref, ok := s.shop.Book(r.Context()).Reference(r.PathValue("maker"), r.PathValue("reference"))
	if !ok {
		return nil, nil, fmt.Errorf("reference %s/%s: %w", r.PathValue("maker"), r.PathValue("reference"), shop.ErrNotFound)
	}
	return m, ref, nil
}

func (s *examplePages) examplesPage(w http.ResponseWriter, r *http.Request) error {
	return s.show(w, r, "", http.StatusOK)
}

// show draws the page of a reference; problem is why what was asked for was not done.
func (s *examplePages) show(w http.ResponseWriter, r *http.Request, problem string, status int) error {
	ctx := r.Context()
	m, ref, err := s.entry(r)
	if err != nil {
		return err
	}
	all, err := s.shop.Library.AllExamples(ctx, m.Name, ref.ID)
	if err != nil {
		return err
	}
	d := seen.Data{Frame: s.frame("book", "Examples of "+m.Name+" "+ref.ID), Maker: m, Reference: ref,
		Learned: examples.Learn(m, ref, all), Problem: problem, Changes: map[string]seen.Change{},
		MayRecord: rights.May(ctx, rights.Record), MayEdit: rights.May(ctx, rights.EditBook),
		Done: doneWords(r)}
	if d.Records, err = s.shop.Library.SeenExamples(ctx, m.Name, ref.ID); err != nil {
		return err
	}
	d.Own = len(all) - len(d.Records)
	d.Counts, d.Reach = counted(ref, examples.CountOf(m, ref, all))
	if len(ref.Serial) == 1 {
		ofMaker, err := s.shop.Library.AllExamples(ctx, m.Name, "")
		if err != nil {
			return err
		}
		for _, c := range examples.LearnCurves(m, ofMaker) {
			if c.Run == ref.Serial[0] {
				d.Curve = &c
			}
		}
	}
	for _, slot := range d.Learned.Slots {
		for _, u := range seen.Units(slot) {
			c, err := s.change(ctx, d.Learned.Only(slot.Slot, u.Number))
			if err != nil {
				return err
			}
			d.Changes[seen.Key(slot.Slot, u.Number)] = c
		}
	}
	w.WriteHeader(status)
	return seen.Page(d).Render(ctx, w)
}

// doneWords say what was just done.
func doneWords(r *http.Request) string {
	q := r.URL.Query()
	switch {
	case q.Get("withdrawn") != "":
		return "Example withdrawn. It stays on record and no longer counts."
	case q.Get("accepted") != "":
		return "The change is written into the book."
	}
	return ""
}

// change is what one change of the book would do.
func (s *examplePages) change(ctx context.Context, l examples.Learned) (seen.Change, error) {
	files, err := s.shop.Library.Propose(ctx, []examples.Learned{l})
	if err != nil {
		return seen.Change{Left: []string{err.Error()}}, nil // what it would do cannot be told; the rest of the page can
	}
	var c seen.Change
	for _, f := range files {
		c.Diff += string(diff.Diff(f.Name, f.Now, f.Name+", as the examples have it", f.Text))
		c.Left = append(c.Left, f.Left...)
		c.Looked += f.Looked
		for _, e := range f.Effects {
			c.Effects = append(c.Effects, e.Watch.Title)
		}
	}
	return c, nil
}

// counted says how common versions and metals are, and how the examples reached the shop.
func counted(ref *refbook.Reference, r examples.Rarity) (counts, reach []seen.Count) {
	for _, x := range r.Versions {
		counts = append(counts, seen.Count{What: x.What, Says: say.That("learn.share",
			say.Term("slot", "slot", string(x.Slot), ""), say.Name("variant", seen.VersionName(ref, x.Slot, x.What)),
			say.Count("n", x.N), say.Count("of", x.Of), say.Share("share", x.Share), say.Share("low", x.Interval90[0]),
			say.Share("high", x.Interval90[1]))})
	}
	for _, x := range r.Metals {
		counts = append(counts, seen.Count{What: x.What, Says: say.That("learn.metal", say.Name("metal", x.What),
			say.Count("n", x.N), say.Count("of", x.Of), say.Share("share", x.Share), say.Share("low", x.Interval90[0]),
			say.Share("high", x.Interval90[1]))})
	}
	if len(counts) == 0 {
		return nil, nil
	}
	var places []say.Value
	for _, x := range r.Reach {
		places = append(places, say.That("learn.place", say.Count("n", x.N), say.Name("place", placeWords(x.What))))
	}
	return counts, []seen.Count{{Says: say.That("learn.reach", say.All("places", places...))}}
}

// placeWords is how examples reached the shop, in words.
func placeWords(place string) string {
	switch place {
	case examples.Own:
		return "from our own files"
	case "fair":
		return "at fairs"
	case "dealer":
		return "at dealers'"
	case "print":
		return "in print"
	case "picture":
		return "in pictures"
	case "collection":
		return "in collections"
	}
	return "seen elsewhere"
}

func (s *examplePages) withdraw(w http.ResponseWriter, r *http.Request) error {
	_, err := s.shop.Library.WithdrawExample(r.Context(), r.PostFormValue("id"), r.PostFormValue("why"), s.who(r))
	if err != nil {
		return s.refused(w, r, err)
	}
	return s.back(w, r, "withdrawn", r.PostFormValue("id"), "#records")
}

// refused shows the page with what is wrong where that can be put right on it.
func (s *examplePages) refused(w http.ResponseWriter, r *http.Request, err error) error {
	var invalid *shop.Invalid
	switch {
	case errors.As(err, &invalid):
		return s.show(w, r, invalid.Error()+".", http.StatusUnprocessableEntity)
	case errors.Is(err, shop.ErrConflict):
		return s.show(w, r, "Somebody changed the book or the examples meanwhile: look again before you accept.",
			http.StatusConflict)
	}
	return err
}

// back leads to the page with what was done in its address, so that a browser which stands on it loads it anew.
func (s *examplePages) back(w http.ResponseWriter, r *http.Request, done, what, where string) error {
	m, ref, err := s.entry(r)
	if err != nil {
		return err
	}
	q := url.Values{done: {what}}
	http.Redirect(w, r, seen.Path(m, ref)+"?"+q.Encode()+where, http.StatusSeeOther)
	return nil
}

// accept writes one change into the book, if the examples still speak for the very same.
func (s *examplePages) accept(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	m, ref, err := s.entry(r)
	if err != nil {
		return err
	}
	all, err := s.shop.Library.AllExamples(ctx, m.Name, ref.ID)
	if err != nil {
		return err
	}
	learned := examples.Learn(m, ref, all)
	for _, slot := range learned.Slots {
		for _, u := range seen.Units(slot) {
			if string(slot.Slot) != r.PostFormValue("slot") || u.Sum() != r.PostFormValue("change") {
				continue
			}
			why := fmt.Sprintf("%s, %s: learned from %d examples seen", ref.ID, slot.Slot.Name(), slot.Examples)
			if err := s.write(ctx, learned.Only(slot.Slot, u.Number), why); err != nil {
				return s.refused(w, r, err)
			}
			return s.back(w, r, "accepted", u.Sum(), "#"+string(slot.Slot))
		}
	}
	return s.refused(w, r, shop.ErrConflict)
}

func (s *examplePages) write(ctx context.Context, l examples.Learned, why string) error {
	files, err := s.shop.Library.Propose(ctx, []examples.Learned{l})
	if err != nil {
		return err
	}
	for _, f := range files {
		if len(f.Left) > 0 {
			return shop.Refuse("accept a change", "book", strings.Join(f.Left, "; "), "an edit of the book by hand")
		}
		sum := sha256.Sum256(f.Now)
		if _, err := s.shop.Library.SaveBookFile(ctx, f.Name, hex.EncodeToString(sum[:]), f.Text, why,
			s.user(ctx)); err != nil {
			return err
		}
	}
	return nil
}

func (s *examplePages) addPage(w http.ResponseWriter, r *http.Request) error {
	return s.showAdd(w, r, seenForm{Reference: r.FormValue("reference"), Place: r.FormValue("place"),
		More: seenMore{Source: r.FormValue("source")}})
}

// showAdd draws the empty form, with what stays the same from one example of a fair to the next.
func (s *examplePages) showAdd(w http.ResponseWriter, r *http.Request, v seenForm) error {
	f := seenExample.Of(r.Context(), v)
	return s.drawAdd(w, r, &seen.Adding{Form: &f.View, Saved: r.FormValue("saved")}, f, http.StatusOK)
}

func (s *examplePages) add(w http.ResponseWriter, r *http.Request) error {
	f, err := seenExample.Read(r, seenForm{})
	if err != nil {
		return err
	}
	d := &seen.Adding{Form: &f.View}
	m, ref, known := s.named(r.Context(), f.V.Reference)
	if f.OK() && !known {
		f.Wrong(&f.V.Reference, "Enter maker and reference as the book has them, such as Corvane KR-1.")
	}
	if !f.OK() {
		return s.drawAdd(w, r, d, f, http.StatusUnprocessableEntity)
	}
	entry := library.Seen{SeenExample: f.V.record(m, ref)}
	if f.V.Picture.FileHeader != nil {
		file, err := f.V.Picture.Open()
		if err != nil {
			return err
		}
		defer file.Close()
		entry.File = file
	}
	kept, err := s.shop.Library.AddExample(r.Context(), entry, s.who(r))
	var alike *library.Alike
	switch {
	case errors.As(err, &alike):
		f.V.Another = alike.Of.ID
		again := seenExample.Of(r.Context(), f.V)
		d.Form, d.Alike = &again.View, &alike.Of
		return s.drawAdd(w, r, d, again, http.StatusUnprocessableEntity)
	case f.Refused(err, nil):
		return s.drawAdd(w, r, d, f, http.StatusUnprocessableEntity)
	case err != nil:
		return err
	}
	q := url.Values{"reference": {f.V.Reference}, "place": {f.V.Place}, "source": {f.V.More.Source},
		"saved": {strings.TrimSpace(kept.Maker + " " + kept.Reference + " " + kept.Serial)}}
	http.Redirect(w, r, "/examples/new?"+q.Encode(), http.StatusSeeOther)
	return nil
}
