package web_test

import (
	"bytes"
	"image"
	"image/jpeg"
	"net/http"
	"net/http/cookiejar"
	"net/netip"
	"net/url"
	"strings"
	"testing"

	"midcase/evidence"
	"midcase/internal/papers"
	"midcase/internal/shop"
	"midcase/internal/shop/people"
	"midcase/internal/shop/rights"
	"midcase/say"
)

// stranger is a browser that nobody signed in with.
func (s *site) stranger() *site {
	own, client := *s, *s.http
	client.Jar, _ = cookiejar.New(nil)
	own.http = &client
	return &own
}

// linkTo makes a private link of a watch through the page, and returns the path of its address.
func linkTo(t *testing.T, s *site, id shop.WatchID, language string) string {
	t.Helper()
	all, err := s.shop.Stores().Clients.Clients(t.Context())
	if err != nil || len(all) == 0 {
		t.Fatalf("%d clients, %v", len(all), err)
	}
	a := s.post(watchPath(id)+"/links", url.Values{"client": {all[0].ID}, "language": {language}, "days": {"14"}})
	s.wantStatus(a, http.StatusOK)
	u, err := url.Parse(a.page(t).Find("code.address").Text())
	if err != nil || !strings.HasPrefix(u.Path, "/private/") {
		t.Fatalf("address %v, %v: %s", u, err, a.words())
	}
	return u.Path
}

// addPicture records a picture of a watch.
func addPicture(t *testing.T, s *site, id shop.WatchID, view string) evidence.Item {
	t.Helper()
	img := image.NewGray(image.Rect(0, 0, 300, 200))
	img.Pix[0] = byte(len(view)) // two views are two pictures
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 100}); err != nil {
		t.Fatal(err)
	}
	it, err := s.shop.Intake.AddPhoto(t.Context(), id, view, "", &b, "tester")
	if err != nil {
		t.Fatal(err)
	}
	return it
}

// A fault whose place in a picture was recorded is ringed and numbered there, in the language asked for; one outside
// the picture is told beside it.
func TestFaultsAreMarkedInThePresentation(t *testing.T) {
	s := serveBare(t)
	photo := addPicture(t, s, soundWatch, "dial")
	for i, at := range [][2]float64{{120, 80}, {900, 900}} {
		if _, err := s.shop.Intake.Record(t.Context(), soundWatch, "tester", &evidence.Finding{Slot: evidence.Dial,
			Term: []string{"spotting", "scratches"}[i], Severity: 2, Photo: photo.ID, At: at, RadiusPx: 12}); err != nil {
			t.Fatal(err)
		}
	}
	figure := s.page(watchPath(soundWatch) + "/show?language=de").Find("figure:has(svg circle)")
	if n := figure.Find("svg circle").Length(); n != 1 {
		t.Fatalf("%d rings; want one", n)
	}
	if cx := figure.Find("svg circle").AttrOr("cx", ""); cx != "120.0" {
		t.Errorf("the ring is at %s", cx)
	}
	want(t, figure.Find("ol li"), "Zifferblatt")
	if figure.Find("ol li").Length() != 1 || figure.Find("ul li").Length() == 0 {
		t.Errorf("beside the picture: %s", squeeze(figure.Find("figcaption").Text()))
	}
}

// A private link shows the listing in the language asked for with its pictures, and nothing that is the shop's own.
func TestAPrivateLinkShowsOneWatch(t *testing.T) {
	s := serve(t)
	owner := s.as(rights.Owner)
	client := s.stranger()
	all, err := s.shop.Stores().Watches.Watches(t.Context(), shop.Filter{})
	if err != nil {
		t.Fatal(err)
	}
	shown := 0
	for i, w := range all {
		if !papers.ForSale(w.State) {
			a := owner.post(watchPath(w.ID)+"/links", url.Values{"client": {"c_none"}, "days": {"14"}})
			owner.wantStatus(a, http.StatusUnprocessableEntity)
			continue
		}
		language := say.Languages()[i%len(say.Languages())]
		at := linkTo(t, owner, w.ID, language)
		a := client.get(at)
		client.wantStatus(a, http.StatusOK)
		d := a.page(t)
		if got := d.Find("html").AttrOr("lang", ""); got != language {
			t.Errorf("watch %d: language %q; want %q", w.Number, got, language)
		}
		shown++
		plain := parts.ReplaceAllString(a.body, "$1$2")
		for secret, what := range private(t, s, w) {
			if strings.Contains(a.body, secret) || strings.Contains(plain, secret) {
				t.Errorf("watch %d shows %s: %q", w.Number, what, secret)
			}
		}
		d.Find("a[href], link[href], img[src]").Each(func(_ int, e elements) {
			to := e.AttrOr("href", "") + e.AttrOr("src", "")
			if !strings.HasPrefix(to, at+"/pictures/") && !strings.HasPrefix(to, "/assets/") {
				t.Errorf("the page leads to %s", to)
			}
		})
		d.Find(".pictures img").Each(func(_ int, e elements) {
			client.wantStatus(client.get(e.AttrOr("src", "")), http.StatusOK)
		})
		client.wantStatus(client.get(watchPath(w.ID)), http.StatusSeeOther)
	}
	if shown < 4 {
		t.Errorf("%d watches shown", shown)
	}
}

