package web

import (
	"context"
	"errors"
	"net/http"
	"time"

	"midcase/edtf"
	"midcase/internal/shop"
	"midcase/internal/shop/rights"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/clients"
	"midcase/internal/web/pages/wording"
	"midcase/money"
	"midcase/say"
)

// showingForm is what happened between the shop and a client about one watch.
type showingForm struct {
	Client  string      `form:"client" label:"Client" kind:"choice"`
	Other   string      `form:"other" label:"Or another client" hint:"name or e-mail address"`
	Kind    string      `form:"kind" label:"What happened" kind:"choice"`
	Price   money.Money `form:"price" label:"Price offered" hint:"leave empty if none was named"`
	Until   edtf.Date   `form:"until" label:"Until" want:"the last day, for example 2027-03-01"`
	Channel string      `form:"channel" label:"Channel" choices:"in the shop|email=E-mail|phone=Telephone|message=Message|post=Post"`
}

// privateForm is the time in which a watch is shown privately only.
type privateForm struct {
	Until edtf.Date `form:"until" label:"Privately until" want:"the last day, for example 2027-03-01" id:"private_until"`
}

var (
	showing  = form.Define[showingForm]("what happened with a client")
	privates = form.Define[privateForm]("show privately first")
)

// Prepare implements the choices of a form.
func (f *showingForm) Prepare(v *form.View) {
	v.Offer(&f.Kind, form.Option{Value: shop.Shown, Text: "Shown to them"},
		form.Option{Value: shop.OfferedTo, Text: "Offered to them"},
		form.Option{Value: shop.Promised, Text: "First refusal promised"},
		form.Option{Value: shop.Accepted, Text: "They take it"},
		form.Option{Value: shop.Declined, Text: "They do not want it"},
		form.Option{Value: shop.Withdrawn, Text: "Offer or promise withdrawn"})
}

func (f *showingForm) showing(id shop.WatchID) shop.Showing {
	v := shop.Showing{Watch: id, Client: f.Client, Kind: f.Kind, Channel: f.Channel, Until: f.Until}
	switch f.Kind {
	case shop.OfferedTo, shop.Promised, shop.Accepted:
		v.Price = f.Price
	}
	return v
}

// matching is the page of those who want a watch, with its two forms.
type matching struct {
	clients.Matches
	showing  *form.Form[showingForm]
	privates *form.Form[privateForm]
}

func (s *clientPages) matching(r *http.Request) (matching, error) {
	ctx := r.Context()
	record, err := s.shop.Watch(ctx, shop.WatchID(r.PathValue("id")))
	if err != nil {
		return matching{}, err
	}
	m := matching{Matches: clients.Matches{Watch: record}}
	m.showing = showing.Of(ctx, showingForm{Client: r.FormValue("client"), Kind: shop.Shown, Price: record.Asking,
		Channel: "in the shop"})
	var until privateForm
	if record.PrivateOn(s.shop.Now()) {
		until.Until = record.PrivateTo
	}
	m.privates = privates.Of(ctx, until)
	return m, nil
}

func (s *clientPages) matchesPage(w http.ResponseWriter, r *http.Request) error {
	m, err := s.matching(r)
	if err != nil {
		return err
	}
	switch r.FormValue("done") {
	case "recorded":
		m.Notice = "Saved."
	case "private":
		m.Notice = "Saved. Until then only clients who are shown it hear of it."
	case "public":
		m.Notice = "Saved. It may be shown to everybody once it is listed."
	}
	return s.showMatches(w, r, m)
}

