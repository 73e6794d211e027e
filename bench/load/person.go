package main

import (
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/url"
	"strings"
	"time"

	"github.com/PuerkitoBio/goquery"
)

// person is somebody at a browser.
type person struct {
	address string
	browser *http.Client
	seen    *record
	rand    *rand.Rand
	pause   time.Duration
}

// journeys are what people do, by how often of a hundred.
var journeys = []struct {
	share int
	do    func(p *person, ctx context.Context)
}{
	{38, (*person).lookAtAWatch}, {15, (*person).search}, {12, (*person).askTheCounter},
	{15, (*person).recordSomething}, {8, (*person).openAClient},
	{4, (*person).market}, {4, (*person).ledger}, {4, (*person).calendar},
}

// work goes from one thing to the next until the time is up.
func (p *person) work(ctx context.Context) {
	p.think(ctx) // they do not all begin in the same moment
	for ctx.Err() == nil {
		n := p.rand.IntN(100)
		for _, j := range journeys {
			if n -= j.share; n < 0 {
				j.do(p, ctx)
				break
			}
		}
	}
}

// think waits as long as somebody looks at a page.
func (p *person) think(ctx context.Context) {
	select {
	case <-ctx.Done():
	case <-time.After(time.Duration(p.rand.ExpFloat64() * float64(p.pause))):
	}
}

func (p *person) lookAtAWatch(ctx context.Context) {
	d := p.get(ctx, "stock", "/")
	watch := p.link(d, "main a[href^='/watches/']")
	if watch == "" {
		return
	}
	p.think(ctx)
	d = p.get(ctx, "watch", watch)
	if picture := p.link(d, "img[src^='/pictures/']"); picture != "" {
		p.get(ctx, "picture", picture)
	}
	p.think(ctx)
}

func (p *person) search(ctx context.Context) {
	words := []string{"steel", "gold", "no papers", "1968", "polished", "cream dial", "black"}
	p.get(ctx, "search", "/?q="+url.QueryEscape(words[p.rand.IntN(len(words))]))
	p.think(ctx)
}

func (p *person) askTheCounter(ctx context.Context) {
	d := p.get(ctx, "book", "/book")
	maker := p.link(d, "main a[href^='/book/']")
	p.think(ctx)
	_, name, there := strings.Cut(strings.TrimPrefix(maker, "/book/"), "/")
	if !there { // a maker's page, which lists the references
		reference := p.link(p.get(ctx, "maker", maker), "main a[href^='"+maker+"/']")
		if _, name, there = strings.Cut(strings.TrimPrefix(reference, "/book/"), "/"); !there {
			return
		}
	}
	p.get(ctx, "counter", "/counter?reference="+url.QueryEscape(name)+"&asked="+fmt.Sprint(2000+p.rand.IntN(9000)))
	p.think(ctx)
}

func (p *person) recordSomething(ctx context.Context) {
	watch := p.link(p.get(ctx, "stock", "/"), "main a[href^='/watches/']")
	if watch == "" {
		return
	}
	watch, _, _ = strings.Cut(watch, "?")
	watch, _, _ = strings.Cut(watch, "#")
	p.think(ctx)
	d := p.get(ctx, "form", watch+"/record?kind=claim")
	if d == nil {
		return
	}
	fields := url.Values{"kind": {"claim"}, "about": {"owner"}, "text": {fmt.Sprintf("Said on the telephone: call %d.",
		p.rand.IntN(1_000_000))}}
	d.Find("form input[type=hidden]").Each(func(_ int, in *goquery.Selection) {
		if name := in.AttrOr("name", ""); name != "kind" && name != "" {
			fields.Set(name, in.AttrOr("value", ""))
		}
	})
	p.think(ctx)
	p.send(ctx, "record", watch+"/record", fields)
}

func (p *person) openAClient(ctx context.Context) {
	d := p.get(ctx, "clients", "/clients")
	if client := p.link(d, "main a[href^='/clients/']"); client != "" && client != "/clients/new" {
		p.think(ctx)
		p.get(ctx, "client", client)
	}
	p.think(ctx)
}

func (p *person) market(ctx context.Context)   { p.get(ctx, "market", "/market"); p.think(ctx) }
func (p *person) ledger(ctx context.Context)   { p.get(ctx, "ledger", "/ledger"); p.think(ctx) }
func (p *person) calendar(ctx context.Context) { p.get(ctx, "calendar", "/calendar"); p.think(ctx) }

// link is one of the addresses that a page leads to; empty where there is none.
func (p *person) link(d *goquery.Document, where string) string {
	if d == nil {
		return ""
	}
	all := d.Find(where)
	if all.Length() == 0 {
		return ""
	}
	one := all.Eq(p.rand.IntN(all.Length()))
	return one.AttrOr("href", one.AttrOr("src", ""))
}

func (p *person) get(ctx context.Context, kind, path string) *goquery.Document {
	return p.ask(ctx, kind, http.MethodGet, path, nil)
}

func (p *person) send(ctx context.Context, kind, path string, fields url.Values) {
	p.ask(ctx, kind, http.MethodPost, path, fields)
}

// ask is one request, read to its end; what it took goes on record.
func (p *person) ask(ctx context.Context, kind, method, path string, fields url.Values) *goquery.Document {
	if ctx.Err() != nil {
		return nil
	}
	began := time.Now()
	d, err := p.answer(context.WithoutCancel(ctx), method, path, fields)
	p.seen.add(kind, time.Since(began), err)
	return d
}

func (p *person) answer(ctx context.Context, method, path string, fields url.Values) (*goquery.Document, error) {
	r, err := http.NewRequestWithContext(ctx, method, p.address+path, strings.NewReader(fields.Encode()))
	if err != nil {
		return nil, err
	}
	if method == http.MethodPost {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	a, err := p.browser.Do(r)
	if err != nil {
		return nil, err
	}
	defer a.Body.Close()
	body, err := io.ReadAll(a.Body)
	if err == nil && a.StatusCode >= http.StatusBadRequest {
		err = fmt.Errorf("%s %s: %s", method, path, a.Status)
	}
	if err != nil || !strings.HasPrefix(a.Header.Get("Content-Type"), "text/html") {
		return nil, err
	}
	return goquery.NewDocumentFromReader(strings.NewReader(string(body)))
}
