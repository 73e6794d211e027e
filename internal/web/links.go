package web

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"net/netip"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"midcase/internal/papers"
	"midcase/internal/shop"
	"midcase/internal/shop/people"
	"midcase/internal/shop/rights"
	"midcase/internal/shop/staff"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/frame"
	linked "midcase/internal/web/pages/private"
	"midcase/internal/web/pages/wording"
	"midcase/say"
)

// linkPages make private links, and show to whoever has the address of one what it is of.
type linkPages struct {
	*gate
	small *thumbnails
}

func (p *linkPages) routes(mux *http.ServeMux) {
	mux.Handle("GET /watches/{id}/links", p.page(p.linksPage))
	mux.Handle("POST /watches/{id}/links", p.page(p.makeLink))
	mux.Handle("POST /watches/{id}/links/end", p.page(p.endLink))
	mux.Handle("GET /private/{token}", p.page(p.open))
	mux.Handle("GET /private/{token}/pictures/{sha}", p.page(p.openPicture))
}

// linkForm makes a link.
type linkForm struct {
	Client   string `form:"client,needed" label:"Client" kind:"choice"`
	Language string `form:"language" label:"Language" kind:"choice"`
	Days     string `form:"days" label:"Opens for" kind:"choice"`
}

var newLinks = form.Define[linkForm]("private link")

// Prepare implements the choices of a form.
func (f *linkForm) Prepare(v *form.View) {
	all := []form.Option{{Value: "", Text: "the client’s own"}}
	for _, l := range say.Languages() {
		all = append(all, form.Option{Value: l, Text: wording.Language(l)})
	}
	v.Offer(&f.Language, all...)
	v.Offer(&f.Days, form.Option{Value: "3", Text: "3 days"}, form.Option{Value: "14", Text: "14 days"},
		form.Option{Value: "30", Text: "30 days"}, form.Option{Value: "90", Text: "90 days"})
}

func (p *linkPages) linksPage(w http.ResponseWriter, r *http.Request) error {
	var d linked.Links
	if r.FormValue("done") == "ended" {
		d.Notice = "Taken back. The address opens nothing any more."
	}
	return p.showLinks(w, r, d, newLinks.Of(r.Context(), linkForm{Client: r.FormValue("client"),
		Days: strconv.Itoa(people.LinkDays)}))
}

