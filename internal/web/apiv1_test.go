package web_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"

	"github.com/pb33f/libopenapi"
	openapi "github.com/pb33f/libopenapi-validator"
	"github.com/pb33f/libopenapi/datamodel/high/v3"

	"midcase/client"
	"midcase/internal/papers"
	"midcase/internal/shop"
	"midcase/internal/shop/hooks"
	"midcase/internal/shop/rights"
	"midcase/internal/web"
	"midcase/internal/web/v1"
)

// contract is the document that a server gives, read and judged by a library that others wrote.
type contract struct {
	model *v3.Document
	judge openapi.Validator
}

func contractOf(t *testing.T, s *site) contract {
	t.Helper()
	a := s.get("/api/v1/openapi.json")
	if a.StatusCode != http.StatusOK {
		t.Fatalf("the document: %d %s", a.StatusCode, a.body)
	}
	doc, err := libopenapi.NewDocument([]byte(a.body))
	if err != nil {
		t.Fatal(err)
	}
	model, err := doc.BuildV3Model()
	if err != nil {
		t.Fatal(err)
	}
	judge, errs := openapi.NewValidator(doc)
	if len(errs) > 0 {
		t.Fatal(errs)
	}
	return contract{&model.Model, judge}
}

func TestTheDocumentIsOpenAPI(t *testing.T) {
	c := contractOf(t, look(t))
	if ok, errs := c.judge.ValidateDocument(); !ok {
		for _, e := range errs {
			t.Errorf("%s: %s %v", e.Message, e.Reason, e.SchemaValidationErrors)
		}
	}
	if !strings.HasPrefix(c.model.Version, "3.1") {
		t.Errorf("version %s", c.model.Version)
	}
}

// What is served, what the document lists, and what the table of rights has are the same.
func TestTheDocumentListsWhatIsServed(t *testing.T) {
	var table []string
	for pattern := range web.Needs {
		if strings.Contains(pattern, " "+v1.Prefix) {
			table = append(table, pattern)
		}
	}
	listed := v1.New(nil, v1.Options{Right: func(string) rights.Right { return rights.See }}).Patterns()
	slices.Sort(table)
	slices.Sort(listed)
	if !slices.Equal(table, listed) {
		t.Errorf("the table of rights has\n%s\nthe document\n%s", strings.Join(table, "\n"), strings.Join(listed, "\n"))
	}
	c := contractOf(t, look(t))
	for path, item := range c.model.Paths.PathItems.FromOldest() {
		for method, op := range item.GetOperations().FromOldest() {
			pattern := strings.ToUpper(method) + " " + v1.Prefix + path
			roles, _ := op.Security[0].Requirements.Get("token")
			if want := string(web.Needs[pattern]); len(roles) != 1 || roles[0] != want {
				t.Errorf("%s: the document says %q, the table %q", pattern, roles, want)
			}
		}
	}
}

// replay sends the request that an operation's examples make, and holds request and answer to the document.
func (c contract) replay(t *testing.T, s *site, method, path string, op *v3.Operation, instead map[string]string) {
	t.Helper()
	query, header := url.Values{}, http.Header{}
	for _, p := range op.Parameters {
		examples := p.Schema.Schema().Examples
		if len(examples) == 0 {
			if p.In == "path" {
				t.Errorf("%s: no example of %s", op.OperationId, p.Name)
			}
			continue
		}
		value := examples[0].Value
		if v, ok := instead[value]; ok {
			value = v
		}
		switch p.In {
		case "path":
			path = strings.ReplaceAll(path, "{"+p.Name+"}", url.PathEscape(value))
		case "query":
			query.Set(p.Name, value)
		case "header":
			header.Set(p.Name, value)
		}
	}
	var body io.Reader
	if op.RequestBody != nil {
		content, _ := op.RequestBody.Content.Get("application/json")
		if content == nil || content.Example == nil {
			t.Fatalf("%s: no example of its body", op.OperationId)
		}
		var v any
		if err := content.Example.Decode(&v); err != nil {
			t.Fatal(err)
		}
		b, err := json.Marshal(v)
		if err != nil {
			t.Fatal(err)
		}
		body = bytes.NewReader(b)
		header.Set("Content-Type", "application/json")
	}
	if len(query) > 0 {
		path += "?" + query.Encode()
	}
	r := s.request(strings.ToUpper(method), v1.Prefix+path, body)
	maps.Copy(r.Header, header)
	c.hold(t, s, r, http.StatusOK, http.StatusCreated, http.StatusNoContent)
}

