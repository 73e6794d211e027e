package web

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/trade"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/life"
)

// lifePages take each step in the life of a watch with the money that goes with it.
type lifePages struct{ *site }

func (s *lifePages) routes(mux *http.ServeMux) {
	mux.Handle("GET /watches/{id}/life", s.page(s.lifePage))
	mux.Handle("POST /watches/{id}/life", s.page(s.lifeStep))
	mux.Handle("POST /watches/{id}/life/undo", s.page(s.lifeUndo))
}

// lifeData gathers what the page shows, with the form of an act where one is asked for; and the whole life, of which
// the page shows what whoever asks may see.
func (s *lifePages) lifeData(r *http.Request, act string) (life.Data, trade.Life, error) {
	ctx := r.Context()
	l, err := s.shop.Trade.Life(ctx, shop.WatchID(r.PathValue("id")))
	if err != nil {
		return life.Data{}, l, err
	}
	d := life.Data{Frame: s.frame("stock", "Status and accounts: "+l.Watch.Title), Life: l.Seen(ctx), Acts: life.Acts(l)}
	names, people, err := s.shop.Names(ctx, "life of a watch")
	if err != nil {
		return d, l, err
	}
	d.Names = names
	if a, ok := life.Find(d.Acts, act); ok {
		d.Act = &a
		d.People = peopleToChoose(people)
	}
	d.Undo = &undoForm.Of(ctx, undoing{Step: l.Undoable}).View
	return d, l, nil
}

// undoing asks for the reason of taking the last step back.
type undoing struct {
	Step   string `form:"step" kind:"hidden"`
	Reason string `form:"reason" label:"Undo the last step, because"`
}

var undoForm = form.Define[undoing]("undo a step")

// askOverride leaves the question for a reason out of a sale that nothing stands against.
func askOverride(d *life.Data) {
	p := form.Piece[overridePiece](d.Form)
	if d.Act.ID == "sell" && p != nil && d.Form.OK() && !slices.ContainsFunc(d.Life.Holds,
		func(h shop.Hold) bool { return h.Blocks }) {
		d.Form.Drop(&p.Override)
	}
}

const namesOffered = 800 // to choose from while typing; others are found by what is typed

func peopleToChoose(all []shop.Named) []string {
	out := make([]string, 0, min(len(all), namesOffered))
	for _, n := range all[:min(len(all), namesOffered)] {
		out = append(out, n.Name)
	}
	return slices.Compact(out)
}

func (s *lifePages) lifePage(w http.ResponseWriter, r *http.Request) error {
	d, _, err := s.lifeData(r, r.FormValue("act"))
	if err != nil {
		return err
	}
	if id := r.FormValue("done"); id != "" {
		if i := slices.IndexFunc(d.Life.Steps, func(m shop.Movement) bool { return m.ID == id }); i >= 0 {
			d.Done = &d.Life.Steps[i]
		}
	}
	if d.Act != nil {
		d.Form = steps[d.Act.ID].show(r, d.Life, d.Names)
		askOverride(&d)
	}
	return life.Page(d).Render(r.Context(), w)
}

// lifeStep takes the step that the form asks for, or shows the form again with what is wrong.
func (s *lifePages) lifeStep(w http.ResponseWriter, r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		return err
	}
	act := r.PostForm.Get("act")
	d, whole, err := s.lifeData(r, act)
	if err != nil {
		return err
	}
	if d.Act == nil && r.PostForm.Get("version") != "" {
		return s.lifeStale(w, r)
	}
	if d.Act == nil {
		return &shop.Invalid{What: "take a step", Problems: evidence.Problems{{Field: "act", Found: act,
			Want: "one of the steps that the watch may take from where it stands now"}}}
	}
	if v := r.PostForm.Get("version"); v != "" && v != strconv.Itoa(d.Life.Watch.Version) {
		return s.lifeStale(w, r)
	}
	var m shop.Movement
	if d.Form, m, err = steps[d.Act.ID].take(s.site, r, whole); err != nil {
		return err
	}
	if !d.Form.OK() {
		w.WriteHeader(http.StatusUnprocessableEntity)
		return life.Page(d).Render(r.Context(), w)
	}
	http.Redirect(w, r, "/watches/"+url.PathEscape(string(d.Life.Watch.ID))+"/life?done="+url.QueryEscape(m.ID),
		http.StatusSeeOther)
	return nil
}

// lifeStale shows the page anew where the watch moved since a form was made, so that nothing is booked
// twice or undone that was not meant.
func (s *lifePages) lifeStale(w http.ResponseWriter, r *http.Request) error {
	d, _, err := s.lifeData(r, "")
	if err != nil {
		return err
	}
	d.Stale = true
	w.WriteHeader(http.StatusConflict)
	return life.Page(d).Render(r.Context(), w)
}

func (s *lifePages) lifeUndo(w http.ResponseWriter, r *http.Request) error {
	id := shop.WatchID(r.PathValue("id"))
	f, err := undoForm.Read(r, undoing{})
	if err != nil {
		return err
	}
	if f.V.Step != "" {
		l, err := s.shop.Trade.Life(r.Context(), id)
		if err != nil {
			return err
		}
		if l.Undoable != f.V.Step {
			return s.lifeStale(w, r)
		}
	}
	m, err := s.shop.Trade.Undo(r.Context(), id, f.V.Reason, s.user(r.Context()))
	if f.Refused(err, nil) {
		d, _, err := s.lifeData(r, "")
		if err != nil {
			return err
		}
		d.Undo = &f.View
		w.WriteHeader(http.StatusUnprocessableEntity)
		return life.Page(d).Render(r.Context(), w)
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/watches/"+url.PathEscape(string(id))+"/life?done="+url.QueryEscape(m.ID), http.StatusSeeOther)
	return nil
}
