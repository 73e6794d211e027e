package client

import (
	"bytes"
	"context"
	"crypto/rand"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"iter"
	"net/http"
	"net/url"
	"strings"
)

// Shop is a shop that answers at an address. It is safe for concurrent use.
type Shop struct {
	base, token string
	http        *http.Client
}

// New returns the shop at an address such as https://shop.example, to be asked with a token. h may be nil.
func New(address, token string, h *http.Client) *Shop {
	if h == nil {
		h = http.DefaultClient
	}
	return &Shop{strings.TrimSuffix(address, "/") + "/api/v1", token, h}
}

// mostAnswer is how much of an answer is read.
const mostAnswer = 64 << 20

// send asks for an address below /api/v1 and reads the answer into out, which may be nil. It returns the headers.
func (s *Shop) send(ctx context.Context, method, path string, header http.Header, in, out any) (http.Header, error) {
	var body io.Reader
	if in != nil {
		b, err := json.Marshal(in)
		if err != nil {
			return nil, fmt.Errorf("%s %s: %w", method, path, err)
		}
		body = bytes.NewReader(b)
	}
	r, err := http.NewRequestWithContext(ctx, method, s.base+path, body)
	if err != nil {
		return nil, err
	}
	for name, values := range header {
		r.Header[name] = values
	}
	if in != nil {
		r.Header.Set("Content-Type", "application/json")
	}
	if s.token != "" {
		r.Header.Set("Authorization", "Bearer "+s.token)
	}
	res, err := s.http.Do(r)
	if err != nil {
		return nil, err
	}
	defer res.Body.Close()
	b, err := io.ReadAll(io.LimitReader(res.Body, mostAnswer))
	if err != nil {
		return nil, fmt.Errorf("%s %s: %w", method, path, err)
	}
	if res.StatusCode >= http.StatusBadRequest {
		return res.Header, refused(method, path, res, b)
	}
	switch out := out.(type) {
	case nil:
		return res.Header, nil
	case *[]byte:
		*out = b
		return res.Header, nil
	}
	if err := json.Unmarshal(b, out); err != nil {
		return res.Header, fmt.Errorf("%s %s: the answer is not what the API says: %w", method, path, err)
	}
	return res.Header, nil
}

func refused(method, path string, res *http.Response, b []byte) error {
	p := &Problem{}
	if err := json.Unmarshal(b, p); err != nil || p.Status == 0 {
		p = &Problem{Status: res.StatusCode, Title: http.StatusText(res.StatusCode)}
	}
	return fmt.Errorf("%s %s: %w", method, path, p)
}

// Is reports whether an error is a refusal with an HTTP status.
func Is(err error, status int) bool {
	var p *Problem
	return errors.As(err, &p) && p.Status == status
}

// pages walks a list page by page.
func pages[T any](ctx context.Context, s *Shop, path string, q url.Values,
	read func(page []byte) ([]T, string, error)) iter.Seq2[T, error] {
	return func(yield func(T, error) bool) {
		var none T
		for next := ""; ; {
			if next != "" {
				q.Set("cursor", next)
			}
			var b []byte
			_, err := s.send(ctx, http.MethodGet, path+"?"+q.Encode(), nil, nil, &b)
			if err != nil {
				yield(none, err)
				return
			}
			var items []T
			if items, next, err = read(b); err != nil {
				yield(none, fmt.Errorf("GET %s: %w", path, err))
				return
			}
			for _, x := range items {
				if !yield(x, nil) {
					return
				}
			}
			if next == "" {
				return
			}
		}
	}
}

// listed reads one page, all of which have the same two fields.
func listed[T any](b []byte) ([]T, string, error) {
	var page struct {
		Items []T    `json:"items"`
		Next  string `json:"next"`
	}
	err := json.Unmarshal(b, &page)
	return page.Items, page.Next, err
}

func query(pairs ...string) url.Values {
	q := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		if pairs[i+1] != "" {
			q.Set(pairs[i], pairs[i+1])
		}
	}
	return q
}

// key is a header that names one thing to record.
func key() http.Header { return http.Header{"Idempotency-Key": {rand.Text()}} }

// once sends what is to be recorded, again where no answer came, under one key: it is recorded once.
func (s *Shop) once(ctx context.Context, method, path string, header http.Header, in, out any) error {
	var err error
	for range 3 {
		if _, err = s.send(ctx, method, path, header, in, out); err == nil || ctx.Err() != nil {
			return err
		}
		if p := (*Problem)(nil); errors.As(err, &p) {
			return err
		}
	}
	return err
}
