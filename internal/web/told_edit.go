package web

import (
	"errors"
	"net/http"
	"strconv"
	"strings"

	"midcase/hand"
	"midcase/internal/papers"
	"midcase/internal/shop"
	"midcase/internal/web/pages/told"
	"midcase/telling"
)

// edited is a text while it is edited.
type edited struct {
	told.Editing
	subject telling.Subject
	edition papers.Edition
}

// editing gathers what the page of an edited text begins with.
func (s *watchPages) editing(r *http.Request) (edited, error) {
	d, subject, err := s.listingOf(r)
	if err != nil {
		return edited{}, err
	}
	if !papers.Editable(d.For) {
		return edited{}, shop.NotFound("A talk sheet is not edited; a listing, an entry, a message or a post is.")
	}
	e := edited{Editing: told.Editing{Data: d}, subject: subject}
	e.Frame.Title = "In your own words: " + d.Watch.Title
	e.edition, err = papers.EditionOf(r.Context(), s.shop, d.Watch, subject, d.For, d.Language, d.Length)
	if err != nil && (!papers.NotTold(err) || e.edition.Machine.Text == "") {
		return e, err
	}
	e.Kept, e.Own, e.Changes = e.edition.Kept, e.edition.Own, e.edition.Merged.Changes
	e.Text = e.edition.Machine.Text
	if e.Own {
		e.Text = e.edition.Merged.Text
	}
	e.History, err = s.shop.Stores().Texts.Texts(r.Context(), d.Watch.ID, papers.TextOf(d.For, d.Language, d.Length))
	return e, err
}

// check holds the text against the evidence.
func (s *watchPages) check(r *http.Request, e *edited) error {
	secrets, err := papers.Secrets(r.Context(), s.shop, e.Watch, e.subject)
	if err == nil {
		e.Report = hand.Check(e.subject, e.edition.Machine, e.Text, secrets...)
	}
	return err
}

// editText shows a text to be edited.
func (s *watchPages) editText(w http.ResponseWriter, r *http.Request) error {
	e, err := s.editing(r)
	if err == nil {
		err = s.check(r, &e)
	}
	if err != nil {
		return err
	}
	return told.Edit(e.Editing).Render(r.Context(), w)
}

// keepText checks a text, puts a disclosure back, settles what changed, or keeps it.
func (s *watchPages) keepText(w http.ResponseWriter, r *http.Request) error {
	e, err := s.editing(r)
	if err != nil {
		return err
	}
	do := r.PostForm.Get("do")
	if r.PostForm.Has("text") {
		e.Text = hand.Plain(r.PostForm.Get("text"))
	}
	if len([]rune(e.Text)) > shop.MostText {
		return shop.Refuse("keep a text", "text", strconv.Itoa(len([]rune(e.Text)))+" characters",
			"at most "+strconv.Itoa(shop.MostText))
	}
	switch {
	case do == "settle":
		e.Text = s.settled(r, e)
	case do == "keep" || do == "machine":
		done, err := s.keep(w, r, &e, do == "machine")
		if done || err != nil {
			return err
		}
	}
	if err := s.check(r, &e); err != nil {
		return err
	}
	if n, ok := strings.CutPrefix(do, "back:"); ok {
		if i, err := strconv.Atoi(n); err == nil && i >= 0 && i < len(e.Report.LeftOut) {
			e.Text = hand.PutBack(e.Text, e.Report.LeftOut[i])
			if err := s.check(r, &e); err != nil {
				return err
			}
		}
	}
	if do == "marks" { // asked while typing: the list alone
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		return told.Marks(e.Editing).Render(r.Context(), w)
	}
	return told.Edit(e.Editing).Render(r.Context(), w)
}

// settled is the kept text with those changes that were chosen.
func (s *watchPages) settled(r *http.Request, e edited) string {
	take := map[int]bool{}
	for i := range e.Changes {
		if v := r.PostForm.Get("take" + strconv.Itoa(i)); v != "" {
			take[i] = v == "1"
		}
	}
	return hand.Merge(e.Kept.Base, e.edition.Machine.Text, e.Kept.Text, take).Text
}

// keep keeps the text, or goes back to the program's. It reports false where somebody else
// kept another meanwhile, so that what was written is shown again.
func (s *watchPages) keep(w http.ResponseWriter, r *http.Request, e *edited, machine bool) (bool, error) {
	after, err := strconv.Atoi(r.PostForm.Get("after"))
	if err != nil {
		after = -1
	}
	t := shop.OwnText{Watch: e.Watch.ID, Of: papers.TextOf(e.For, e.Language, e.Length), By: s.who(r),
		Base: e.edition.Machine.Text, Text: e.Text}
	if machine {
		t.Text = ""
	}
	_, err = s.shop.KeepText(r.Context(), t, after)
	if errors.Is(err, shop.ErrConflict) {
		e.Wrong = "Somebody else kept another version meanwhile; it stands below among the earlier versions. " +
			"What you wrote is still here. Keep it again to put it in its place."
		w.WriteHeader(http.StatusConflict)
		return false, nil
	}
	if err != nil {
		return false, err
	}
	http.Redirect(w, r, told.Shown(e.Data), http.StatusSeeOther)
	return true, nil
}
