package web_test

import (
	"bytes"
	"context"
	"crypto/rand"
	"encoding/json"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"midcase/edtf"
	"midcase/internal/bookdir"
	"midcase/internal/shop"
	"midcase/internal/shop/people"
	"midcase/internal/shop/rooms"
	"midcase/internal/store"
	"midcase/internal/storetest"
	"midcase/internal/web"
)

func TestClientPages(t *testing.T) {
	s := look(t)
	for _, c := range []struct{ path, selector, text string }{
		{"/clients", "table tbody tr", "Corvane Plenaire, steel, condition 7 or better"},
		{"/clients?q=brightmoor", "table tbody tr", "Ansel Brightmoor"},
		{"/clients?q=nothing-like-it", ".notice", "No client matches"},
		{"/clients/new", "form[action='/clients/new'] input[name=name]", ""},
		{"/clients/c_01", "h1", "Ansel Brightmoor"},
		{"/clients/c_01", "#matches ~ .wide table tbody tr", "Corvane KR-1"},
		{"/clients/c_01", "#wants ~ ul li", "unpolished before all else"},
		{"/clients/c_01/change", "input[name=email][value='ansel.brightmoor@mail.example']", ""},
		{"/clients/c_01/wants/1", "input[name=condition_floor][value='7']", ""},
		{"/clients/c_01/wants/new", "datalist#families option[value=Plenaire]", ""},
		{"/clients/c_01/erase", "h2", "What the law requires us to keep"},
		{"/client-files", "input[type=file]", ""},
		{watchPath(soundWatch), "#wanted", "such a watch"},
		{watchPath(soundWatch) + "/matches", "table tbody tr th a", "Ansel Brightmoor"},
		{watchPath(soundWatch) + "/matches?client=c_05", "select[name=client] option[selected]", "Harald Nystrand"},
	} {
		sel := s.page(c.path).Find(c.selector)
		if sel.Length() == 0 || !strings.Contains(squeeze(sel.Text()), c.text) {
			t.Errorf("GET %s: %s says %q; want %q", c.path, c.selector, squeeze(sel.Text()), c.text)
		}
	}
	for _, path := range []string{"/clients/none", "/clients/none/change", "/clients/c_01/wants/2", "/clients/c_01/wants/x", "/watches/none/matches", "/clients/none/kept.json", "/clients/none/card.vcf", "/feeds/guess/calendar.ics"} {
		s.wantStatus(s.get(path), http.StatusNotFound)
	}
	for path, start := range map[string]string{"/clients.vcf": "BEGIN:VCARD\r\nVERSION:4.0", "/clients/c_01/card.vcf": "BEGIN:VCARD", "/clients/c_01/kept.json": "{", "/calendar.ics": "BEGIN:VCALENDAR\r\n"} {
		a := s.get(path)
		s.wantStatus(a, http.StatusOK)
		if !strings.HasPrefix(a.body, start) {
			t.Errorf("GET %s begins %.40q; want %q", path, a.body, start)
		}
	}
}