// A link is counted each time it is opened, and shows nothing once it was taken back, its day is past, the watch was
// sold or the client's data are erased.
func TestAPrivateLinkEnds(t *testing.T) {
	s := serveBare(t)
	owner, client := s.as(rights.Owner), s.stranger()
	paper := addPicture(t, s, soundWatch, "papers").Data.(*evidence.Photo)
	addPicture(t, s, soundWatch, "dial")
	at := linkTo(t, owner, soundWatch, "de")
	sha := client.page(at).Find(".pictures a").First().AttrOr("href", "")
	client.wantStatus(client.get(at+"/pictures/"+paper.Blob), http.StatusNotFound)
	client.wantStatus(client.do(client.request(http.MethodHead, at, nil)), http.StatusOK)
	client.wantStatus(client.get(sha), http.StatusOK)
	client.page(at)
	want(t, owner.page(watchPath(soundWatch)).Find("#opened"), "opened 2 times")
	page := owner.page(watchPath(soundWatch) + "/links")
	want(t, page.Find("main"), "Opened 2 times")
	if strings.Contains(page.Text(), strings.TrimPrefix(at, "/private/")) {
		t.Error("the address is shown again")
	}
	link := page.Find("input[name=link]").AttrOr("value", "")
	owner.wantStatus(owner.post(watchPath(goldWatch)+"/links/end", url.Values{"link": {link}}), http.StatusNotFound)
	owner.wantStatus(owner.post(watchPath(soundWatch)+"/links/end", url.Values{"link": {link}}), http.StatusSeeOther)
	for _, path := range []string{at, sha} {
		if a := client.get(path); a.StatusCode == http.StatusOK || strings.Contains(a.body, "Corvane") {
			t.Errorf("%s after it was taken back: status %d", path, a.StatusCode)
		}
	}
	want(t, client.get(at).page(t).Find("h1"), "nicht mehr")

	second := linkTo(t, owner, soundWatch, "en")
	w, err := s.shop.Watch(t.Context(), soundWatch)
	if err != nil {
		t.Fatal(err)
	}
	w.State = shop.Sold
	if _, err := s.shop.Stores().Watches.UpdateWatch(t.Context(), w); err != nil {
		t.Fatal(err)
	}
	want(t, client.get(second).page(t).Find("main"), "This watch has been sold.")
	if client.get(second).page(t).Find("img").Length() > 0 {
		t.Error("a sold watch is shown")
	}
	owner.wantStatus(owner.post(watchPath(soundWatch)+"/links", url.Values{"client": {"x"}, "days": {"14"}}),
		http.StatusUnprocessableEntity)
}

// The last day is the last on which it opens.
func TestTheLastDayOfAPrivateLink(t *testing.T) {
	l := shop.Link{Until: "2026-11-02"}
	if !l.Opens(now) || l.Opens(now.AddDate(0, 0, 1)) {
		t.Errorf("opens on its last day %t, on the next %t", l.Opens(now), l.Opens(now.AddDate(0, 0, 1)))
	}
	s := serveBare(t)
	owner, client := s.as(rights.Owner), s.stranger()
	all, err := s.shop.Stores().Clients.Clients(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, days := range []int{0, 91} {
		if _, _, err := s.shop.People.AddLink(t.Context(), shop.Link{Watch: soundWatch, Client: all[0].ID,
			Language: "en", By: "Ada"}, days); err == nil {
			t.Errorf("a link for %d days", days)
		}
	}
	_, secret, err := s.shop.People.AddLink(t.Context(), shop.Link{Watch: soundWatch, Client: all[0].ID, Language: "en",
		By: "Ada"}, people.LinkDays)
	if err != nil {
		t.Fatal(err)
	}
	client.wantStatus(client.get("/private/"+secret), http.StatusOK)
	if file, err := s.shop.People.Export(t.Context(), all[0].ID); err != nil || len(file.Links) != 1 ||
		file.Links[0].Views != 1 {
		t.Errorf("exported %+v, %v", file.Links, err)
	}
	if err := s.shop.Stores().Links.DropLinks(t.Context(), all[0].ID); err != nil { // as erasing the client does
		t.Fatal(err)
	}
	client.wantStatus(client.get("/private/"+secret), http.StatusNotFound)
	owner.wantStatus(owner.get(watchPath(soundWatch)+"/links"), http.StatusOK)
}

// Guesses are counted by the place that they come from; a right address opens all the same.
func TestPrivateLinksCannotBeGuessedAtSpeed(t *testing.T) {
	s := serveBare(t)
	owner, client := s.as(rights.Owner), s.stranger()
	at := linkTo(t, owner, soundWatch, "en")
	for range 30 {
		client.wantStatus(client.get("/private/guess"), http.StatusNotFound)
	}
	client.wantStatus(client.get("/private/guess"), http.StatusTooManyRequests)
	client.wantStatus(client.get(at), http.StatusOK)
	if err := s.shop.Staff.WrongAddress(t.Context(), netip.MustParseAddr("192.0.2.9")); err != nil {
		t.Errorf("from another place: %v", err)
	}
}

// Without people nothing opens but by the key, so that no link is made.
func TestAPrivateLinkNeedsPeople(t *testing.T) {
	s := serveBare(t)
	d := s.page(watchPath(soundWatch) + "/links")
	want(t, d.Find("[role=alert]"), "Add people first")
	if d.Find("form[action$='/links']").Length() != 0 {
		t.Error("a link is offered")
	}
	s.post(watchPath(soundWatch)+"/links", url.Values{"client": {"x"}, "days": {"14"}})
	if all, err := s.shop.People.Links(t.Context(), soundWatch, ""); err != nil || len(all) != 0 {
		t.Errorf("%d links, %v", len(all), err)
	}
}
