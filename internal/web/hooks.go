package web

import (
	"fmt"
	"net/http"

	"midcase/internal/shop"
	"midcase/internal/shop/hooks"
	"midcase/internal/web/form"
	page "midcase/internal/web/pages/hooks"
)

// hookPages say which addresses hear of changes.
type hookPages struct{ *site }

func (s *hookPages) routes(mux *http.ServeMux) {
	mux.Handle("GET /settings/webhooks", s.page(s.hooksPage))
	mux.Handle("POST /settings/webhooks", s.page(s.changeHooks))
}

// hookForm lets an address hear of changes.
type hookForm struct {
	URL      string `form:"url,needed" label:"Address" hint:"such as https://example.com/changes" auto:"off"`
	Watch    bool   `form:"watch" label:"A watch changed"`
	Evidence bool   `form:"evidence" label:"Evidence was recorded"`
	Sale     bool   `form:"sale" label:"A sale was booked"`
	Paper    bool   `form:"paper" label:"A paper was issued"`
}

var (
	hooking = form.Define[hookForm]("webhook")
	ofAll   = hookForm{Watch: true, Evidence: true, Sale: true, Paper: true} // as a new form offers it
)

func (f hookForm) events() (out []string) {
	for _, x := range []struct {
		on    bool
		event string
	}{{f.Watch, hooks.WatchChanged}, {f.Evidence, hooks.EvidenceAdded}, {f.Sale, hooks.SaleBooked},
		{f.Paper, hooks.PaperIssued}} {
		if x.on {
			out = append(out, x.event)
		}
	}
	return out
}

// messagesShown is how many messages to an address the page lists.
const messagesShown = 10

func (s *hookPages) hooksPage(w http.ResponseWriter, r *http.Request) error {
	d := page.Data{Add: &hooking.Of(r.Context(), ofAll).View}
	if r.FormValue("done") == "drop" {
		d.Notice = "Removed. Nothing more is sent there."
	}
	return s.show(w, r, d)
}

func (s *hookPages) show(w http.ResponseWriter, r *http.Request, d page.Data) error {
	d.Frame = s.frame("settings", "Webhooks")
	all, err := s.shop.Hooks.All(r.Context())
	if err != nil {
		return err
	}
	for _, h := range all {
		sent, err := s.shop.Hooks.Sent(r.Context(), h.ID, messagesShown)
		if err != nil {
			return err
		}
		d.Hooks = append(d.Hooks, page.Hook{Hook: h, Sent: sent})
	}
	if !d.Add.OK() {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	return page.Page(d).Render(r.Context(), w)
}

func (s *hookPages) changeHooks(w http.ResponseWriter, r *http.Request) error {
	switch act := r.PostFormValue("act"); act {
	case "add":
		return s.addHook(w, r)
	case "drop":
		if err := s.shop.Hooks.Drop(r.Context(), r.PostFormValue("id")); err != nil {
			return err
		}
		http.Redirect(w, r, "/settings/webhooks?done=drop", http.StatusSeeOther)
		return nil
	default:
		return shop.Refuse("webhooks", "act", fmt.Sprintf("%.40q", act), "add or drop")
	}
}

// addHook shows the secret in its answer, since it is shown this once.
func (s *hookPages) addHook(w http.ResponseWriter, r *http.Request) error {
	f, err := hooking.Read(r, hookForm{})
	if err != nil {
		return err
	}
	var h shop.Hook
	if f.OK() {
		h, err = s.shop.Hooks.Add(r.Context(), f.V.URL, f.V.events(), s.user(r.Context()))
	}
	if f.Refused(err, map[string]string{"events": "watch"}) || !f.OK() {
		return s.show(w, r, page.Data{Add: &f.View})
	}
	if err != nil {
		return err
	}
	return s.show(w, r, page.Data{Add: &hooking.Of(r.Context(), ofAll).View, Secret: h.Secret, Made: h.URL})
}