func TestClientLife(t *testing.T) {
	s := serveBare(t)
	a := s.post("/clients/new", url.Values{"name": {"Wanda Birkhall"}, "kind": {"person"}, "country": {"se"},
		"email": {"wanda@mail.example"}, "call_first": {"yes"},
		"channel_kind_0": {"phone"}, "channel_value_0": {"+46 8 000 00"}, "channel_preferred_0": {"yes"}, "channel_kind_1": {""}, "channel_value_1": {""},
		"consent_offers_email": {"yes"}, "consent_offers_phone": {"no"}, "how": {"in writing"}})
	s.wantStatus(a, http.StatusSeeOther)
	path, _, _ := strings.Cut(a.Header.Get("Location"), "?")
	d := s.page(path)
	want(t, d.Find(".taken .facts"), "+46 8 000 00 preferred")
	want(t, d.Find(".taken .rules"),
		"Offers of watches: by e-mail allowed 2 Nov 2026, in writing; by telephone refused 2 Nov 2026, in writing")
	want(t, d.Find(".taken .rules"), "News of the shop: not asked")
	want(t, d.Find("#matches + p"), "nothing can be matched")

	// A want is added, met by the stock, changed and ended.
	a = s.post(path+"/wants/new", url.Values{"maker": {"Corvane"}, "reference": {"KR-1"}, "budget": {"20,000"}})
	s.wantStatus(a, http.StatusSeeOther)
	d = s.page(strings.TrimSuffix(a.Header.Get("Location"), "#matches"))
	want(t, d.Find(".notice"), "Corvane KR-1")
	version, _ := d.Find("form[action$='/wants/1/end'] [name=version]").Attr("value")
	a = s.post(path+"/wants/1", url.Values{"version": {version}, "maker": {"Lindqvarn"}, "year_from": {"1990"},
		"year_to": {"1960"}, "note": {"kept"}})
	s.wantStatus(a, http.StatusUnprocessableEntity)
	want(t, a.page(t).Find(".field:has(#f-year_to) .error"), "1990 or later")
	want(t, a.page(t).Find("#f-note"), "kept")
	s.wantStatus(s.post(path+"/wants/1", url.Values{"version": {"1"}, "maker": {"Lindqvarn"}}), http.StatusConflict)
	s.wantStatus(s.post(path+"/wants/1/end", url.Values{"version": {version}}), http.StatusSeeOther)
	want(t, s.page(path).Find("#wants ~ details"), "1 earlier request")

	// A form that is wrong says so next to the field and keeps what was typed.
	a = s.post(path+"/change", url.Values{"version": {"9"}, "name": {""}, "country": {"Sweden"}, "note": {"kept"}})
	s.wantStatus(a, http.StatusUnprocessableEntity)
	want(t, a.page(t).Find(".field:has(#f-name) .error"), "Enter the name.")
	want(t, a.page(t).Find(".field:has(#f-country) .error"), "two letters")
	want(t, a.page(t).Find("#f-note"), "kept")
	s.wantStatus(s.post(path+"/change", url.Values{"version": {"1"}, "name": {"Wanda"}}), http.StatusConflict)

	// What was once said about consent cannot be taken back, and a channel needs an address.
	a = s.post(path+"/change", url.Values{"version": {versionOf(s, path)}, "consent_offers_email": {""},
		"channel_kind_1": {"post"}, "channel_value_1": {""}})
	s.wantStatus(a, http.StatusUnprocessableEntity)
	want(t, a.page(t).Find("td:has(#f-consent_offers_email) .error"), "cannot be removed")
	want(t, a.page(t).Find(".field:has(#f-channel_value_1) .error"), "Enter the address or number")
	want(t, a.page(t).Find("#f-consent_offers_phone option[selected]"), "refused")

	a = s.post(path+"/owns", url.Values{"version": {versionOf(s, path)}, "since": {"long ago"}})
	s.wantStatus(a, http.StatusUnprocessableEntity)
	want(t, a.page(t).Find(".field:has(#o-since) .error"), "“long ago” is not a date")
	want(t, a.page(t).Find(".field:has(#o-maker) .error"), "Enter the maker, the reference or a note.")
	a = s.post(path+"/owns", url.Values{"version": {versionOf(s, path)}, "maker": {"Ostrel"}, "reference": {"OS-20"},
		"since": {"2019"}})
	s.wantStatus(a, http.StatusSeeOther)
	want(t, s.page(path).Find("#owns ~ ul"), "Ostrel OS-20, since 2019")
	want(t, s.page(path).Find("details.figures"), "changed by tester")
}

// versionOf is the version of a client whose page is open.
func versionOf(s *site, path string) string {
	v, _ := s.page(path + "/change").Find("form [name=version]").Attr("value")
	return v
}

