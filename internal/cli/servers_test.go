package cli

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"midcase/internal/storetest/pgtest"
)

// aServer is a process of 'midcase serve' and a browser that it let in.
type aServer struct {
	t       *testing.T
	process *exec.Cmd
	url     string
	browser *http.Client
}

// threeServers starts three processes on one PostgreSQL database and one folder.
func threeServers(t *testing.T) (dir string, all [3]*aServer) {
	t.Helper()
	c, err := pgtest.Start()
	if errors.Is(err, pgtest.ErrNone) && os.Getenv("MIDCASE_TEST_POSTGRES") != "required" {
		t.Skipf("SKIPPED: %v, so three servers were not tried", err)
	}
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(c.Stop)
	if err := c.Create(t.Context(), "shop", "template1"); err != nil {
		t.Fatal(err)
	}
	t.Setenv("MIDCASE_STORE", c.URL("shop"))
	dir = t.TempDir()
	files, err := smallWorld()
	if err != nil {
		t.Fatal(err)
	}
	if err := os.MkdirAll(filepath.Join(dir, "book"), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "book", "corvane.yaml"), files["book/corvane.yaml"], 0o600); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{
		{"watch", "add", "--maker", "corvane", "--reference", "KR-1", "--serial", "290002"},
		{"clients", "add", "Selma Lund"},
		{"stock", "buy", "1", "5000EUR", "--client", "Selma", "--scheme", "margin"},
	} {
		if out, err := midcase(dir, args...).CombinedOutput(); err != nil {
			t.Fatalf("midcase %s: %v: %s", args, err, out)
		}
	}
	for i := range all {
		all[i] = startServer(t, dir)
	}
	return dir, all
}

func midcase(dir string, args ...string) *exec.Cmd {
	return exec.Command("midcase", append([]string{"--shop", dir}, args...)...)
}

func startServer(t *testing.T, dir string) *aServer {
	t.Helper()
	s := &aServer{t: t, process: midcase(dir, "serve", "--no-open", "--addr", "127.0.0.1:0")}
	out, err := s.process.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := s.process.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.process.Process.Kill(); s.process.Wait() })
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		if at, ok := strings.CutPrefix(lines.Text(), "listening on "); ok {
			go io.Copy(io.Discard, out)
			jar, _ := cookiejar.New(nil)
			s.browser = &http.Client{Jar: jar, CheckRedirect: func(*http.Request, []*http.Request) error {
				return http.ErrUseLastResponse
			}}
			a, err := s.browser.Get(at)
			if err != nil {
				t.Fatal(err)
			}
			a.Body.Close()
			s.url, _, _ = strings.Cut(at, "/?")
			return s
		}
	}
	t.Fatalf("no address printed: %v", lines.Err())
	return nil
}

