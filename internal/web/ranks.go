package web

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/desk"
	"midcase/internal/shop/rights"
	"midcase/internal/web/pages/ranks"
	"midcase/refbook"
)

// rankPages ask which of two examples is better, and show how all rank.
type rankPages struct{ *site }

func (s *rankPages) routes(mux *http.ServeMux) {
	mux.Handle("GET /book/{maker}/{reference}/ranks", s.page(s.ranksPage))
	mux.Handle("POST /book/{maker}/{reference}/ranks", s.page(s.judge))
	mux.Handle("POST /book/{maker}/{reference}/ranks/withdraw", s.page(s.withdrawJudgement))
}

func (s *rankPages) ranksPage(w http.ResponseWriter, r *http.Request) error {
	return s.show(w, r, ranks.Data{}, http.StatusOK)
}

// asked is the reference and the part of a request; no part is the whole watch.
func (s *rankPages) asked(r *http.Request) (*refbook.Maker, *refbook.Reference, evidence.Slot, error) {
	m, ref, ok := s.shop.Book(r.Context()).Reference(r.PathValue("maker"), r.PathValue("reference"))
	slot := evidence.Slot(r.FormValue("slot"))
	if !ok || slot != "" && !slot.Valid() {
		return nil, nil, "", fmt.Errorf("ranks of %s/%s %s: %w", r.PathValue("maker"), r.PathValue("reference"), slot,
			shop.ErrNotFound)
	}
	return m, ref, slot, nil
}

func (s *rankPages) show(w http.ResponseWriter, r *http.Request, d ranks.Data, status int) error {
	ctx := r.Context()
	m, ref, slot, err := s.asked(r)
	if err != nil {
		return err
	}
	d.Maker, d.Reference, d.MayRecord = m, ref, rights.May(ctx, rights.Record)
	d.Frame = s.frame("book", "Ranks of "+m.Name+" "+ref.ID)
	for _, x := range evidence.Slots() {
		if x != evidence.Box && x != evidence.Papers {
			d.Slots = append(d.Slots, x)
		}
	}
	before := d.Ranks
	if d.Ranks, err = s.shop.Desk.Ranks(ctx, m.Name, ref.ID, slot); err != nil {
		return err
	}
	if d.Withdrawn {
		d.Moved = d.Ranks.Since(before)
	}
	w.WriteHeader(status)
	return ranks.Page(d).Render(ctx, w)
}

// judge records which of two is better, on the file of the left one, and asks for the next pair.
func (s *rankPages) judge(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	m, ref, slot, err := s.asked(r)
	if err != nil {
		return err
	}
	a, b := shop.WatchID(r.PostFormValue("a")), shop.WatchID(r.PostFormValue("b"))
	can, err := s.canCompare(r, m, ref, a, b)
	if err != nil {
		return err
	}
	if !can {
		return s.show(w, r, ranks.Data{Problem: "Choose two watches of this reference."}, http.StatusUnprocessableEntity)
	}
	items, err := s.shop.Intake.Record(ctx, a, s.who(r), &evidence.Comparison{Slot: slot, Other: string(b),
		Result: r.PostFormValue("result")})
	var invalid *shop.Invalid
	if errors.As(err, &invalid) {
		return s.show(w, r, ranks.Data{Problem: invalid.Error() + "."}, http.StatusUnprocessableEntity)
	}
	if err != nil {
		return err
	}
	// An address of its own, so that a browser which stands on this page loads it anew.
	q := url.Values{"slot": {string(slot)}, "judged": {string(items[0].ID)}}
	http.Redirect(w, r, ranks.Path(m, ref)+"?"+q.Encode()+"#pair", http.StatusSeeOther)
	return nil
}

// canCompare reports whether a is a watch of a reference and b another one, or an example of it that was seen elsewhere.
func (s *rankPages) canCompare(r *http.Request, m *refbook.Maker, ref *refbook.Reference, a, b shop.WatchID) (bool, error) {
	ctx := r.Context()
	seen, err := s.shop.Library.SeenExamples(ctx, m.Name, ref.ID)
	if err != nil {
		return false, err
	}
	watches := []shop.WatchID{a}
	if !slices.ContainsFunc(seen, func(e shop.SeenExample) bool { return e.ID == string(b) }) {
		watches = append(watches, b)
	}
	for _, id := range watches {
		x, err := s.shop.Watch(ctx, id)
		if err != nil {
			return false, err
		}
		if own, of, ok := s.shop.Book(ctx).Reference(x.Maker, x.Reference); !ok || own != m || of != ref {
			return false, nil
		}
	}
	return a != b, nil
}

// withdrawJudgement takes a comparison back and says what that changed.
func (s *rankPages) withdrawJudgement(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	m, ref, slot, err := s.asked(r)
	if err != nil {
		return err
	}
	var before desk.Ranks
	if before, err = s.shop.Desk.Ranks(ctx, m.Name, ref.ID, slot); err != nil {
		return err
	}
	_, err = s.shop.Intake.Withdraw(ctx, shop.WatchID(r.PostFormValue("on")), evidence.ID(r.PostFormValue("id")),
		r.PostFormValue("why"), s.who(r))
	var invalid *shop.Invalid
	if errors.As(err, &invalid) {
		return s.show(w, r, ranks.Data{Problem: invalid.Error() + "."}, http.StatusUnprocessableEntity)
	}
	if err != nil {
		return err
	}
	return s.show(w, r, ranks.Data{Withdrawn: true, Ranks: before}, http.StatusOK)
}
