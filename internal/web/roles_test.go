package web_test

import (
	"net/http"
	"net/http/cookiejar"
	"slices"
	"strings"
	"testing"

	"midcase/internal/shop/rights"
	"midcase/internal/shop/staff"
	"midcase/internal/web"
)

// as is the site with another browser, in which somebody of a role is signed in.
func (s *site) as(role rights.Role) *site {
	s.t.Helper()
	name := "The " + string(role)
	if err := s.shop.Staff.Add(s.t.Context(), name, fourWords, role); err != nil {
		s.t.Fatal(err)
	}
	own, client := *s, *s.http
	client.Jar, _ = cookiejar.New(nil)
	own.http = &client
	own.wantStatus(own.signIn(name, fourWords, "/"), http.StatusSeeOther)
	return &own
}

// everyRole signs somebody of each role in.
func everyRole(s *site) map[rights.Role]*site {
	out := map[rights.Role]*site{}
	for _, role := range rights.Roles() {
		out[role] = s.as(role)
	}
	return out
}

// filledIn has values for what is open in an address, so that its handler has something to do.
var filledIn = strings.NewReplacer("{$}", "", "{id}", string(soundWatch), "{maker}", "corvane", "{reference}", "KR-1",
	"{sha}", "none", "{blob}", "none", "{item}", "none", "{n}", "1", "{token}", "none", "{view}", "over",
	"{file}", "listing.pdf", "{ending}", "pdf")

// TestEveryRoleOnEveryAddress asks for each address as somebody of each role: who lacks the right gets 403,
// who has it does not.
func TestEveryRoleOnEveryAddress(t *testing.T) {
	s := serveBare(t)
	people := everyRole(s)
	for pattern, right := range web.Needs {
		method, path, ok := strings.Cut(pattern, " ")
		if !ok || path == "/sign-out" {
			continue // the page that says that there is none; the end of a session
		}
		path = filledIn.Replace(path)
		for _, role := range rights.Roles() {
			var a answer
			switch method {
			case http.MethodPost:
				a = people[role].post(path, nil)
			case http.MethodGet:
				a = people[role].get(path)
			default:
				a = people[role].do(people[role].request(method, path, strings.NewReader("{}")))
			}
			may := slices.Contains(rights.Who(right), role)
			if (a.StatusCode == http.StatusForbidden) == may {
				t.Errorf("%s by %s: status %d; has the right to %s: %t", pattern, role, a.StatusCode, right, may)
			}
			refusal := `{"error":`
			if strings.HasPrefix(path, "/api/v1/") {
				refusal = `{"title":"Forbidden","status":403,`
			}
			if !may && strings.HasPrefix(path, "/api/") && !strings.HasPrefix(a.body, refusal) {
				t.Errorf("%s by %s: %q", pattern, role, a.body)
			}
		}
	}
}

// What watches cost and whose they are shows on no page and in no file of somebody for whom it is not.
func TestAViewerSeesNoCostAndNoClients(t *testing.T) {
	s := serve(t)
	people := everyRole(s)
	owner, viewer := people[rights.Owner], people[rights.Viewer]
	for _, path := range []string{"/", "/stock.csv", "/stock/list", "/api/watches", watchPath(goldWatch),
		"/api" + watchPath(goldWatch) + "/opinion", "/api/v1/stock", "/api/v1/watches", "/api/v1" + watchPath(goldWatch),
		"/api/v1" + watchPath(goldWatch) + "/evidence", "/api/v1" + watchPath(goldWatch) + "/opinion", "/compare?a=" + string(soundWatch) + "&b=" + string(goldWatch)} {
		a := viewer.get(path)
		viewer.wantStatus(a, http.StatusOK)
		for _, secret := range secrets(t, owner) {
			if strings.Contains(a.body, secret) {
				t.Errorf("GET %s shows %q to a viewer", path, secret)
			}
		}
	}
	if !strings.Contains(owner.get("/stock.csv").body, secrets(t, owner)[0]) {
		t.Error("the owner does not see the cost either")
	}
	if says := strings.Trim(viewer.page("/").Find("td.cost").Text(), "–"); says != "" {
		t.Errorf("the list shows costs to a viewer: %s", says)
	}
	if says := strings.Trim(owner.page("/").Find("td.cost").Text(), "–"); says == "" {
		t.Error("the list shows the owner no cost")
	}
	d := viewer.page(watchPath(goldWatch))
	if n := d.Find("#deal, a[href$='/life'], a[href$='/matches'], header nav a[href='/clients']").Length(); n > 0 {
		t.Errorf("%d ways on a viewer's page lead to what is not for them", n)
	}
}