// ask sends a request; of a server that was killed the error is that of the connection.
func (s *aServer) ask(path string, fields url.Values) (status int, body string, err error) {
	method, in := http.MethodGet, io.Reader(http.NoBody)
	if fields != nil {
		method, in = http.MethodPost, strings.NewReader(fields.Encode())
	}
	r, err := http.NewRequest(method, s.url+path, in)
	if err != nil {
		return 0, "", err
	}
	if fields != nil {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	a, err := s.browser.Do(r)
	if err != nil {
		return 0, "", err
	}
	defer a.Body.Close()
	b, err := io.ReadAll(a.Body)
	return a.StatusCode, string(b), err
}

func (s *aServer) page(path string) string {
	s.t.Helper()
	status, body, err := s.ask(path, nil)
	if err != nil || status != http.StatusOK {
		s.t.Fatalf("GET %s: %d, %v", path, status, err)
	}
	return body
}

// Three servers are one shop: a watch is sold once however many sell it at the same moment, of two changes of one
// record the later is told, a book edit and what was recorded elsewhere are seen, and what a killed server did not
// answer is sent to another one and counts once.
func TestThreeServersAreOneShop(t *testing.T) {
	dir, all := threeServers(t)
	watch := regexp.MustCompile(`/watches/w_[0-9a-z]{26}`).FindString(all[0].page("/"))
	if watch == "" {
		t.Fatal("the stock shows no watch")
	}
	t.Run("no lost update", func(t *testing.T) { noLostUpdate(t, all, watch) })
	t.Run("a book edit is seen", func(t *testing.T) { bookEditIsSeen(t, dir, all) })
	t.Run("an open page is told", func(t *testing.T) { openPageIsTold(t, all, watch) })
	t.Run("sold once", func(t *testing.T) { soldOnce(t, dir, all, watch) })
	t.Run("one is killed", func(t *testing.T) { oneIsKilled(t, all, watch) })
}

var versionField = regexp.MustCompile(`name="version"[^>]*value="(\d+)"|value="(\d+)"[^>]*name="version"`)

// whoAndWhat is what the later of two is told: whose change it was, and what it says now.
var whoAndWhat = regexp.MustCompile(`<p>[^ <][^<]* changed this record while you had it open(?s:.*)tray [0-2]`)

func noLostUpdate(t *testing.T, all [3]*aServer, watch string) {
	m := versionField.FindStringSubmatch(all[0].page(watch + "/change"))
	if m == nil {
		t.Fatal("the form has no version")
	}
	var taken, told int
	var mu sync.Mutex
	var wait sync.WaitGroup
	for i, s := range all {
		wait.Go(func() {
			status, body, err := s.ask(watch+"/change", url.Values{"state": {"bought"}, "version": {m[1] + m[2]},
				"place": {fmt.Sprintf("tray %d", i)}})
			mu.Lock()
			defer mu.Unlock()
			switch {
			case err != nil:
				t.Error(err)
			case status == http.StatusSeeOther:
				taken++
			case status == http.StatusConflict && whoAndWhat.MatchString(body):
				told++
			default:
				t.Errorf("%d: %.300s", status, body)
			}
		})
	}
	wait.Wait()
	if taken != 1 || told != 2 {
		t.Errorf("%d changes of one version were taken and %d told; want 1 and 2", taken, told)
	}
}

func bookEditIsSeen(t *testing.T, dir string, all [3]*aServer) {
	file := filepath.Join(dir, "book", "corvane.yaml")
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	edited := regexp.MustCompile(`(?m)^name: .*$`).ReplaceAllString(string(text), "name: Corvane, told anew")
	if edited == string(text) {
		t.Fatal("the book's file has no line with the maker's name")
	}
	if err := os.WriteFile(file, []byte(edited), 0o600); err != nil {
		t.Fatal(err)
	}
	for i, s := range all {
		if !strings.Contains(s.page("/book"), "Corvane, told anew") {
			t.Errorf("server %d shows the book as it was", i)
		}
	}
}

func openPageIsTold(t *testing.T, all [3]*aServer, watch string) {
	mark := regexp.MustCompile(`data-mark="([0-9a-f]+)"`).FindStringSubmatch(all[2].page(watch))
	if mark == nil {
		t.Fatal("the page has no mark")
	}
	query := url.Values{"of": {strings.TrimPrefix(watch, "/watches/")}, "since": {mark[1]}}
	query.Set("of", "watch/"+query.Get("of"))
	told := make(chan string, 1)
	a, err := all[2].browser.Get(all[2].url + "/changes?" + query.Encode())
	if err != nil || a.StatusCode != http.StatusOK {
		t.Fatalf("%v, %v", a, err)
	}
	defer a.Body.Close()
	go func() {
		b, _ := io.ReadAll(a.Body) // ends with the event
		told <- string(b)
	}()
	select {
	case says := <-told:
		t.Fatalf("told before anything changed: %s", says)
	case <-time.After(1500 * time.Millisecond):
	}
	if status, body, err := all[0].ask(watch+"/record", url.Values{"kind": {"claim"}, "about": {"owner"},
		"text": {"an aunt"}}); err != nil || status != http.StatusSeeOther {
		t.Fatalf("%d, %v: %.200s", status, err, body)
	}
	select {
	case says := <-told:
		if !strings.Contains(says, "event: changed") || !strings.Contains(says, "This watch has changed") {
			t.Errorf("told %q", says)
		}
	case <-time.After(30 * time.Second):
		t.Error("not told within 30 seconds")
	}
}

func soldOnce(t *testing.T, dir string, all [3]*aServer, watch string) {
	var sold, refused int
	var mu sync.Mutex
	var wait sync.WaitGroup
	for i := range 12 {
		s := all[i%3]
		wait.Go(func() {
			status, body, err := s.ask(watch+"/life", url.Values{"act": {"sell"}, "amount": {"7000"},
				"client": {fmt.Sprintf("Buyer %d", i)}, "new_client": {"1"}, "client_kind": {"person"},
				"route": {"private client"}, "document": {fmt.Sprintf("S-%d", i)},
				"override": {"the seller is known to the shop"}})
			mu.Lock()
			defer mu.Unlock()
			switch {
			case err != nil:
				t.Error(err)
			case status == http.StatusSeeOther:
				sold++
			case status >= 500:
				t.Errorf("%d: %.300s", status, body)
			default:
				refused++
			}
		})
	}
	wait.Wait()
	if sold != 1 || refused != 11 {
		t.Errorf("sold %d times, refused %d times; want 1 and 11", sold, refused)
	}
	out, err := midcase(dir, "ledger", "verify").CombinedOutput()
	if err != nil {
		t.Errorf("the ledger afterwards: %v: %s", err, out)
	}
}

func oneIsKilled(t *testing.T, all [3]*aServer, watch string) {
	token := regexp.MustCompile(`name="Midcase-Form" value="([^"]+)"`)
	var wait sync.WaitGroup
	texts := make([]string, 24)
	for i := range texts {
		texts[i] = fmt.Sprintf("said on the telephone, call %d.", 1000+i)
		wait.Go(func() {
			m := token.FindStringSubmatch(all[0].page(watch + "/record?kind=claim"))
			if m == nil {
				t.Error("the form has no token")
				return
			}
			fields := url.Values{"kind": {"claim"}, "about": {"owner"}, "text": {texts[i]}, "Midcase-Form": {m[1]}}
			status, _, err := all[1].ask(watch+"/record", fields)
			if err != nil || status >= 500 { // the browser sends it again, and another server answers
				status, _, err = all[2].ask(watch+"/record", fields)
			}
			if err != nil || status != http.StatusSeeOther {
				t.Errorf("call %d: %d, %v", i, status, err)
			}
		})
		if i == len(texts)/2 {
			if err := all[1].process.Process.Kill(); err != nil {
				t.Error(err)
			}
		}
	}
	wait.Wait()
	body := all[0].page(watch)
	for _, text := range texts {
		if n := strings.Count(body, text); n != 1 {
			t.Errorf("%q stands %d times on the page; want once", text, n)
		}
	}
}
