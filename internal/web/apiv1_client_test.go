package web_test

import (
	"bytes"
	"encoding/json"
	"io"
	"net/http"
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"midcase/client"
	"midcase/internal/papers"
	"midcase/internal/shop"
	"midcase/internal/shop/hooks"
	"midcase/internal/shop/rights"
)

// program is a shop with people, and what each token of one of them may.
func program(t *testing.T, person string, role rights.Role, may ...rights.Right) (*site, string) {
	t.Helper()
	s := serve(t)
	for _, p := range []struct { // the first person is an owner
		name string
		role rights.Role
	}{{"Ines Vahlgren", rights.Owner}, {person, role}} {
		if err := s.shop.Staff.Add(t.Context(), p.name, "four words for everybody", p.role); err != nil {
			t.Fatal(err)
		}
	}
	token, err := s.shop.Staff.AddToken(t.Context(), person, "test", may, 30)
	if err != nil {
		t.Fatal(err)
	}
	return s, token
}

// A token sees and does what it is for, and less than its person may.
func TestTokensOfTheAPI(t *testing.T) {
	s, token := program(t, "Tove", rights.Sales, rights.See)
	ctx, c := t.Context(), client.New(s.url, token, nil)
	w, _, err := c.Watch(ctx, "w_demo01")
	if err != nil || w.Cost != nil || w.Client != "" || w.Asking == nil {
		t.Errorf("%+v %v", w, err)
	}
	for name, err := range map[string]error{
		"deal":    second(c.Deal(ctx, "w_demo01", "")),
		"client":  second(c.Client(ctx, "c_01")),
		"paper":   second(c.Paper(ctx, "p")),
		"sales":   second(c.AddSales(ctx, client.NewSale{Date: "2026-01-01", Maker: "C", Reference: "1", Price: client.Money{Amount: "1", Currency: "EUR"}})),
		"change":  second(c.ChangeWatch(ctx, "w_demo01", "", client.WatchChange{Place: new("window")})),
		"items":   second(c.AddEvidence(ctx, "w_demo01", client.NewItem{Kind: "dimension", Data: []byte(`{"what":"lug_width","mm":18}`)})),
		"days":    second(c.Calendar(ctx, "")),
		"account": second(s.shop.Staff.AddToken(ctx, "Tove", "x", []rights.Right{rights.Settings}, 1)),
	} {
		if name == "account" {
			if err == nil {
				t.Error("a token may more than its person")
			}
			continue
		}
		if !client.Is(err, http.StatusForbidden) {
			t.Errorf("%s: %v", name, err)
		}
	}
	_, _, err = client.New(s.url, "midcase_wrong", nil).Watch(ctx, "w_demo01")
	if !client.Is(err, http.StatusUnauthorized) {
		t.Errorf("a wrong token: %v", err)
	}
}

func second[T any](_ T, err error) error { return err }

// The client's calls, each against a server and held to what the shop itself says.
func TestClient(t *testing.T) {
	s, token := program(t, "Olga", rights.Owner, rights.Rights()...)
	ctx := t.Context()
	judge := contractOf(t, &site{t: t, url: s.url, http: &http.Client{Transport: bearing(token)}})
	c := client.New(s.url, token, &http.Client{Transport: judged{t, judge}})
	n := 0
	for l, err := range c.Stock(ctx, "") {
		if n++; err != nil || l.Watch.Number != n {
			t.Fatal(l, err)
		}
	}
	if n != 8 {
		t.Errorf("%d watches in stock", n)
	}
	for w, err := range c.Watches(ctx, client.WatchFilter{Maker: "Corvane"}) {
		if err != nil || w.Maker != "Corvane" {
			t.Fatal(w, err)
		}
	}
	w, tag, err := c.Watch(ctx, "w_demo01")
	if err != nil || w.Number != 1 {
		t.Fatal(w, err)
	}
	if w, err = c.ChangeWatch(ctx, w.ID, tag, client.WatchChange{Note: new("seen twice")}); err != nil || w.Note != "seen twice" {
		t.Error(w, err)
	}
	items, err := c.AddEvidence(ctx, w.ID, client.NewItem{Kind: "dimension", Data: []byte(`{"what":"lug_width","mm":18}`)})
	if err != nil || len(items) != 1 || items[0].By != "Olga" {
		t.Fatal(items, err)
	}
	last := client.Item{}
	for it, err := range c.Evidence(ctx, w.ID) {
		if err != nil {
			t.Fatal(err)
		}
		last = it
	}
	if last.ID != items[0].ID {
		t.Errorf("last item %s, want %s", last.ID, items[0].ID)
	}
	var o struct{ Value struct{ Median float64 } }
	b, err := c.Opinion(ctx, w.ID, "2026-10-01")
	if err != nil || json.Unmarshal(b, &o) != nil || o.Value.Median == 0 {
		t.Errorf("%.100s %v", b, err)
	}
	for _, call := range []func() error{
		func() error { return second(c.Value(ctx, w.ID, "")) },
		func() error { return second(c.Deal(ctx, w.ID, "")) },
		func() error { return second(c.Makers(ctx)) },
		func() error { return second(c.Reference(ctx, "corvane", "KR-1")) },
		func() error { return second(c.Client(ctx, "c_01")) },
		func() error { return second(c.Calendar(ctx, "2026-10-01")) },
	} {
		if err := call(); err != nil {
			t.Error(err)
		}
	}
	hook, err := c.AddHook(ctx, "https://example.com/x", hooks.WatchChanged)
	if err != nil || hook.Secret == "" {
		t.Error(hook, err)
	}
	if all, err := c.Hooks(ctx); err != nil || len(all) != 1 || all[0].Secret != "" {
		t.Error(all, err)
	}
	if all, err := c.SentMessages(ctx, hook.ID); err != nil || len(all) != 0 {
		t.Error(all, err)
	}
	if err := c.DropHook(ctx, hook.ID); err != nil {
		t.Error(err)
	}
	sales(t, s, c)
	clientPapers(t, s, c)
}