// showMatches fills in what every state of the page has.
func (s *clientPages) showMatches(w http.ResponseWriter, r *http.Request, m matching) error {
	ctx := r.Context()
	d := m.Matches
	d.Frame, d.Now, d.All = s.frame("stock", "Who wants "+d.Watch.Title), s.shop.Now(), r.FormValue("all") != ""
	var err error
	if d.Found, err = s.shop.People.MatchWatch(ctx, d.Watch.ID); err != nil {
		return err
	}
	pictures, err := s.shop.Desk.Pictures(ctx)
	if err != nil {
		return err
	}
	d.Picture = pictures[d.Watch.ID]
	if d.Showings, err = s.shop.People.Showings(ctx, d.Watch.ID, ""); err != nil {
		return err
	}
	if d.Names, d.People, err = s.shop.Names(ctx, "matches"); err != nil {
		return err
	}
	for _, v := range d.Showings {
		if v.Client != "" && v.Kind != shop.Withdrawn {
			d.First = v.Client
			break
		}
	}
	f := m.showing
	f.Offer(&f.V.Client, d.ClientChoices(f.V.Client)...)
	f.Field(&f.V.Until).Hint = "the last day of an offer or a first refusal, for example " +
		d.Now.AddDate(0, 0, 7).Format(time.DateOnly)
	if d.Choosable() {
		f.Drop(&f.V.Other)
	}
	d.Showing, d.Private = &f.View, &m.privates.View
	if !f.OK() || !m.privates.OK() {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	return clients.MatchesPage(d).Render(ctx, w)
}

// recordShowing records that the watch was shown, offered or promised.
func (s *clientPages) recordShowing(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	m, err := s.matching(r)
	if err != nil {
		return err
	}
	if m.showing, err = showing.Read(r, showingForm{}); err != nil {
		return err
	}
	f := m.showing
	if f.V.Other != "" {
		found, err := s.shop.People.Find(ctx, f.V.Other)
		switch {
		case errors.Is(err, shop.ErrNotFound), errors.Is(err, shop.ErrAmbiguous):
			f.Wrong(&f.V.Other, "“"+f.V.Other+"” is not one client of ours. Enter a name or an e-mail address.")
		case err != nil:
			return err
		default:
			f.V.Client = found.ID
		}
	}
	if !f.OK() {
		return s.showMatches(w, r, m)
	}
	_, err = s.shop.People.Show(ctx, f.V.showing(m.Watch.ID), s.user(ctx))
	if f.Refused(err, nil) {
		return s.showMatches(w, r, m)
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/watches/"+string(m.Watch.ID)+"/matches?done=recorded#passed", http.StatusSeeOther)
	return nil
}

// privateFirst sets or ends the time in which the watch is shown privately only.
func (s *clientPages) privateFirst(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	m, err := s.matching(r)
	if err != nil {
		return err
	}
	if m.privates, err = privates.Read(r, privateForm{}); err != nil {
		return err
	}
	done, f := "private", m.privates
	switch {
	case r.PostFormValue("public") != "":
		done = "public"
		_, err = s.shop.People.GoPublic(ctx, m.Watch.ID, s.user(ctx))
	case !f.OK():
		return s.showMatches(w, r, m)
	default:
		_, err = s.shop.People.PrivateFirst(ctx, m.Watch.ID, f.V.Until, s.user(ctx))
	}
	if f.Refused(err, nil) {
		return s.showMatches(w, r, m)
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/watches/"+string(m.Watch.ID)+"/matches?done="+done+"#private", http.StatusSeeOther)
	return nil
}

// wanted is a line for a watch's file: how many clients want such a watch. It names nobody, since that page is
// shown over the counter too.
func (s *site) wanted(ctx context.Context, record shop.Watch) (string, error) {
	switch record.State {
	case shop.Sold, shop.Returned:
		return "", nil
	}
	if !rights.May(ctx, rights.Clients) {
		return "", nil
	}
	found, err := s.shop.People.MatchWatch(ctx, record.ID)
	if err != nil || len(found) == 0 {
		return "", err
	}
	first := 0
	for _, m := range found {
		if m.CallFirst && !m.Refused {
			first++
		}
	}
	says := wording.Say(ctx, say.That("clients.wanted", say.Count("n", len(found))))
	if first > 0 {
		says += "; " + wording.Say(ctx, say.That("clients.call-first", say.Count("n", first)))
	}
	return says, nil
}
