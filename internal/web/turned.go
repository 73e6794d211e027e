package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"path"
	"strings"

	"midcase/internal/shop"
	"midcase/internal/shop/rights"
	"midcase/internal/shop/staff"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/show"
	"midcase/internal/web/pages/wording"
	"midcase/say"
)

// The values of a session while one watch is shown to a client: the watch, the hash of the leaving key, and whether
// the browser had the key of the shop, which it gets back.
const shownWatch, shownHash, shownKey = "shown_watch", "shown_hash", "shown_key"

// turned is what a browser is held to while it is turned to a client. The zero turned holds it to nothing.
type turned struct {
	watch shop.WatchID
	hash  string
	key   bool
}

func (g *gate) shown(ctx context.Context) turned {
	return turned{shop.WatchID(g.sessions.GetString(ctx, shownWatch)), g.sessions.GetString(ctx, shownHash),
		g.sessions.GetBool(ctx, shownKey)}
}

// stillShown reports whether whoever started the presentation still may come in.
func (g *gate) stillShown(r *http.Request, people []staff.Person, show turned) bool {
	if !g.asks.Load() || g.opt.KeyAs != "" && show.key {
		return show.key
	}
	_, ok := g.signedIn(r, people)
	return ok
}

func showPath(id shop.WatchID) string { return "/watches/" + string(id) + "/show" }

// turnedForm reports whether an address is that of a form which starts or ends a presentation; neither changes
// the shop.
func turnedForm(path string) bool {
	return strings.HasPrefix(path, "/watches/") &&
		(strings.HasSuffix(path, "/show/start") || strings.HasSuffix(path, "/show/end"))
}

// allows reports whether a browser turned to a client gets what it asks for: the presentation, its pictures and
// style, and the form by which it is left.
func (s turned) allows(r *http.Request) bool {
	at, page := r.URL.Path, showPath(s.watch)
	look := r.Method == http.MethodGet || r.Method == http.MethodHead
	switch {
	case path.Clean(at) != at:
		return false
	case at == page+"/end":
		return look || r.Method == http.MethodPost
	}
	return look && (at == page || strings.HasPrefix(at, page+"/pictures/") || strings.HasPrefix(at, "/assets/"))
}

// refuse says that this browser is held to one watch, and leads back to it.
func (s turned) refuse(of *site) handler {
	return func(w http.ResponseWriter, r *http.Request) error {
		w.WriteHeader(http.StatusForbidden)
		return show.Held(of.frame("", "One watch"), showPath(s.watch)).Render(r.Context(), w)
	}
}

// handOverForm asks for the key by which a presentation is left.
type handOverForm struct {
	Language string `form:"language" label:"Language" kind:"choice" hint:"in which the client reads"`

	Key string `form:"leaving,needed" label:"Leaving key" kind:"password" hint:"4 to 12 characters, for this time" auto:"one-time-code"`
	Two string `form:"again,needed" label:"The same again" kind:"password" auto:"one-time-code"`
}

// Prepare implements the choices of a form.
func (f *handOverForm) Prepare(v *form.View) {
	var all []form.Option
	for _, l := range say.Languages() {
		all = append(all, form.Option{Value: l, Text: wording.Language(l)})
	}
	v.Offer(&f.Language, all...)
}

type leaveForm struct {
	Key string `form:"leaving,needed" label:"Leaving key" kind:"password" auto:"one-time-code"`
}

var (
	handingOver = form.Define[handOverForm]("show to a client")
	leavingForm = form.Define[leaveForm]("leave the presentation")
)

func (p *showPages) startPage(w http.ResponseWriter, r *http.Request) error {
	ctx, language := r.Context(), languageOf(r)
	if id := r.FormValue("client"); id != "" && rights.May(ctx, rights.Clients) {
		c, err := p.shop.People.Client(ctx, id)
		if err != nil {
			return err
		}
		language = say.LanguageOf(c.Language)
	}
	return p.drawStart(w, r, &handingOver.Of(ctx, handOverForm{Language: language}).View, http.StatusOK)
}

func (p *showPages) drawStart(w http.ResponseWriter, r *http.Request, f *form.View, status int) error {
	of, err := p.shop.Watch(r.Context(), shop.WatchID(r.PathValue("id")))
	if err != nil {
		return err
	}
	d := show.Start{Frame: p.frame("stock", "Show to a client"), Watch: of, Form: f, Open: p.standsOpen()}
	w.WriteHeader(status)
	return show.StartPage(d).Render(r.Context(), w)
}