func sales(t *testing.T, s *site, c *client.Shop) {
	t.Helper()
	ctx := t.Context()
	want, err := s.shop.SaleCount(ctx)
	if err != nil {
		t.Fatal(err)
	}
	seen, before := map[string]bool{}, "9999"
	for sale, err := range c.Sales(ctx, "") {
		if err != nil || sale.Date > before {
			t.Fatal(sale, before, err)
		}
		seen[sale.ID], before = true, sale.Date
	}
	if len(seen) != want {
		t.Errorf("%d sales of %d", len(seen), want)
	}
	added, err := c.AddSales(ctx, client.NewSale{Date: "2026-09-14", Maker: "Corvane", Reference: "KR-1", Price: client.Money{Amount: "9800", Currency: "EUR"}})
	if err != nil || added.Added != 1 {
		t.Error(added, err)
	}
	for sale, err := range c.Sales(ctx, "KR-1") {
		if err != nil {
			t.Fatal(err)
		}
		one, err := c.Sale(ctx, sale.ID)
		if err != nil || one.ID != sale.ID {
			t.Error(one, err)
		}
		break
	}
}

func clientPapers(t *testing.T, s *site, c *client.Shop) {
	t.Helper()
	ctx := t.Context()
	var made []string
	for range 3 {
		p, err := papers.Make(ctx, s.shop, papers.Order{Kind: shop.PaperReport, Watch: soundWatch, By: "tester"})
		if err != nil {
			t.Fatal(err)
		}
		made = append(made, p.ID)
	}
	var got []string
	for p, err := range c.Papers(ctx, string(soundWatch)) {
		if err != nil {
			t.Fatal(err)
		}
		got = append(got, p.ID)
	}
	slices.Reverse(made)
	if !slices.Equal(got, made) {
		t.Errorf("papers %v, want %v", got, made)
	}
	if b, err := c.PaperFile(ctx, made[0], "pdf"); err != nil || !bytes.HasPrefix(b, []byte("%PDF-")) {
		t.Errorf("%.20q %v", b, err)
	}
	n := 0
	for _, err := range c.Clients(ctx, "") {
		if n++; err != nil {
			t.Fatal(err)
		}
	}
	if n < 5 {
		t.Errorf("%d clients", n)
	}
}

// bearing sends a token with each request.
type bearing string

func (b bearing) RoundTrip(r *http.Request) (*http.Response, error) {
	r = r.Clone(r.Context())
	r.Header.Set("Authorization", "Bearer "+string(b))
	return http.DefaultTransport.RoundTrip(r)
}

// judged holds all that passes through it to the document.
type judged struct {
	t *testing.T
	contract
}

func (j judged) RoundTrip(r *http.Request) (*http.Response, error) {
	var sent []byte
	if r.Body != nil {
		sent, _ = io.ReadAll(r.Body)
		r.Body = io.NopCloser(bytes.NewReader(sent))
	}
	res, err := http.DefaultTransport.RoundTrip(r)
	if err != nil || !strings.Contains(res.Header.Get("Content-Type"), "json") {
		return res, err
	}
	got, err := io.ReadAll(res.Body)
	if err != nil {
		return nil, err
	}
	res.Body = io.NopCloser(bytes.NewReader(got))
	r.Body = io.NopCloser(bytes.NewReader(sent))
	if ok, errs := j.judge.ValidateHttpRequestResponse(r, res); !ok {
		for _, e := range errs {
			j.t.Errorf("%s %s: %s: %s %v", r.Method, r.URL.Path, e.Message, e.Reason, e.SchemaValidationErrors)
		}
	}
	res.Body = io.NopCloser(bytes.NewReader(got))
	return res, nil
}

// The example in Python runs with the standard library alone.
func TestPythonExample(t *testing.T) {
	python, err := exec.LookPath("python3")
	if err != nil {
		t.Skip("no python3 here")
	}
	s, token := program(t, "Olga", rights.Owner, rights.See, rights.Record)
	run := exec.Command(python, "../../client/example.py", s.url, "w_demo01")
	run.Env = append(os.Environ(), "MIDCASE_TOKEN="+token)
	out, err := run.CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	for _, want := range []string{"#1 Corvane KR-1", "recorded lug_width", "the same again: recorded once"} {
		if !strings.Contains(string(out), want) {
			t.Errorf("no %q in\n%s", want, out)
		}
	}
}