func TestShowingsAndPromises(t *testing.T) {
	s := serveBare(t)
	file := watchPath(soundWatch) + "/matches"
	form := url.Values{"client": {"c_01"}, "kind": {"promised"}, "price": {"13000"}, "channel": {"phone"}}
	a := s.post(file, form)
	s.wantStatus(a, http.StatusUnprocessableEntity)
	want(t, a.page(t).Find(".field:has(#f-until) .error"), "the last day of the promise")
	other := watchPath(swappedWatch) + "/matches" // a price as a German reader types it
	s.wantStatus(s.asked("de", http.MethodPost, other, url.Values{"client": {"c_01"}, "kind": {"offered"},
		"price": {"13.000,50"}}), http.StatusSeeOther)
	want(t, s.page(other).Find("#passed ~ .wide"), "was offered it at 13,000.50 EUR")
	form.Set("until", "2026-11-09")
	s.wantStatus(s.post(file, form), http.StatusSeeOther)
	want(t, s.page(file).Find("#passed ~ .wide"),
		"Ansel Brightmoor firsthas first refusal at 13,000 EUR, until 9 Nov 2026")
	form.Set("client", "c_05")
	a = s.post(file, form)
	s.wantStatus(a, http.StatusUnprocessableEntity)
	want(t, a.page(t).Find("#record ~ .notice.wrong"), "was promised the first refusal")
	want(t, s.page("/calendar").Find("table"), "Promise endsAnsel Brightmoor")
	want(t, s.page("/clients/c_01").Find("#passed ~ .wide"), "Corvane KR-1")
	want(t, s.page("/clients?q=brightmoor").Find("table"), "2 Nov 2026")

	s.wantStatus(s.post(watchPath(soundWatch)+"/private", url.Values{"until": {"yesterday"}}),
		http.StatusUnprocessableEntity)
	s.wantStatus(s.post(watchPath(soundWatch)+"/private", url.Values{"until": {"2026-11-20"}}), http.StatusSeeOther)
	want(t, s.page(file).Find("#private + p"), "until 20 Nov 2026")
	want(t, s.page("/calendar").Find("main"), "Private list ends")
	s.wantStatus(s.post(watchPath(soundWatch)+"/private", url.Values{"public": {"yes"}}), http.StatusSeeOther)
	if text := s.page("/calendar").Find("main").Text(); strings.Contains(text, "Private list ends") {
		t.Error("the private list is still in the calendar")
	}
}

// TestFeedAddress: a calendar program reads the feed by its address alone, until there is
// another.
func TestFeedAddress(t *testing.T) {
	s := serveBare(t)
	if _, err := s.shop.People.Show(context.Background(), shop.Showing{Watch: soundWatch, Client: "c_01",
		Kind: shop.Promised, Until: edtf.MustParse("2026-11-09")}, "tester"); err != nil {
		t.Fatal(err)
	}
	feed := func() string {
		u, err := url.Parse(strings.TrimSpace(s.page("/calendar").Find("code").Text()))
		if err != nil {
			t.Fatal(err)
		}
		return u.Path
	}
	first := feed()
	a := s.get(first)
	s.wantStatus(a, http.StatusOK)
	for _, line := range []string{"BEGIN:VEVENT\r\n", "DTSTART;VALUE=DATE:20261109\r\n", "END:VCALENDAR\r\n"} {
		if !strings.Contains(a.body, line) {
			t.Errorf("the feed lacks %q:\n%s", line, a.body)
		}
	}
	if strings.Contains(a.body, "Brightmoor") {
		t.Error("the feed names a client")
	}
	s.wantStatus(s.post("/calendar/address", nil), http.StatusSeeOther)
	s.wantStatus(s.get(first), http.StatusNotFound)
	s.wantStatus(s.get(feed()), http.StatusOK)
}

