package cli

import (
	"bufio"
	"context"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"midcase/internal/demo"
)

// served runs 'midcase serve' and returns the address that it prints.
func served(t *testing.T, dir string, c serveCmd) string {
	t.Helper()
	ctx, stop := context.WithCancel(t.Context())
	read, write := io.Pipe()
	ended := make(chan error, 1)
	a := &app{ctx: ctx, out: write, err: io.Discard, now: time.Now, shop: dir}
	go func() {
		err := c.Run(a)
		write.CloseWithError(err)
		ended <- err
	}()
	t.Cleanup(func() {
		stop()
		if err := <-ended; err != nil {
			t.Errorf("serve: %v", err)
		}
	})
	lines := bufio.NewScanner(read)
	for lines.Scan() {
		if url, ok := strings.CutPrefix(lines.Text(), "listening on "); ok {
			go io.Copy(io.Discard, read)
			return url
		}
	}
	t.Fatalf("no address printed: %v", lines.Err())
	return ""
}

func codeOf(t *testing.T, client *http.Client, url string) int {
	t.Helper()
	res, err := client.Get(url)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	return res.StatusCode
}

func TestAServedShopWithoutPeopleHasAKey(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "shop")
	url := served(t, dir, serveCmd{Addr: "127.0.0.1:0", NoOpen: true})
	base, _, ok := strings.Cut(url, "/?key=")
	if !ok {
		t.Fatalf("printed %q; want an address with a key", url)
	}
	jar, _ := cookiejar.New(nil)
	client := &http.Client{Jar: jar}
	if got := codeOf(t, client, base+"/stock.csv"); got != http.StatusUnauthorized {
		t.Errorf("without the key: %d; want 401", got)
	}
	if got := codeOf(t, client, url); got != http.StatusOK {
		t.Errorf("with the key: %d", got)
	}
	if got := codeOf(t, client, base+"/stock.csv"); got != http.StatusOK {
		t.Errorf("with the cookie: %d", got)
	}
	info, err := os.Stat(filepath.Join(dir, deskKeyFile))
	if err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("the desk's secret can be read by others: %v, %v", info.Mode(), err)
	}
}

func TestAddressForOthers(t *testing.T) {
	at := &net.TCPAddr{IP: net.IPv4(127, 0, 0, 1), Port: 8686}
	for _, c := range []struct {
		how    serving
		want   string
		secure bool
	}{
		{serving{}, "http://127.0.0.1:8686", false},
		{serving{hosts: []string{"desk.example"}}, "http://desk.example:8686", false},
		{serving{gated: true, hosts: []string{"shop.example", "other.example"}}, "https://shop.example", true},
		{serving{gated: true, hosts: []string{"http://shop.example:81"}}, "http://shop.example:81", false},
		{serving{gated: true, hosts: []string{"shop.example:444"}}, "https://shop.example:444", true},
	} {
		if got := c.how.address(at); got != c.want || c.how.secure() != c.secure {
			t.Errorf("%+v: %s, secure %t; want %s, %t", c.how, got, c.how.secure(), c.want, c.secure)
		}
	}
	for _, bad := range []string{"", "shop example", "shop.example/pages", "ftp://shop.example", "a@b"} {
		if err := checkHosts([]string{bad}); err == nil {
			t.Errorf("--host %q was accepted", bad)
		}
	}
}

