package web

import (
	"net/http"

	"midcase/evidence"
	"midcase/internal/web/pages/settings"
)

func (s *Server) settingsPage(w http.ResponseWriter, r *http.Request) error {
	return s.settingsForm(w, r, nil, nil)
}

func (s *Server) settingsForm(w http.ResponseWriter, r *http.Request, typed map[string]string, problems evidence.Problems) error {
	ctx := r.Context()
	v, err := s.shop.Settings(ctx)
	if err != nil {
		return err
	}
	d := settings.Data{Frame: s.frame("settings", "Settings"), Settings: v, Values: settings.Values(v), Problems: problems, Saved: r.FormValue("saved") != ""}
	if typed != nil {
		d.Values = typed
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	if s.opt.Head != nil {
		if d.Items, d.Root, err = s.opt.Head(ctx); err != nil {
			return err
		}
	}
	return settings.Page(d).Render(ctx, w)
}

func (s *Server) saveSettings(w http.ResponseWriter, r *http.Request) error {
	now, err := s.shop.Settings(r.Context())
	if err != nil {
		return err
	}
	if err := r.ParseForm(); err != nil {
		return err
	}
	typed := map[string]string{}
	for name := range r.PostForm {
		typed[name] = r.PostForm.Get(name)
	}
	plain, problems := readFigures(r.Context(), typed, settings.Measures(), settings.Amounts())
	v, more := settings.Read(now, func(name string) string { return plain[name] })
	if problems = append(problems, more...); len(problems) > 0 {
		return s.settingsForm(w, r, typed, problems)
	}
	if err := s.shop.SetSettings(r.Context(), v); err != nil {
		return err
	}
	http.Redirect(w, r, "/settings?saved=1", http.StatusSeeOther)
	return nil
}