// secrets are what the gold watch cost, and the highest price to pay for it.
func secrets(t *testing.T, owner *site) []string {
	t.Helper()
	w, err := owner.shop.Watch(t.Context(), goldWatch)
	if err != nil || w.Cost.IsZero() {
		t.Fatalf("%+v, %v; want a watch that cost something", w.Cost, err)
	}
	return []string{w.Cost.Amount()}
}

// What somebody asked for and may not is on the record of the door, once however often it is asked.
func TestWhatIsNotAllowedIsRecorded(t *testing.T) {
	s := serveEmpty(t)
	owner, viewer := s.as(rights.Owner), s.as(rights.Viewer)
	for range 3 {
		viewer.wantStatus(viewer.get("/people"), http.StatusForbidden)
	}
	if n := strings.Count(owner.page("/people").Find("main").Text(), "not allowed: GET /people"); n != 1 {
		t.Errorf("the record of the door has it %d times; want once", n)
	}
}

// What is served is looked at by the methods that are meant for it; folders are not listed.
func TestOtherMethodsAndFoldersAreNotServed(t *testing.T) {
	s := look(t)
	for _, path := range []string{"/assets/", "/assets/fonts/", "/feeds/", "/book/", "/.git/config", "/midcase.db",
		"/client.key"} {
		if a := s.get(path); a.StatusCode != http.StatusNotFound {
			t.Errorf("GET %s: %d; want nothing there", path, a.StatusCode)
		}
	}
	for _, method := range []string{http.MethodTrace, http.MethodOptions, http.MethodDelete, "PROPFIND"} {
		r, err := http.NewRequestWithContext(t.Context(), method, s.url+"/settings", nil)
		if err != nil {
			t.Fatal(err)
		}
		a, err := s.http.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		a.Body.Close()
		if a.StatusCode != http.StatusNotFound {
			t.Errorf("%s /settings: %d; want nothing there", method, a.StatusCode)
		}
	}
}

func TestTheAccountOfAPerson(t *testing.T) {
	s := serveEmpty(t)
	owner := s.as(rights.Owner)
	viewer := s.as(rights.Viewer)
	again := *viewer.http
	again.Jar, _ = cookiejar.New(nil)
	other := *viewer
	other.http = &again
	other.wantStatus(other.signIn("the viewer", fourWords, "/"), http.StatusSeeOther)

	const next = "another four words here"
	a := viewer.post("/account", map[string][]string{"act": {"password"}, "now": {"wrong wrong wrong"}, "password": {next}})
	viewer.wantStatus(a, http.StatusUnprocessableEntity)
	want(t, a.page(t).Find(".error"), "do not belong together")
	if strings.Contains(a.body, next) {
		t.Error("the page holds the password that was typed")
	}
	a = viewer.post("/account", map[string][]string{"act": {"password"}, "now": {fourWords}, "password": {next}})
	viewer.wantStatus(a, http.StatusSeeOther)
	viewer.wantStatus(viewer.get("/"), http.StatusOK)
	other.wantStatus(other.get("/"), http.StatusSeeOther) // the session elsewhere has ended

	viewer.wantStatus(viewer.post("/account", map[string][]string{"act": {"sign-out"}}), http.StatusSeeOther)
	viewer.wantStatus(viewer.get("/"), http.StatusSeeOther)
	viewer.wantStatus(viewer.signIn("The viewer", next, "/"), http.StatusSeeOther)

	owner.wantStatus(owner.post("/people", map[string][]string{"act": {"role"}, "name": {"The viewer"},
		"role": {"sales"}}), http.StatusSeeOther)
	viewer.wantStatus(viewer.get("/clients"), http.StatusOK)
	owner.wantStatus(owner.post("/people", map[string][]string{"act": {"remove"}, "name": {"The owner"}}),
		http.StatusUnprocessableEntity)
	want(t, owner.page("/people").Find("table.people"), "The viewer")
	want(t, owner.page("/people").Find("#door + table"), "password changed")
}