// hold sends a request and holds it and the answer to the document.
func (c contract) hold(t *testing.T, s *site, r *http.Request, want ...int) answer {
	t.Helper()
	var sent []byte
	if r.Body != nil {
		sent, _ = io.ReadAll(r.Body)
		r.Body = io.NopCloser(bytes.NewReader(sent))
	}
	a := s.do(r)
	if !slices.Contains(want, a.StatusCode) {
		t.Errorf("%s %s: %d %s", r.Method, r.URL.Path, a.StatusCode, a.body)
		return a
	}
	if kind := a.Header.Get("Content-Type"); !strings.Contains(kind, "json") {
		return a
	}
	again := s.request(r.Method, r.URL.RequestURI(), bytes.NewReader(sent))
	again.Header = r.Header
	res := *a.Response
	res.Body = io.NopCloser(strings.NewReader(a.body))
	if ok, errs := c.judge.ValidateHttpResponse(again, &res); !ok {
		for _, e := range errs {
			t.Errorf("%s %s: %s: %s %v", r.Method, r.URL.Path, e.Message, e.Reason, e.SchemaValidationErrors)
		}
	}
	if a.StatusCode < 400 && r.Method != http.MethodGet {
		again.Body = io.NopCloser(bytes.NewReader(sent))
		if ok, errs := c.judge.ValidateHttpRequest(again); !ok {
			for _, e := range errs {
				if !strings.Contains(e.Message, "Authorization") { // this shop has no people
					t.Errorf("%s %s: %s: %s", r.Method, r.URL.Path, e.Message, e.Reason)
				}
			}
		}
	}
	return a
}

// The examples of the document are sent to a real server, each as it stands there.
func TestExamplesOfTheDocument(t *testing.T) {
	s := serve(t)
	paper, err := papers.Make(t.Context(), s.shop, papers.Order{Kind: shop.PaperReport, Watch: soundWatch, By: "tester"})
	if err != nil {
		t.Fatal(err)
	}
	hook, err := s.shop.Hooks.Add(t.Context(), "https://example.com/x", hooks.Events(), "tester")
	if err != nil {
		t.Fatal(err)
	}
	c, n := contractOf(t, s), 0
	for path, item := range c.model.Paths.PathItems.FromOldest() {
		for method, op := range item.GetOperations().FromOldest() {
			n++
			c.replay(t, s, method, path, op, map[string]string{"pap_demo01": paper.ID,
				"hook_demo01": hook.ID})
		}
	}
	if n < 19 {
		t.Errorf("%d operations", n)
	}
}

// What is refused is a problem that the document describes.
func TestProblemsOfTheAPI(t *testing.T) {
	s := serve(t)
	c := contractOf(t, s)
	send := func(method, path, body string, status int, says ...string) {
		t.Helper()
		r := s.request(method, v1.Prefix+path, strings.NewReader(body))
		r.Header.Set("Content-Type", "application/json")
		a := c.hold(t, s, r, status)
		if kind := a.Header.Get("Content-Type"); kind != "application/problem+json" {
			t.Errorf("%s: type %s", path, kind)
		}
		for _, w := range says {
			if !strings.Contains(a.body, w) {
				t.Errorf("%s: %s does not say %q", path, a.body, w)
			}
		}
	}
	send("GET", "/watches/none", "", 404, "no such entry")
	send("GET", "/watches?limit=0", "", 422, "query.limit")
	send("GET", "/watches?unknown=1", "", 422, "query.unknown")
	send("GET", "/watches?cursor=banana", "", 422, "cursor")
	send("GET", "/watches?state=lost", "", 422, "listed")
	send("GET", "/watches/w_demo01/opinion?as_of=banana", "", 422, "as_of")
	evidence := "/watches/w_demo01/evidence"
	send("POST", evidence, `{"items":[{"kind":"document","data":{"what":"receipt","date":"banana"}}]}`, 422, "date",
		"banana", "items[0]")
	send("POST", evidence, `{"items":[{"kind":"dimension","data":{"what":"lug_width","mm":-3}}]}`, 422, "mm")
	send("POST", evidence, `{"items":[]}`, 422, "items")
	send("POST", "/sales", `{"items":[{"date":"2026-01-01","maker":"C","reference":"1"}]}`, 422, "price")
	send("PATCH", "/watches/w_demo01", `{"asking":{"amount":"dear","currency":"EUR"}}`, 422, "asking")
	if a := s.get("/api/v1/nothing"); a.StatusCode != 404 || a.Header.Get("Content-Type") != "application/problem+json" {
		t.Errorf("an address that there is not: %d %s", a.StatusCode, a.body)
	}
	var sales client.SalesAdded
	r := s.request("POST", v1.Prefix+"/sales", strings.NewReader(`{"items":[
		{"date":"2026-01-02","maker":"Corvane","reference":"KR-1","price":{"amount":"9000","currency":"EUR"},"note":"two\nlines"},
		{"date":"banana","maker":"Corvane","reference":"KR-1","price":{"amount":"9000","currency":"EUR"}}]}`))
	r.Header.Set("Content-Type", "application/json")
	a := c.hold(t, s, r, 200)
	if err := json.Unmarshal([]byte(a.body), &sales); err != nil || sales.Added != 1 || len(sales.Rejected) != 1 ||
		sales.Rejected[0].Item != 1 || sales.Rejected[0].Field != "date" {
		t.Errorf("sales with one that has no date: %s %v", a.body, err)
	}
}