// showLinks fills in what every state of the page has.
func (p *linkPages) showLinks(w http.ResponseWriter, r *http.Request, d linked.Links,
	f *form.Form[linkForm]) (err error) {
	ctx := r.Context()
	if d.Watch, err = p.shop.Watch(ctx, shop.WatchID(r.PathValue("id"))); err != nil {
		return err
	}
	d.Frame, d.Now = p.frame("stock", "Private links to "+d.Watch.Title), p.shop.Now()
	if d.All, err = p.shop.People.Links(ctx, d.Watch.ID, ""); err != nil {
		return err
	}
	var named []shop.Named
	if d.Names, named, err = p.shop.Names(ctx, "private links"); err != nil {
		return err
	}
	options := []form.Option{{Value: "", Text: "choose"}}
	for _, n := range named {
		options = append(options, form.Option{Value: n.ID, Text: n.Name})
	}
	f.Offer(&f.V.Client, options...)
	d.Form = &f.View
	switch {
	case !p.asks.Load():
		d.Closed = "Nobody signs in to this shop, so its pages open only with its key, and a client would have to be " +
			"given that. Add people first (midcase people add NAME), then make the link."
	case !papers.ForSale(d.Watch.State):
		d.Closed = "This watch is not ours to sell, or was sold, so it is shown to nobody."
	}
	if d.To != "" {
		d.To = d.Names[d.To]
	}
	if !f.OK() {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	return linked.LinksPage(d).Render(ctx, w)
}

// makeLink shows the address in its answer, since it is shown this once.
func (p *linkPages) makeLink(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	f, err := newLinks.Read(r, linkForm{})
	if err != nil {
		return err
	}
	if !f.OK() || !p.asks.Load() {
		return p.showLinks(w, r, linked.Links{}, f)
	}
	days, err := strconv.Atoi(f.V.Days)
	if err != nil {
		days = 0 // refused below
	}
	l := shop.Link{Watch: shop.WatchID(r.PathValue("id")), Client: f.V.Client, Language: f.V.Language, By: p.user(ctx)}
	if l.Language == "" {
		c, err := p.shop.People.Client(ctx, l.Client)
		if err != nil && !errors.Is(err, shop.ErrNotFound) {
			return err
		}
		l.Language = say.LanguageOf(c.Language)
	}
	_, secret, err := papers.MakeLink(ctx, p.shop, l, days)
	if f.Refused(err, nil) {
		return p.showLinks(w, r, linked.Links{}, f)
	}
	if err != nil {
		return err
	}
	base := p.base(r)
	return p.showLinks(w, r, linked.Links{To: l.Client, Made: papers.LinkAddress(base, secret), Near: nearby(base)},
		newLinks.Of(ctx, linkForm{Days: f.V.Days}))
}

// base is where others find the shop: as it is served, else as whoever asks has found it.
func (p *linkPages) base(r *http.Request) string {
	if p.opt.Address != "" {
		return p.opt.Address
	}
	scheme := "http"
	if p.opt.TLS {
		scheme = "https"
	}
	return scheme + "://" + r.Host
}

// nearby reports whether only this machine reaches an address.
func nearby(base string) bool {
	u, err := url.Parse(base)
	if err != nil {
		return false
	}
	ip, err := netip.ParseAddr(u.Hostname())
	return u.Hostname() == "localhost" || err == nil && net.IP(ip.AsSlice()).IsLoopback()
}

func (p *linkPages) endLink(w http.ResponseWriter, r *http.Request) error {
	ctx, id := r.Context(), shop.WatchID(r.PathValue("id"))
	all, err := p.shop.People.Links(ctx, id, "")
	if err != nil {
		return err
	}
	link := r.PostFormValue("link")
	if !slices.ContainsFunc(all, func(l shop.Link) bool { return l.ID == link }) {
		return fmt.Errorf("private link to this watch: %w", shop.ErrNotFound)
	}
	if _, err := p.shop.People.EndLink(ctx, link); err != nil {
		return err
	}
	http.Redirect(w, r, "/watches/"+string(id)+"/links?done=ended", http.StatusSeeOther)
	return nil
}

// opened is a line for a watch's file: how often private links to it were opened. It names nobody.
func (s *site) opened(ctx context.Context, id shop.WatchID) (string, error) {
	if !rights.May(ctx, rights.Clients) {
		return "", nil
	}
	all, err := s.shop.People.Links(ctx, id, "")
	return wording.LinksOpened(ctx, all), err
}

// under is what the private link shows whose address was asked for. It answers by itself where there is nothing to
// show, and errs then with errSaid.
func (p *linkPages) under(w http.ResponseWriter, r *http.Request) (papers.Opened, error) {
	h := w.Header()
	h.Set("Cache-Control", "no-store")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("X-Robots-Tag", "noindex, nofollow")
	out, err := papers.OpenLink(r.Context(), p.shop, r.PathValue("token"))
	if errors.Is(err, shop.ErrNotFound) {
		return out, p.wrongAddress(w, r)
	}
	return out, err
}

var errSaid = errors.New("answered already")

// wrongAddress says that there is nothing, in a language of the browser, and counts the guess.
func (p *linkPages) wrongAddress(w http.ResponseWriter, r *http.Request) error {
	d, says := p.said(say.LanguageOf(r.Header.Get("Accept-Language")))
	d.Note, d.Says = says(say.That("private.none")), []string{says(say.That("private.check"))}
	status := http.StatusNotFound
	err := p.shop.Staff.WrongAddress(r.Context(), p.address(r))
	var wait *staff.Wait
	if errors.As(err, &wait) {
		status = http.StatusTooManyRequests
		d.Note, d.Says = says(say.That("private.wait")), nil
	} else if err != nil {
		return err
	}
	w.WriteHeader(status)
	return errors.Join(errSaid, linked.Page(d).Render(r.Context(), w))
}

// said is an empty page in a language, and what writes sentences in it.
func (p *linkPages) said(language string) (linked.Data, func(say.Statement) string) {
	writer, _ := say.In(language)
	return linked.Data{Frame: frame.Data{Shop: p.shop.Name(), Title: p.shop.Name(), Lang: language},
		Shop: p.shop.Name()}, writer.Capital
}

// open shows the watch, and notes that it was looked at.
func (p *linkPages) open(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	o, err := p.under(w, r)
	if errors.Is(err, errSaid) {
		return nil
	}
	if err != nil {
		return err
	}
	d, says := p.said(o.Link.Language)
	d.Shop, d.Frame.Shop, d.Contact = o.Shop.Name, o.Shop.Name, o.Shop.Lines
	switch {
	case !o.Opens:
		d.Note = says(say.That("private.ended"))
		d.Says = []string{says(say.That("private.ask", say.Name("shop", o.Shop.Name)))}
		w.WriteHeader(http.StatusGone)
	case o.Gone:
		d.Note = says(say.That("private.sold"))
	case !o.Tells():
		d.Note = says(say.That("private.closed"))
	default:
		d.Title, d.Frame.Title, d.Blocks, d.Terms = o.Title, o.Title, o.Told.Blocks, o.Shop.Terms
		d.Says = []string{says(say.That("private.shown", say.Name("shop", o.Shop.Name), say.Day("day", o.Link.Until))),
			says(say.That("private.counted", say.Name("shop", o.Shop.Name)))}
		d.Price = says(say.That("site.on-request"))
		if o.Asked {
			d.Price = says(say.That("site.price", say.Money("price", o.Price)))
		}
		if o.Held {
			d.State = says(say.That("site.reserved"))
		}
		d.Views = p.views(r, o)
	}
	if o.Opens && r.Method == http.MethodGet {
		if err := p.shop.People.NoteOpened(ctx, o.Link); err != nil {
			return err
		}
	}
	return linked.Page(d).Render(ctx, w)
}

func (p *linkPages) views(r *http.Request, o papers.Opened) (out []linked.View) {
	writer, _ := say.In(o.Link.Language)
	for _, photo := range o.Photos {
		view := writer.Value(say.Term("view", "view", photo.View, photo.View).Value, "")
		out = append(out, linked.View{At: strings.TrimSuffix(r.URL.Path, "/") + "/pictures/" + photo.Blob,
			Alt: o.Title + ", " + view})
	}
	return out
}

func (p *linkPages) openPicture(w http.ResponseWriter, r *http.Request) error {
	o, err := p.under(w, r)
	if errors.Is(err, errSaid) {
		return nil
	}
	if err != nil {
		return err
	}
	if !o.Tells() || !has(o.Photos, r.PathValue("sha")) {
		return fmt.Errorf("picture: %w", shop.ErrNotFound)
	}
	return p.small.send(w, r, p.site, r.PathValue("sha"))
}