// standsOpen reports whether the shop lets every browser in, so that one without its cookies is held to nothing.
func (g *gate) standsOpen() bool { return !g.asks.Load() && g.opt.Key.None() }

// start turns this browser to a client.
func (p *showPages) start(w http.ResponseWriter, r *http.Request) error {
	ctx, id := r.Context(), shop.WatchID(r.PathValue("id"))
	if _, _, err := p.subject(ctx, id, "en"); err != nil {
		return err
	}
	if p.standsOpen() {
		return p.drawStart(w, r, &handingOver.Of(ctx, handOverForm{}).View, http.StatusUnprocessableEntity)
	}
	f, err := handingOver.Read(r, handOverForm{})
	if err != nil {
		return err
	}
	key := r.PostFormValue("leaving")
	if f.OK() && key != r.PostFormValue("again") {
		f.Wrong(&f.V.Two, "The two are not the same. Type one key twice.")
	}
	var hash string
	if f.OK() {
		hash, err = p.shop.Staff.HashLeaving(ctx, key)
	}
	switch says := doorSays(err); {
	case says != "":
		f.Wrong(&f.V.Key, says)
	case err != nil && !f.Refused(err, nil):
		return err
	}
	if !f.OK() {
		return p.drawStart(w, r, &f.View, http.StatusUnprocessableEntity)
	}
	if err := p.sessions.RenewToken(ctx); err != nil {
		return fmt.Errorf("show to a client: %w", err)
	}
	p.sessions.Put(ctx, shownWatch, string(id))
	p.sessions.Put(ctx, shownHash, hash)
	if p.opt.Key.Opens(r) {
		p.sessions.Put(ctx, shownKey, true)
		p.opt.Key.TakeAway(w, r, p.opt.TLS)
	}
	http.Redirect(w, r, showPath(id)+"?language="+say.LanguageOf(f.V.Language), http.StatusSeeOther)
	return nil
}

func (p *showPages) endPage(w http.ResponseWriter, r *http.Request) error {
	return p.drawEnd(w, r, &leavingForm.Of(r.Context(), leaveForm{}).View, http.StatusOK)
}

func (p *showPages) drawEnd(w http.ResponseWriter, r *http.Request, f *form.View, status int) error {
	id := shop.WatchID(r.PathValue("id"))
	if p.shown(r.Context()).watch == "" { // it was left before
		http.Redirect(w, r, "/watches/"+string(id), http.StatusSeeOther)
		return nil
	}
	w.WriteHeader(status)
	return show.EndPage(p.frame("", "Leave the presentation"), showPath(id), f).Render(r.Context(), w)
}

// end gives this browser back to the shop, for the right key.
func (p *showPages) end(w http.ResponseWriter, r *http.Request) error {
	ctx, at := r.Context(), p.shown(r.Context())
	f, err := leavingForm.Read(r, leaveForm{})
	if err != nil {
		return err
	}
	if at.watch == "" || !f.OK() {
		return p.drawEnd(w, r, &f.View, http.StatusUnprocessableEntity)
	}
	err = p.shop.Staff.Leave(ctx, r.PostFormValue("leaving"), at.hash)
	status := http.StatusUnprocessableEntity
	var wait *staff.Wait
	switch {
	case err == nil:
		return p.giveBack(w, r, at)
	case errors.Is(err, staff.ErrRefused):
		f.Wrong(&f.V.Key, "This is not the key that was chosen at the start.")
	case errors.As(err, &wait):
		status = http.StatusTooManyRequests
		f.Wrong(&f.V.Key, doorSays(err))
	case doorSays(err) != "":
		f.Wrong(&f.V.Key, doorSays(err))
	default:
		return err
	}
	return p.drawEnd(w, r, &f.View, status)
}

func (p *showPages) giveBack(w http.ResponseWriter, r *http.Request, at turned) error {
	ctx := r.Context()
	if err := p.sessions.RenewToken(ctx); err != nil {
		return fmt.Errorf("leave the presentation: %w", err)
	}
	for _, value := range []string{shownWatch, shownHash, shownKey} {
		p.sessions.Remove(ctx, value)
	}
	if at.key {
		p.opt.Key.Give(w, r, p.opt.TLS)
	}
	http.Redirect(w, r, "/watches/"+string(at.watch), http.StatusSeeOther)
	return nil
}