// The demo has people, and opens by its key as its owner.
func TestTheDemoOpensAsItsOwner(t *testing.T) {
	dir := t.TempDir()
	a := &app{ctx: t.Context(), now: time.Now, shop: dir}
	s, err := a.open(true)
	if err != nil {
		t.Fatal(err)
	}
	if err := demo.FillPeople(t.Context(), s.Shop); err != nil {
		t.Fatal(err)
	}
	s.close()
	if err := writeStamp(dir, demoStamp{Whole: true}); err != nil {
		t.Fatal(err)
	}
	url := served(t, dir, serveCmd{Addr: "127.0.0.1:0", NoOpen: true})
	base, _, ok := strings.Cut(url, "/?key=")
	if !ok {
		t.Fatalf("printed %q; want an address with a key", url)
	}
	jar, _ := cookiejar.New(nil)
	client := &http.Client{Jar: jar}
	res, err := client.Get(base + "/people")
	if err != nil {
		t.Fatal(err)
	}
	res.Body.Close()
	if res.Request.URL.Path != "/sign-in" {
		t.Errorf("without the key: led to %s; want to sign in", res.Request.URL)
	}
	codeOf(t, client, url)
	if res, err = client.Get(base + "/people"); err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	b, err := io.ReadAll(res.Body)
	if err != nil || !strings.Contains(string(b), demo.Owner) || res.Request.URL.Path != "/people" {
		t.Errorf("with the key: %s, %v", res.Request.URL, err)
	}
	for name := range demo.People {
		if !strings.Contains(string(b), name) {
			t.Errorf("%s is not among the people", name)
		}
	}
	account, err := client.Get(base + "/account")
	if err != nil {
		t.Fatal(err)
	}
	defer account.Body.Close()
	if b, err = io.ReadAll(account.Body); err != nil || !strings.Contains(string(b), demo.Owner+", owner.") {
		t.Errorf("the account is not that of the owner: %v", err)
	}
}

// With an address for it, a served shop says that it is ready and counts what it answers; read-only, it changes nothing
// but lets people look.
func TestStatusAndReadOnly(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	at := l.Addr().String()
	l.Close()
	url := served(t, filepath.Join(t.TempDir(), "shop"), serveCmd{Addr: "127.0.0.1:0", NoOpen: true, StatusAddr: at,
		ReadOnly: true, Log: "json"})
	base, _, _ := strings.Cut(url, "/?key=")
	jar, _ := cookiejar.New(nil)
	client := &http.Client{Jar: jar}
	if got := codeOf(t, client, url); got != http.StatusOK {
		t.Errorf("the stock: %d", got)
	}
	res, err := client.Post(base+"/take-in", "application/x-www-form-urlencoded", strings.NewReader("maker=Corvane"))
	if err != nil {
		t.Fatal(err)
	}
	res.Body.Close()
	if res.StatusCode != http.StatusServiceUnavailable {
		t.Errorf("a change of a shop that is only shown: %d; want 503", res.StatusCode)
	}
	if got := codeOf(t, client, "http://"+at+"/readyz"); got != http.StatusOK {
		t.Errorf("ready: %d", got)
	}
	const counted = `midcase_http_requests_total{code="503",method="POST"} 1`
	text := ""
	for range 50 { // a request is counted once it is answered, which the browser may know sooner
		if text = body(t, client, "http://"+at+"/metrics"); strings.Contains(text, counted) {
			break
		}
		time.Sleep(20 * time.Millisecond)
	}
	if !strings.Contains(text, counted) {
		t.Errorf("the request refused is not counted:\n%s", text)
	}
	if got := codeOf(t, client, "http://"+at+"/stock.csv"); got != http.StatusNotFound {
		t.Errorf("the shop is at the address for health: %d", got)
	}
}

// The unit and the container file name only settings and flags that the program has.
func TestDeployedSettingsExist(t *testing.T) {
	var known strings.Builder
	Main([]string{"serve", "--help"}, strings.NewReader(""), &known, io.Discard)
	for _, file := range []string{"midcase.service", "Containerfile"} {
		text, err := os.ReadFile(filepath.Join("..", "..", "deploy", file))
		if err != nil {
			t.Fatal(err)
		}
		for _, word := range regexp.MustCompile(`MIDCASE_[A-Z_]+|--[a-z-]+`).FindAllString(settings(string(text)), -1) {
			if word != "MIDCASE_STORE" && !strings.Contains(known.String(), word) {
				t.Errorf("%s: the program has no %s", file, word)
			}
		}
	}
}

// settings are the lines of a file that are no comments and run no other program.
func settings(text string) string {
	return strings.Join(slices.DeleteFunc(strings.Split(text, "\n"), func(l string) bool {
		return strings.HasPrefix(l, "#") || strings.HasPrefix(l, "RUN ")
	}), "\n")
}

func body(t *testing.T, client *http.Client, url string) string {
	t.Helper()
	res, err := client.Get(url)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	b, err := io.ReadAll(res.Body)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}