func TestImportClientsInTwoSteps(t *testing.T) {
	s := serveBare(t)
	send := func(name, text string) answer {
		t.Helper()
		var b bytes.Buffer
		m := multipart.NewWriter(&b)
		part, err := m.CreateFormFile("file", name)
		if err != nil {
			t.Fatal(err)
		}
		part.Write([]byte(text))
		m.Close()
		r := s.request(http.MethodPost, "/client-files", &b)
		r.Header.Set("Content-Type", m.FormDataContentType())
		r.Header.Set("Sec-Fetch-Site", "same-origin")
		return s.do(r)
	}
	count := func() int {
		all, err := s.shop.People.All(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		return len(all)
	}
	before := count()
	a := send("people.csv", "Kunde;Mail;City\nJorun Askvik;jorun@mail.example;Bergen\nBrightmoor, Ansel;ANSEL.BRIGHTMOOR@mail.example;York\n")
	s.wantStatus(a, http.StatusSeeOther)
	at := a.Header.Get("Location")
	a = s.get(at)
	s.wantStatus(a, http.StatusUnprocessableEntity) // no column is the name yet
	want(t, a.page(t).Find(".notice.wrong"), "no column for the name")
	d := s.page(at + "?map_name=Kunde&map_email=Mail")
	want(t, d.Find(".lead"),
		"2 clients read: 1 new one, 1 looks like a client on record, 0 kept out. Nothing is written yet.")
	want(t, d.Find("table").First(), "Ansel Brightmoor")
	want(t, d.Find("table").First(), "the same e-mail address")
	if count() != before {
		t.Error("looking at a file wrote something")
	}
	form := url.Values{"duplicates": {"merge"}}
	d.Find("form[method=post] input[type=hidden]").Each(func(_ int, e elements) {
		form.Set(e.AttrOr("name", ""),
			e.AttrOr("value", ""))
	})
	a = s.post(at, form)
	s.wantStatus(a, http.StatusSeeOther)
	want(t, s.page(a.Header.Get("Location")).Find(".notice"), "Imported: 1 new, 1 merged, 1 duplicates, 0 kept out.")
	if count() != before+1 {
		t.Errorf("%d clients; want %d", count(), before+1)
	}
	s.wantStatus(s.post(at, form), http.StatusSeeOther) // the answer of the first
	form.Del("Midcase-Form")
	s.wantStatus(s.post(at, form), http.StatusUnprocessableEntity) // not twice
	a = send("cards.vcf", "BEGIN:VCARD\r\nVERSION:4.0\r\nFN:Jorun Askvik\r\nEMAIL:jorun@mail.example\r\nEND:VCARD\r\n")
	s.wantStatus(a, http.StatusSeeOther)
	want(t, s.page(a.Header.Get("Location")).Find("table"), "Jorun Askvik")
	s.wantStatus(send("empty.csv", ""), http.StatusUnprocessableEntity)
}

func TestEraseAsksFirst(t *testing.T) {
	s := serveSealed(t)
	c, err := s.shop.People.Add(context.Background(), shop.Client{Name: "Wanda Birkhall", Email: "wanda@mail.example"})
	if err != nil {
		t.Fatal(err)
	}
	path := "/clients/" + c.ID
	s.wantStatus(s.post(path+"/erase", nil), http.StatusUnprocessableEntity)
	want(t, s.page(path).Find("h1"), "Wanda Birkhall")
	var kept people.File
	if err := json.Unmarshal([]byte(s.get(path+"/kept.json").body), &kept); err != nil ||
		kept.Client.Email != "wanda@mail.example" {
		t.Errorf("kept: %+v, %v", kept.Client, err)
	}
	a := s.post(path+"/erase", url.Values{"sure": {"yes"}})
	s.wantStatus(a, http.StatusSeeOther)
	want(t, s.page(a.Header.Get("Location")).Find(".notice"), "Back-ups made earlier still hold the data")
	a = s.get(path)
	want(t, a.page(t).Find("h1"), "Erased client")
	if strings.Contains(a.body, "Birkhall") || strings.Contains(a.body, "wanda") {
		t.Error("the page still names the person")
	}
	s.wantStatus(s.get(path+"/change"), http.StatusNotFound)
	s.wantStatus(s.get(path+"/card.vcf"), http.StatusNotFound)
}

func TestNoClientsSayWhatToDo(t *testing.T) {
	s := serveEmpty(t)
	want(t, s.page("/clients").Find(".notice a[href='/clients/new']"), "Add the first one")
	want(t, s.page("/calendar").Find(".notice"), "Days come here by themselves")
}

// serveSealed serves an empty shop whose client data are encrypted, so that they can be
// erased.
func serveSealed(t *testing.T) *site {
	t.Helper()
	st, err := store.Open(t.Context(), "sqlite:"+filepath.Join(t.TempDir(), "midcase.db"),
		store.WithClientKey(make([]byte, store.ClientKeyBytes)))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { st.Close() })
	s, err := rooms.Open(t.Context(), shop.On(st, &storetest.Memory{}, bookdir.Fixed(nil)),
		shop.Options{Now: func() time.Time { return now }, NewID: func(prefix string) string {
			return prefix + "_" +
				rand.Text()
		}})
	if err != nil {
		t.Fatal(err)
	}
	srv := httptest.NewServer(web.New(s, web.Options{User: "tester"}))
	t.Cleanup(srv.Close)
	return &site{t, s, t.TempDir(), srv.URL, &http.Client{CheckRedirect: func(*http.Request,
		[]*http.Request) error {
		return http.ErrUseLastResponse
	}}, srv.Close}
}
