package web_test

import (
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/rights"
	"midcase/internal/web"
	"midcase/internal/web/doors"
	"midcase/money"
	"midcase/opinion"
)

// private are the words of a watch that no client may read: what it cost and what a seller asked, whose it is or was,
// notes and free text, and whole numbers of marks.
func private(t *testing.T, s *site, w shop.Watch) map[string]string {
	t.Helper()
	out := map[string]string{}
	add := func(what, text string) {
		if len(strings.TrimSpace(text)) >= 4 && text != "under the loupe" { // which the words for faults say, too
			out[text] = what
		}
	}
	amount := func(what string, m money.Money) {
		if !m.IsZero() && m != w.Asking {
			add(what, m.Amount())
		}
	}
	amount("cost", w.Cost)
	all, err := s.shop.Stores().Watches.Watches(t.Context(), shop.Filter{})
	if err != nil {
		t.Fatal(err)
	}
	for _, other := range all {
		amount("cost of another", other.Cost)
		add("serial number", other.Serial)
	}
	o, file, err := s.shop.OpinionOn(t.Context(), w.ID, now, opinion.Settings{})
	if err != nil {
		t.Fatal(err)
	}
	if highest := o.Deal.HighestPrice; highest != nil {
		amount("highest price", *highest)
	}
	for _, it := range file.Items {
		add("note", it.Note)
		switch d := it.Data.(type) {
		case *evidence.Claim:
			add("claim", d.Text)
			add("seller", d.From)
			amount("seller's price", d.Price)
		case *evidence.Work:
			amount("cost of work", d.Cost)
			add("text of work", d.Text)
			add("who worked", d.By)
		case *evidence.Ownership:
			add("note on an owner", d.Note)
		case *evidence.Document:
			add("number on a paper", d.Serial)
			add("text of a paper", d.Text)
		case *evidence.Need:
			amount("cost to come", d.Cost)
		case *evidence.Mark:
			if d.What == "serial" || d.What == "movement_number" {
				add("private mark", d.Text)
			}
		}
	}
	clients, err := s.shop.Stores().Clients.Clients(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range clients {
		add("client", c.Name)
	}
	return out
}

// money as a page may write it: without what parts thousands.
var parts = regexp.MustCompile(`(\d)[,.'’  ](\d{3})`)

// TestThePresentationIsForEverybody renders the presentation of every watch as an owner: nothing of the shop's own is
// in its bytes.
func TestThePresentationIsForEverybody(t *testing.T) {
	s := look(t)
	all, err := s.shop.Stores().Watches.Watches(t.Context(), shop.Filter{})
	if err != nil {
		t.Fatal(err)
	}
	told, secrets := 0, 0
	for _, w := range all {
		a := s.get(watchPath(w.ID) + "/show")
		if a.StatusCode == http.StatusOK {
			told++
			want(t, a.page(t).Find("#condition"), "Overall")
		} else {
			s.wantStatus(a, http.StatusUnprocessableEntity)
		}
		plain := parts.ReplaceAllString(a.body, "$1$2")
		for secret, what := range private(t, s, w) {
			secrets++
			if strings.Contains(a.body, secret) || strings.Contains(plain, secret) {
				t.Errorf("watch %d shows %s: %q", w.Number, what, secret)
			}
		}
	}
	if told < 4 || secrets < 20 {
		t.Errorf("%d watches told of, %d private words looked for", told, secrets)
	}
}

func handOver(s *site, id shop.WatchID, key string) answer {
	return s.post(watchPath(id)+"/show/start", url.Values{"leaving": {key}, "again": {key}})
}

// heldTo walks every address: the presentation is let through, everything else is refused.
func heldTo(t *testing.T, s *site, id shop.WatchID) {
	t.Helper()
	page := watchPath(id) + "/show"
	open := map[string]bool{"GET /watches/{id}/show": true, "GET /watches/{id}/show/end": true,
		"POST /watches/{id}/show/end": true, "GET /watches/{id}/show/pictures/{sha}": true}
	refused := 0
	for pattern := range web.Needs {
		method, path, ok := strings.Cut(pattern, " ")
		if !ok {
			method, path = http.MethodGet, "/nowhere"
		}
		a := s.do(s.request(method, filledIn.Replace(path), nil))
		if open[pattern] == (a.StatusCode == http.StatusForbidden) {
			t.Errorf("%s: status %d", pattern, a.StatusCode)
		}
		if a.StatusCode == http.StatusForbidden {
			refused++
			if a.page(t).Find("a[href='"+page+"']").Length() != 1 || a.page(t).Find("a").Length() != 1 {
				t.Errorf("%s: the refusal does not lead back, or leads elsewhere too", pattern)
			}
		}
	}
	if refused < 100 {
		t.Errorf("%d addresses refused", refused)
	}
	for _, path := range []string{"/sign-in", "/healthz", "/feeds/guess/calendar.ics", "/", watchPath(goldWatch) + "/show",
		page + "/../listing", page + "/pictures/../../listing", "//" + page, page + "/start"} {
		if a := s.get(path); a.StatusCode != http.StatusForbidden {
			t.Errorf("%s: status %d", path, a.StatusCode)
		}
	}
	s.wantStatus(s.get("/assets/show.css"), http.StatusOK)
	d := s.page(page)
	d.Find("a[href]").Each(func(_ int, e elements) {
		to := e.AttrOr("href", "")
		if !strings.HasPrefix(to, "#") && !strings.HasPrefix(to, "?language=") && !strings.HasPrefix(to, page) {
			t.Errorf("the presentation leads to %s", to)
		}
	})
}

// A browser turned to a client gets one watch and nothing else until the key is typed.
func TestATurnedBrowserShowsOneWatch(t *testing.T) {
	s := serveBare(t)
	owner := s.as(rights.Owner)
	start := watchPath(soundWatch) + "/show/start"
	for _, wrong := range []url.Values{{"leaving": {"abc"}, "again": {"abc"}}, {"leaving": {"crown"}, "again": {"crowm"}},
		{"leaving": {"thirteen-char"}, "again": {"thirteen-char"}}, {}} {
		owner.wantStatus(owner.post(start, wrong), http.StatusUnprocessableEntity)
	}
	owner.wantStatus(owner.get("/"), http.StatusOK)
	owner.wantStatus(handOver(owner, soundWatch, "crown"), http.StatusSeeOther)
	heldTo(t, owner, soundWatch)

	end := watchPath(soundWatch) + "/show/end"
	owner.wantStatus(owner.post(end, url.Values{"leaving": {"bezel"}}), http.StatusUnprocessableEntity)
	owner.wantStatus(owner.get("/"), http.StatusForbidden)
	owner.wantStatus(owner.post(end, url.Values{"leaving": {"crown"}}), http.StatusSeeOther)
	owner.wantStatus(owner.get("/"), http.StatusOK)

	owner.wantStatus(handOver(owner, soundWatch, "crown"), http.StatusSeeOther)
	for range 5 {
		owner.wantStatus(owner.post(end, url.Values{"leaving": {"guess"}}), http.StatusUnprocessableEntity)
	}
	owner.wantStatus(owner.post(end, url.Values{"leaving": {"crown"}}), http.StatusTooManyRequests)
	owner.wantStatus(owner.get("/"), http.StatusForbidden)
	owner.http.Jar, _ = cookiejar.New(nil)
	owner.wantStatus(owner.get("/stock.csv"), http.StatusSeeOther) // to sign in
}

// Without people the key of the shop leaves the browser for as long as it is turned.
func TestATurnedBrowserHasNoKey(t *testing.T) {
	path, err := bare()
	if err != nil {
		t.Fatal(err)
	}
	key := doors.NewKey("secret")
	s := servedWith(t, filepath.Dir(path), web.Options{User: "tester", Key: key})
	t.Cleanup(s.close)
	in := strings.TrimPrefix(key.In(s.url), s.url)
	s.wantStatus(s.get(in), http.StatusSeeOther)
	at, err := url.Parse(s.url)
	if err != nil {
		t.Fatal(err)
	}
	s.wantStatus(handOver(s, soundWatch, "crown"), http.StatusSeeOther)
	for _, c := range s.http.Jar.Cookies(at) {
		if strings.HasPrefix(c.Name, "midcase_key") {
			t.Error("the browser still has the key")
		}
	}
	heldTo(t, s, soundWatch)
	s.get(watchPath(soundWatch) + "/show" + strings.TrimPrefix(in, "/"))
	for _, c := range s.http.Jar.Cookies(at) {
		if strings.HasPrefix(c.Name, "midcase_key") {
			t.Error("the key of the address was taken")
		}
	}
	held := s.http.Jar
	s.http.Jar, _ = cookiejar.New(nil)
	s.wantStatus(s.get("/stock.csv"), http.StatusUnauthorized)
	s.http.Jar = held
	s.wantStatus(s.post(watchPath(soundWatch)+"/show/end", url.Values{"leaving": {"crown"}}), http.StatusSeeOther)
	s.wantStatus(s.get("/stock.csv"), http.StatusOK)
}

// Where every browser is let in, nothing can be held back, and nothing is promised.
func TestAnOpenShopIsNotHandedOver(t *testing.T) {
	s := serveBare(t)
	a := handOver(s, soundWatch, "crown")
	s.wantStatus(a, http.StatusUnprocessableEntity)
	want(t, a.page(t).Find("[role=alert]"), "lets in every browser")
	s.wantStatus(s.get("/"), http.StatusOK)
}

// Somebody removed while a browser is turned is out of it, too.
func TestARemovedPersonsScreenGoesDark(t *testing.T) {
	s := serveBare(t)
	owner, other := s.as(rights.Owner), s.as(rights.Sales)
	other.wantStatus(handOver(other, soundWatch, "crown"), http.StatusSeeOther)
	if err := s.shop.Staff.Remove(t.Context(), "The "+string(rights.Sales)); err != nil {
		t.Fatal(err)
	}
	other.wantStatus(other.get(watchPath(soundWatch)+"/show"), http.StatusSeeOther)
	owner.wantStatus(owner.get("/"), http.StatusOK)
}