func TestTagsOfTheAPI(t *testing.T) {
	s := serve(t)
	get := func(path, tag string) answer {
		r := s.request("GET", v1.Prefix+path, nil)
		r.Header.Set("If-None-Match", tag)
		return s.do(r)
	}
	paths := []string{"/watches", "/watches/w_demo01", "/watches/w_demo01/evidence", "/watches/w_demo01/opinion", "/stock"}
	tags := map[string]string{}
	for _, path := range paths {
		first := get(path, "")
		tags[path] = first.Header.Get("ETag")
		if again := get(path, "W/"+tags[path]); tags[path] == "" || again.StatusCode != http.StatusNotModified || again.body != "" {
			t.Errorf("%s: tag %q, then %d %q", path, tags[path], again.StatusCode, again.body)
		}
	}
	patch := func(tag, place string) answer {
		r := s.request("PATCH", v1.Prefix+"/watches/w_demo01", strings.NewReader(fmt.Sprintf(`{"place":%q}`, place)))
		r.Header.Set("Content-Type", "application/json")
		r.Header.Set("If-Match", tag)
		return s.do(r)
	}
	was := tags["/watches/w_demo01"]
	if a := patch(was, "window"); a.StatusCode != 200 || a.Header.Get("ETag") == was {
		t.Fatalf("change: %d %s", a.StatusCode, a.body)
	}
	if a := patch(was, "drawer"); a.StatusCode != http.StatusPreconditionFailed {
		t.Errorf("a change of what was changed meanwhile: %d %s", a.StatusCode, a.body)
	}
	for _, path := range paths {
		if a := get(path, tags[path]); a.StatusCode != http.StatusOK || a.Header.Get("ETag") == tags[path] {
			t.Errorf("%s after a change: %d, tag %s", path, a.StatusCode, a.Header.Get("ETag"))
		}
	}
	if w, err := s.shop.Watch(t.Context(), soundWatch); err != nil || w.Place != "window" {
		t.Errorf("place %q %v", w.Place, err)
	}
}

// A request with a key is carried out once; other words under the key are refused.
func TestKeysOfTheAPI(t *testing.T) {
	s := serve(t)
	send := func(key, body string) answer {
		r := s.request("POST", v1.Prefix+"/watches/w_demo01/evidence", strings.NewReader(body))
		r.Header.Set("Content-Type", "application/json")
		r.Header.Set("Idempotency-Key", key)
		return s.do(r)
	}
	const width = `{"items":[{"kind":"dimension","data":{"what":"lug_width","mm":18.05}}]}`
	before, err := s.shop.Log(t.Context(), soundWatch)
	if err != nil {
		t.Fatal(err)
	}
	answers := make(chan answer, 8)
	for range cap(answers) {
		go func() { answers <- send("one", width) }()
	}
	bodies := map[string]int{}
	for range cap(answers) {
		a := <-answers
		if a.StatusCode != http.StatusCreated {
			t.Errorf("%d %s", a.StatusCode, a.body)
		}
		bodies[strings.TrimSpace(a.body)]++
	}
	after, err := s.shop.Log(t.Context(), soundWatch)
	if err != nil {
		t.Fatal(err)
	}
	if len(after.Evidence) != len(before.Evidence)+1 || len(bodies) != 1 {
		t.Errorf("%d items added, %d answers", len(after.Evidence)-len(before.Evidence), len(bodies))
	}
	if a := send("one", strings.Replace(width, "18.05", "19", 1)); a.StatusCode != 422 {
		t.Errorf("other words under the key: %d %s", a.StatusCode, a.body)
	}
	if a := send("two", strings.Replace(width, "18.05", "-1", 1)); a.StatusCode != 422 {
		t.Errorf("refused: %d %s", a.StatusCode, a.body)
	}
	if a := send("two", width); a.StatusCode != http.StatusCreated {
		t.Errorf("what was refused takes no key: %d %s", a.StatusCode, a.body)
	}
}
