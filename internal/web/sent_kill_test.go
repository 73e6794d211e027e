package web_test

import (
	"context"
	"errors"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"midcase/evidence"
	"midcase/internal/bookdir"
	"midcase/internal/demo"
	"midcase/internal/shop"
	"midcase/internal/shop/rooms"
	"midcase/internal/store"
	"midcase/internal/storetest"
	"midcase/internal/web"
)

// killed is a store whose program is killed as soon as a watch is recorded, before anything is answered.
type killed struct{ *store.Store }

func (k killed) CreateWatch(ctx context.Context, w shop.Watch, items ...evidence.Item) (shop.Watch, error) {
	kept, err := k.Store.CreateWatch(ctx, w, items...)
	if err == nil {
		_ = syscall.Kill(os.Getpid(), syscall.SIGKILL)
		time.Sleep(time.Minute) // until it is dead
	}
	return kept, err
}

const killedIn = "MIDCASE_TEST_KILLED_IN"

// A server is killed between recording and answering; its successor gets the form again and adds nothing.
func TestFormSentAgainAfterTheServerWasKilled(t *testing.T) {
	if dir := os.Getenv(killedIn); dir != "" {
		sendAndDie(t, dir)
		return
	}
	dir := t.TempDir()
	child := exec.Command(os.Args[0], "-test.run=^"+t.Name()+"$")
	child.Env = append(os.Environ(), killedIn+"="+dir)
	out, err := child.CombinedOutput()
	var exit *exec.ExitError
	if !errors.As(err, &exit) || exit.Sys().(syscall.WaitStatus).Signal() != syscall.SIGKILL {
		t.Fatalf("the server ended with %v; want it killed: %s", err, out)
	}
	s := served(t, dir)
	defer s.close()
	if n := s.watches(); n != 1 {
		t.Fatalf("%d watches were recorded before the kill; want 1", n)
	}
	a := s.do(s.takeInForm("one"))
	if to := a.Header.Get("Midcase-To"); a.StatusCode != http.StatusNoContent || to == "" {
		t.Errorf("status %d, to %q; want to be led on", a.StatusCode, to)
	}
	if n := s.watches(); n != 1 {
		t.Errorf("%d watches after the form was sent again; want 1", n)
	}
}

// sendAndDie serves a shop and sends it a form.
func sendAndDie(t *testing.T, dir string) {
	st, err := store.Open(t.Context(), "sqlite:"+filepath.Join(dir, "midcase.db"))
	if err != nil {
		t.Fatal(err)
	}
	s, err := rooms.Open(t.Context(), shop.On(killed{st}, &storetest.Memory{}, bookdir.Fixed(demo.Book())),
		shop.Options{Now: func() time.Time { return now }, NewID: func(p string) string { return p + "_1" }})
	if err != nil {
		t.Fatal(err)
	}
	srv := httptest.NewServer(web.New(s, web.Options{User: "tester"}))
	site := &site{t: t, shop: s, dir: dir, url: srv.URL, http: srv.Client()}
	site.do(site.takeInForm("one"))
	t.Error("the form was answered; want the server dead")
}
