package web

import (
	"context"
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/web/pages/life"
)

// life serves the page of a watch's life in the shop.
func (s *Server) life(mux *http.ServeMux) {
	mux.Handle("GET /watches/{id}/life", s.page(s.lifePage))
	mux.Handle("POST /watches/{id}/life", s.page(s.lifeStep))
	mux.Handle("POST /watches/{id}/life/undo", s.page(s.lifeUndo))
}

// lifeData gathers what the page shows, with the form of an act where one is asked for.
func (s *Server) lifeData(r *http.Request, act string) (life.Data, error) {
	ctx := r.Context()
	l, err := s.shop.LifeOf(ctx, shop.WatchID(r.PathValue("id")))
	if err != nil {
		return life.Data{}, err
	}
	d := life.Data{Frame: s.frame("stock", "Move and money: "+l.Watch.Title), Life: l, Acts: life.Acts(l)}
	names, people, err := s.shop.Names(ctx, "life of a watch")
	if err != nil {
		return d, err
	}
	d.Names = names
	if a, ok := life.Find(d.Acts, act); ok {
		d.Act = &a
		d.Groups = life.Groups(a, l)
		d.People = peopleToChoose(people)
		values := map[string]string{}
		if l.Watch.Client != "" && (a.ID == "sell" || a.ID == "reserve") && l.Watch.State == shop.Reserved {
			values["client"] = names[l.Watch.Client]
		}
		if a.ID == "buy" && !l.Watch.Asked.IsZero() {
			values["amount"] = l.Watch.Asked.String()
		}
		if a.ID == "sell" && !l.Watch.Asking.IsZero() {
			values["amount"] = l.Watch.Asking.String()
		}
		d.Groups, _ = life.Fill(d.Groups, values, nil)
		openOverride(&d)
	}
	return d, nil
}

// openOverride takes the question for a reason out of a sale that nothing stands against.
func openOverride(d *life.Data) {
	if d.Act.ID != "sell" || d.Refused || slices.ContainsFunc(d.Life.Holds, func(h shop.Hold) bool { return h.Blocks }) {
		return
	}
	d.Groups = slices.DeleteFunc(d.Groups, func(g life.Inputs) bool { return len(g.Fields) == 1 && g.Fields[0].Name == "override" })
}

const namesOffered = 800 // to choose from while typing; others are found by what is typed

func peopleToChoose(all []shop.Named) []string {
	out := make([]string, 0, min(len(all), namesOffered))
	for _, n := range all[:min(len(all), namesOffered)] {
		out = append(out, n.Name)
	}
	return slices.Compact(out)
}

func (s *Server) lifePage(w http.ResponseWriter, r *http.Request) error {
	d, err := s.lifeData(r, r.FormValue("act"))
	if err != nil {
		return err
	}
	if id := r.FormValue("done"); id != "" {
		if i := slices.IndexFunc(d.Life.Steps, func(m shop.Movement) bool { return m.ID == id }); i >= 0 {
			d.Done = &d.Life.Steps[i]
		}
	}
	return life.Page(d).Render(r.Context(), w)
}

// lifeStep takes the step that the form asks for, or shows the form again with what is wrong.
func (s *Server) lifeStep(w http.ResponseWriter, r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		return err
	}
	act := r.PostForm.Get("act")
	d, err := s.lifeData(r, act)
	if err != nil {
		return err
	}
	if d.Act == nil && r.PostForm.Get("version") != "" {
		return s.lifeStale(w, r)
	}
	if d.Act == nil {
		return &shop.Invalid{What: "take a step", Problems: evidence.Problems{{Field: "act", Found: act, Want: "one of the steps that the watch may take from where it stands now"}}}
	}
	if v := r.PostForm.Get("version"); v != "" && v != strconv.Itoa(d.Life.Watch.Version) {
		return s.lifeStale(w, r)
	}
	f := s.stepForm(r, d.Groups)
	m, err := f.take(d.Act.ID, d.Life)
	if len(f.problems) == 0 && err != nil {
		var invalid *shop.Invalid
		if !errors.As(err, &invalid) {
			return err
		}
		f.problems = placed(invalid.Problems)
	}
	if len(f.problems) > 0 {
		d.Refused = true
		d.Groups, d.Problems = life.Fill(life.Groups(*d.Act, d.Life), f.values, f.problems)
		w.WriteHeader(http.StatusUnprocessableEntity)
		return life.Page(d).Render(r.Context(), w)
	}
	http.Redirect(w, r, "/watches/"+url.PathEscape(string(d.Life.Watch.ID))+"/life?done="+url.QueryEscape(m.ID), http.StatusSeeOther)
	return nil
}

// lifeStale shows the page anew where the watch moved since a form was made, so that nothing is booked
// twice or undone that was not meant.
func (s *Server) lifeStale(w http.ResponseWriter, r *http.Request) error {
	d, err := s.lifeData(r, "")
	if err != nil {
		return err
	}
	d.Stale = true
	w.WriteHeader(http.StatusConflict)
	return life.Page(d).Render(r.Context(), w)
}

func (s *Server) lifeUndo(w http.ResponseWriter, r *http.Request) error {
	id := shop.WatchID(r.PathValue("id"))
	if step := r.PostFormValue("step"); step != "" {
		l, err := s.shop.LifeOf(r.Context(), id)
		if err != nil {
			return err
		}
		if l.Undoable != step {
			return s.lifeStale(w, r)
		}
	}
	m, err := s.shop.Undo(r.Context(), id, r.PostFormValue("reason"), s.by(r))
	var invalid *shop.Invalid
	if errors.As(err, &invalid) {
		d, derr := s.lifeData(r, "")
		if derr != nil {
			return derr
		}
		d.Reason, d.UndoSays = r.PostFormValue("reason"), life.Says(invalid.Problems[0])
		w.WriteHeader(http.StatusUnprocessableEntity)
		return life.Page(d).Render(r.Context(), w)
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/watches/"+url.PathEscape(string(id))+"/life?done="+url.QueryEscape(m.ID), http.StatusSeeOther)
	return nil
}

// placed gives the problems of the ledger the names of the form's fields.
func placed(all evidence.Problems) evidence.Problems {
	fields := map[string]string{"rate": "rate", "price": "amount", "cost": "amount", "deposit": "amount", "agreed value": "amount", "amount": "amount", "commission or net": "commission", "tax to reclaim": "tax",
		"scheme": "scheme", "shares": "partner_share", "paid from": "pay", "paid into": "pay", "allowance": "amount"}
	out := make(evidence.Problems, len(all))
	for i, p := range all {
		out[i] = p
		if p.Field != "terms" {
			continue
		}
		parts := strings.SplitN(p.Found, ": ", 3) // kind, field, what was found and wanted
		if len(parts) < 3 {
			continue
		}
		name, ok := fields[parts[1]]
		if !ok && strings.HasPrefix(parts[1], "share of ") {
			name, ok = "partner_share", true
		}
		if found, want, cut := strings.Cut(parts[2], "; want "); ok && cut {
			out[i] = evidence.Problem{Field: name, Found: strings.TrimPrefix(found, "found "), Want: want}
		}
	}
	return out
}

// exactly finds the one client whose name is what was typed.
func exactly(ctx context.Context, s *shop.Shop, typed string) (string, bool, error) {
	_, all, err := s.Names(ctx, "step of a watch")
	if err != nil {
		return "", false, err
	}
	for _, n := range all {
		if strings.EqualFold(strings.TrimSpace(n.Name), strings.TrimSpace(typed)) {
			return n.ID, true, nil
		}
	}
	return "", false, nil
}