// Somebody at the desk lets the first person in; from then on every page asks.
func TestTheFirstPersonIsAddedInTheBrowser(t *testing.T) {
	s := serveEmpty(t)
	a := s.post("/people", map[string][]string{"act": {"add"}, "name": {"Ines"}, "password": {"short"}})
	s.wantStatus(a, http.StatusUnprocessableEntity)
	s.wantStatus(s.post("/people", map[string][]string{"act": {"add"}, "name": {"Ines"}, "password": {fourWords}}),
		http.StatusSeeOther)
	s.wantStatus(s.get("/people"), http.StatusSeeOther)
	s.wantStatus(s.signIn("Ines", fourWords, "/people"), http.StatusSeeOther)
	want(t, s.page("/people").Find("option[selected]"), "owner")
}

// A shop that other machines reach before it has people lets in whoever has the code that was printed, once.
func TestTheFirstPersonHasTheCode(t *testing.T) {
	code := staff.NewCode()
	s := servedWith(t, t.TempDir(), web.Options{User: "tester", FirstCode: code})
	t.Cleanup(s.close)
	for _, path := range []string{"/", "/stock.csv", "/clients.vcf", "/api/watches", "/sign-in", "/people"} {
		a := s.get(path)
		if to := a.Header.Get("Location"); a.StatusCode != http.StatusSeeOther || to != "/first" {
			t.Errorf("GET %s: status %d to %q; want to be led to the first person", path, a.StatusCode, to)
		}
	}
	add := func(code string) answer {
		return s.post("/first", map[string][]string{"code": {code}, "name": {"Ines"}, "password": {fourWords}})
	}
	a := add("AAAAA-AAAAA")
	s.wantStatus(a, http.StatusUnprocessableEntity)
	want(t, a.page(t).Find(".error"), "not the code")
	s.wantStatus(add(strings.ToLower(strings.ReplaceAll(code, "-", " "))), http.StatusSeeOther)
	people, err := s.shop.Staff.People(t.Context())
	if err != nil || len(people) != 1 || people[0].Role != rights.Owner {
		t.Fatalf("%+v, %v; want one owner", people, err)
	}
	s.wantStatus(s.get("/"), http.StatusSeeOther)
	again := s.post("/first", map[string][]string{"code": {code}, "name": {"Odo"}, "password": {fourWords}})
	s.wantStatus(again, http.StatusUnauthorized)
	s.wantStatus(s.signIn("Ines", fourWords, "/"), http.StatusSeeOther)
	s.wantStatus(s.get("/people"), http.StatusOK)
}

func TestCodesCannotBeGuessedAtSpeed(t *testing.T) {
	code := staff.NewCode()
	s := servedWith(t, t.TempDir(), web.Options{User: "tester", FirstCode: code})
	t.Cleanup(s.close)
	for _, c := range []string{"a", "b", "c", "d", "e"} {
		s.post("/first", map[string][]string{"code": {c}, "name": {"Odo"}, "password": {fourWords}})
	}
	a := s.post("/first", map[string][]string{"code": {code}, "name": {"Odo"}, "password": {fourWords}})
	s.wantStatus(a, http.StatusTooManyRequests)
}
