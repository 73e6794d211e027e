package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"os/exec"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"time"
)

// password is that of the person who is added for this.
const password = "seven bicycles under one umbrella"

// server is midcase serving the shop.
type server struct {
	address, status string // of the shop; of its metrics
	process         *exec.Cmd
}

// serve adds the person and starts the server on free ports.
func serve(ctx context.Context, o options) (*server, error) {
	add := exec.CommandContext(ctx, o.midcase, "people", "add", o.name, "--role", "owner", "--shop", o.shop)
	add.Stdin, add.Stderr = strings.NewReader(password+"\n"), os.Stderr
	if err := add.Run(); err != nil {
		return nil, fmt.Errorf("add %s: %w", o.name, err)
	}
	at, err := freePort(ctx)
	if err != nil {
		return nil, err
	}
	status, err := freePort(ctx)
	if err != nil {
		return nil, err
	}
	s := &server{address: "http://" + at, status: "http://" + status}
	s.process = exec.CommandContext(ctx, o.midcase, "serve", "--shop", o.shop, "--no-open", "--addr", at,
		"--status-addr", status)
	s.process.Cancel = func() error { return s.process.Process.Signal(syscall.SIGTERM) }
	s.process.Stderr = os.Stderr
	if err := s.process.Start(); err != nil {
		return nil, err
	}
	began := time.Now()
	for {
		if a, err := http.Get(s.status + "/readyz"); err == nil {
			a.Body.Close()
			if a.StatusCode == http.StatusOK {
				fmt.Printf("ready after %d ms\n", time.Since(began).Milliseconds())
				return s, nil
			}
		}
		if time.Since(began) > time.Minute {
			return nil, errors.Join(errors.New("the server is not ready after a minute"), s.stop())
		}
		time.Sleep(20 * time.Millisecond)
	}
}

func freePort(ctx context.Context) (string, error) {
	l, err := (&net.ListenConfig{}).Listen(ctx, "tcp", "127.0.0.1:0")
	if err != nil {
		return "", err
	}
	return l.Addr().String(), l.Close()
}

func (s *server) stop() error {
	if err := s.process.Process.Signal(syscall.SIGTERM); err != nil && !errors.Is(err, os.ErrProcessDone) {
		return err
	}
	return s.process.Wait()
}

// signIn opens a browser for each person. Few sign in at once, since that takes 64 MB each.
func (s *server) signIn(ctx context.Context, o options) ([]*person, error) {
	people, errs := make([]*person, o.people), make([]error, o.people)
	var all sync.WaitGroup
	gate := make(chan struct{}, 2)
	for i := range people {
		all.Go(func() {
			gate <- struct{}{}
			defer func() { <-gate }()
			people[i], errs[i] = s.one(ctx, o.name)
		})
	}
	all.Wait()
	return people, errors.Join(errs...)
}

func (s *server) one(ctx context.Context, name string) (*person, error) {
	jar, err := cookiejar.New(nil)
	if err != nil {
		return nil, err
	}
	p := &person{address: s.address, browser: &http.Client{Jar: jar, Timeout: time.Minute,
		Transport: &http.Transport{MaxIdleConnsPerHost: 2}}}
	_, err = p.answer(ctx, http.MethodPost, "/sign-in", url.Values{"name": {name}, "password": {password}})
	return p, err
}

// usage is what the server takes.
type usage struct{ mb, most, cpu float64 }

var metric = regexp.MustCompile(`^process_(resident_memory_bytes|cpu_seconds_total) (\S+)$`)

func (s *server) usage() (u usage) {
	a, err := http.Get(s.status + "/metrics")
	if err != nil {
		return u
	}
	defer a.Body.Close()
	lines := bufio.NewScanner(io.LimitReader(a.Body, 1<<20))
	for lines.Scan() {
		m := metric.FindStringSubmatch(lines.Text())
		if m == nil {
			continue
		}
		v, _ := strconv.ParseFloat(m[2], 64)
		if strings.HasPrefix(m[1], "resident") {
			u.mb = v / 1e6
		} else {
			u.cpu = v
		}
	}
	u.most = u.mb
	return u
}

// watch looks at the server each second until the time is up and returns what it takes at the end, and took at most.
func (s *server) watch(ctx context.Context) (last usage) {
	tick := time.NewTicker(time.Second)
	defer tick.Stop()
	for {
		now := s.usage()
		now.most = max(now.mb, last.most)
		last = now
		select {
		case <-ctx.Done():
			return last
		case <-tick.C:
		}
	}
}
