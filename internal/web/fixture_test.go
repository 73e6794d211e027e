package web_test

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/PuerkitoBio/goquery"

	"midcase/internal/blobs"
	"midcase/internal/bookdir"
	"midcase/internal/demo"
	"midcase/internal/shop"
	"midcase/internal/shop/rooms"
	"midcase/internal/store"
	"midcase/internal/web"
)

// now is the clock of the tests: after the last thing of the invented world.
var now = time.Date(2026, 11, 2, 10, 0, 0, 0, time.UTC)

// The watches of the invented world that the tests name: the first eight, each with
// what was planted in it.
const (
	soundWatch   shop.WatchID = "w_demo01" // nothing planted, an archive extract
	swappedWatch shop.WatchID = "w_demo03" // bracelet of another time
	goldWatch    shop.WatchID = "w_demo05" // 18 karat with a 14 karat bracelet
)

// filled and bare are a shop's database with a cut of the invented world, made once:
// with every eighth sale, and with none, for tests that ask for no value.
var (
	filled = sync.OnceValues(func() (string, error) { return fill(8) })
	bare   = sync.OnceValues(func() (string, error) { return fill(0) })
)

var made []string // folders to remove

// fill makes a database with the first watches of the world and every nth sale.
func fill(nth int) (string, error) {
	dir, err := os.MkdirTemp("", "midcase-web-")
	if err != nil {
		return "", err
	}
	made = append(made, dir)
	world := demo.NewWorld(1)
	world.Watches = world.Watches[:8]
	sales := world.Sales[:0:0]
	for i := range world.Sales {
		if nth > 0 && i%nth == 0 {
			sales = append(sales, world.Sales[i])
		}
	}
	world.Sales = sales
	s, done, err := open(dir)
	if err != nil {
		return "", err
	}
	defer done()
	return filepath.Join(dir, "midcase.db"), world.Fill(context.Background(), s)
}

// everyone is the site that tests share which change nothing.
var everyone *site

func TestMain(m *testing.M) {
	code := m.Run()
	if everyone != nil {
		everyone.close()
	}
	for _, dir := range made {
		os.RemoveAll(dir)
	}
	os.Exit(code)
}

func open(dir string) (*rooms.Shop, func(), error) {
	st, err := store.Open(context.Background(), "sqlite:"+filepath.Join(dir, "midcase.db"))
	if err != nil {
		return nil, nil, err
	}
	bl, err := blobs.Dir(filepath.Join(dir, "blobs"))
	if err != nil {
		st.Close()
		return nil, nil, err
	}
	folder := filepath.Join(dir, "book")
	if err := os.CopyFS(folder, demo.Book()); err != nil && !errors.Is(err, fs.ErrExist) {
		return nil, nil, err
	}
	var n atomic.Int64
	s, err := rooms.Open(context.Background(), shop.On(st, bl, bookdir.Open(folder)),
		shop.Options{Now: func() time.Time { return now },
			NewID: func(prefix string) string {
				return fmt.Sprintf("%s_test%03d", prefix,
					n.Add(1))
			}, Name: "Test shop"})
	if err == nil {
		s.Proves = st.Prove
	}
	return s, func() { st.Close(); bl.Close() }, err
}

// site is a shop that is served.
type site struct {
	t     *testing.T
	shop  *rooms.Shop
	dir   string
	url   string
	http  *http.Client
	close func()
}

// look serves the cut world to tests that change nothing; they share it.
func look(t *testing.T) *site {
	t.Helper()
	if everyone == nil {
		path, err := filled()
		if err != nil {
			t.Fatal(err)
		}
		everyone = served(t, filepath.Dir(path))
	}
	own := *everyone
	own.t = t
	return &own
}

// serve serves a copy of the cut world of its own; serveBare one without sales.
func serve(t *testing.T) *site     { t.Helper(); return serveCopy(t, filled) }
func serveBare(t *testing.T) *site { t.Helper(); return serveCopy(t, bare) }

func serveCopy(t *testing.T, of func() (string, error)) *site {
	t.Helper()
	path, err := of()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "midcase.db"), b, 0o600); err != nil {
		t.Fatal(err)
	}
	s := served(t, dir)
	t.Cleanup(s.close)
	return s
}

// serveEmpty serves a shop with nothing in it but the book.
func serveEmpty(t *testing.T) *site {
	t.Helper()
	s := served(t, t.TempDir())
	t.Cleanup(s.close)
	return s
}

func served(t *testing.T, dir string) *site {
	t.Helper()
	return servedWith(t, dir, web.Options{User: "tester", Head: func(context.Context) (int64, string, error) {
		return 7, "root", nil
	}})
}

func servedWith(t *testing.T, dir string, opt web.Options) *site {
	t.Helper()
	s, done, err := open(dir)
	if err != nil {
		t.Fatal(err)
	}
	srv := httptest.NewServer(web.New(s, opt))
	jar, _ := cookiejar.New(nil)
	client := &http.Client{Jar: jar, CheckRedirect: func(*http.Request,
		[]*http.Request) error {
		return http.ErrUseLastResponse
	}}
	return &site{t, s, dir, srv.URL, client, func() { srv.Close(); done() }}
}

// answer is a response that was read.
type answer struct {
	*http.Response
	body string
}

func (s *site) do(r *http.Request) answer {
	s.t.Helper()
	res, err := s.http.Do(r)
	if err != nil {
		s.t.Fatal(err)
	}
	defer res.Body.Close()
	b, err := io.ReadAll(res.Body)
	if err != nil {
		s.t.Fatal(err)
	}
	return answer{res, string(b)}
}

func (s *site) request(method, path string, body io.Reader) *http.Request {
	s.t.Helper()
	r, err := http.NewRequest(method, s.url+path, body)
	if err != nil {
		s.t.Fatal(err)
	}
	return r
}

func (s *site) get(path string) answer {
	s.t.Helper()
	return s.do(s.request(http.MethodGet, path, nil))
}

func (s *site) post(path string, form url.Values) answer {
	s.t.Helper()
	r := s.request(http.MethodPost, path, strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	return s.do(r)
}

// page gets a page that must be there.
func (s *site) page(path string) *goquery.Document {
	s.t.Helper()
	a := s.get(path)
	if a.StatusCode != http.StatusOK {
		s.t.Fatalf("GET %s: status %d: %s", path, a.StatusCode, a.words())
	}
	return a.page(s.t)
}

func (a answer) page(t *testing.T) *goquery.Document {
	t.Helper()
	d, err := goquery.NewDocumentFromReader(strings.NewReader(a.body))
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// words is the text of a page without its white space, for messages.
func (a answer) words() string {
	d, err := goquery.NewDocumentFromReader(strings.NewReader(a.body))
	if err != nil {
		return a.body
	}
	return squeeze(d.Find("main").Text())
}

func squeeze(s string) string { return strings.Join(strings.Fields(s), " ") }

// want fails unless an element's text holds what it should.
func want(t *testing.T, sel *goquery.Selection, text string) {
	t.Helper()
	if got := squeeze(sel.Text()); sel.Length() == 0 || !strings.Contains(got, text) {
		t.Errorf("found %q; want %q", got, text)
	}
}

func (s *site) wantStatus(a answer, status int) {
	s.t.Helper()
	if a.StatusCode != status {
		s.t.Errorf("%s %s: status %d, want %d: %s", a.Request.Method, a.Request.URL, a.StatusCode, status, a.words())
	}
}

func watchPath(id shop.WatchID) string { return "/watches/" + string(id) }

type elements = *goquery.Selection
