package publish_test

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/PuerkitoBio/goquery"

	"midcase/internal/publish"
	"midcase/money"
	"midcase/telling"
)

// told is what is told of a watch, with a fault; its title holds what HTML has to escape.
func told(title string) telling.Told {
	return telling.Told{Title: title, Text: title + "\n\nCrown: worn.", Disclosed: []telling.Disclosed{{Finding: "ev_1",
		Slot: "crown", Text: "Crown: worn."}}, Blocks: []telling.Block{
		{Sentences: []telling.Spoken{{Fact: telling.Fact{Text: "A plain watch by Lindgard & Sons."}}}},
		{Heading: "Condition", Apart: true, Sentences: []telling.Spoken{{Fact: telling.Fact{Text: "Crown: worn."},
			Discloses: []telling.Disclosure{{Finding: "ev_1", Slot: "crown"}}}}},
	}}
}

func watch(number int, maker string, year int) publish.Watch {
	title := maker + ` L-9 </script><b>`
	return publish.Watch{Number: number, Maker: maker, Reference: "L-9/ö", Metal: "steel", Year: year,
		Price: money.MustParse("4200", "EUR"), Changed: time.Date(2026, 5, 2, 0, 0, 0, 0, time.UTC),
		Told:     map[string]telling.Told{"en": told(title), "de": told(title)},
		Pictures: []publish.Picture{{View: "dial", Name: "abc", Sizes: []publish.Size{{Side: 800, Make: picture}}}}}
}

func picture() ([]byte, error) { return []byte("a picture"), nil }

func site() publish.Site {
	reserved := watch(8, "Ostrel", 1971)
	reserved.Reserved = true
	return publish.Site{Name: "Watches at the Mill", Lines: []string{"Mill Lane 2"},
		Address: "https://mill.example/shop/",
		Langs:   []string{"en", "de"}, Watches: []publish.Watch{watch(12, "Lindgard & Sons", 1968), reserved}}
}

func files(t *testing.T, s publish.Site) map[string][]byte {
	t.Helper()
	all, err := s.Files()
	if err != nil {
		t.Fatal(err)
	}
	out := map[string][]byte{}
	for _, f := range all {
		if out[f.Path], err = f.Make(); err != nil {
			t.Fatal(err)
		}
	}
	return out
}

func page(t *testing.T, b []byte) *goquery.Document {
	t.Helper()
	d, err := goquery.NewDocumentFromReader(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// Each watch has a page in each language that says what the listing says, as text and as data of schema.org.
func TestPageOfAWatch(t *testing.T) {
	t.Parallel()
	all := files(t, site())
	for name, lang := range map[string]string{"12-lindgard-sons-l-9-o.html": "en",
		"de/12-lindgard-sons-l-9-o.html": "de"} {
		p := page(t, all[name])
		if got := p.Find("html").AttrOr("lang", ""); got != lang {
			t.Errorf("%s: language %q", name, got)
		}
		if p.Find("b").Length() != 0 || p.Find("h1").Length() != 1 {
			t.Errorf("%s: the title was not escaped", name)
		}
		if !strings.Contains(p.Find("article").Text(), "Crown: worn.") {
			t.Errorf("%s: the fault is not told", name)
		}
		var data struct {
			Type   string `json:"@type"`
			Image  []string
			Offers struct{ Price, PriceCurrency, Availability, URL string }
			Extra  []struct{ Value string } `json:"additionalProperty"`
		}
		if err := json.Unmarshal([]byte(p.Find("script").Text()), &data); err != nil {
			t.Fatalf("%s: data: %v", name, err)
		}
		if data.Type != "Product" || data.Offers.Price != "4200.00" || data.Offers.PriceCurrency != "EUR" ||
			data.Offers.Availability != "https://schema.org/InStock" || len(data.Extra) != 1 ||
			data.Image[0] != "https://mill.example/shop/pictures/abc-800.jpg" ||
			data.Offers.URL != "https://mill.example/shop/"+name {
			t.Errorf("%s: data %+v", name, data)
		}
	}
	if p := page(t, all["8-ostrel-l-9-o.html"]); !strings.Contains(p.Find(".price").Text(), "Reserved") {
		t.Error("the reserved watch does not say so")
	}
}

// The list hides by its choices alone, without a script: each rule names a mark that rows carry.
func TestListAndItsFilter(t *testing.T) {
	t.Parallel()
	p := page(t, files(t, site())["de/index.html"])
	if p.Find(".watches li").Length() != 2 || p.Find("script").Length() != 0 {
		t.Errorf("%d rows", p.Find(".watches li").Length())
	}
	rules := p.Find("style").Text()
	n := 0
	p.Find("input[id]").Each(func(_ int, s *goquery.Selection) {
		id := s.AttrOr("id", "")
		n++
		if !strings.Contains(rules, "#"+id+":checked") || p.Find(".watches li."+id).Length() != 1 {
			t.Errorf("choice %s hides nothing or everything", id)
		}
	})
	if n != 4 { // two makers, two decades; both are of steel, which is not asked
		t.Errorf("%d choices, want 4", n)
	}
	if !strings.Contains(p.Text(), "1960er-Jahre") {
		t.Error("no decades in German")
	}
}

func TestFeedsAndSitemap(t *testing.T) {
	t.Parallel()
	all := files(t, site())
	var feed struct {
		Version string
		Items   []struct{ ID, URL, Title string }
	}
	if err := json.Unmarshal(all["feed.json"], &feed); err != nil || len(feed.Items) != 2 ||
		feed.Version != "https://jsonfeed.org/version/1.1" {
		t.Errorf("feed.json: %v, %+v", err, feed)
	}
	var rss struct {
		Items []struct {
			Link string `xml:"link"`
		} `xml:"channel>item"`
	}
	if err := xml.Unmarshal(all["de/feed.xml"], &rss); err != nil || len(rss.Items) != 2 ||
		!strings.HasPrefix(rss.Items[0].Link, "https://mill.example/shop/de/12-") {
		t.Errorf("feed.xml: %v, %+v", err, rss)
	}
	var sitemap struct {
		URLs []struct {
			Loc string `xml:"loc"`
		} `xml:"url"`
	}
	if err := xml.Unmarshal(all["sitemap.xml"], &sitemap); err != nil || len(sitemap.URLs) != 6 {
		t.Fatalf("sitemap: %v, %+v", err, sitemap)
	}
	for _, u := range sitemap.URLs {
		name := strings.TrimPrefix(u.Loc, "https://mill.example/shop/")
		if strings.HasSuffix(name, "/") || name == "" {
			name += "index.html"
		}
		if all[name] == nil {
			t.Errorf("the sitemap names %s, which is not there", u.Loc)
		}
	}
}

// Published again, what is the same stays untouched, pictures are not made again, and what is sold goes.
func TestWriteBringsTheFolderUp(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(t.TempDir(), "site")
	write := func(s publish.Site) publish.Outcome {
		t.Helper()
		all, err := s.Files()
		if err != nil {
			t.Fatal(err)
		}
		out, err := publish.Write(dir, all, func(int, int) {})
		if err != nil {
			t.Fatal(err)
		}
		return out
	}
	s := site()
	first := write(s)
	if first.Written != 13 || first.Same != 1 { // both watches show the same picture
		t.Errorf("first: %+v", first)
	}
	s.Watches[0].Pictures[0].Sizes[0].Make = func() ([]byte, error) { return nil, errors.New("made again") }
	if again := write(s); again.Written != 0 || again.Same != 14 || again.Removed != 0 {
		t.Errorf("again: %+v", again)
	}
	s.Watches = s.Watches[:1]
	if less := write(s); less.Removed != 2 {
		t.Errorf("one sold: %+v", less)
	}
	if _, err := os.Stat(filepath.Join(dir, "8-ostrel-l-9-o.html")); err == nil {
		t.Error("the page of a sold watch is still there")
	}
}

func TestWriteRefusesAFolderOfOthers(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "thesis.txt"), []byte("mine"), 0o600); err != nil {
		t.Fatal(err)
	}
	_, err := publish.Write(dir, nil, func(int, int) {})
	if err == nil || !strings.Contains(err.Error(), "not published from here") {
		t.Errorf("a folder of others: %v", err)
	}
	bad := t.TempDir()
	list := []byte(`["../outside.html"]`)
	if err := os.WriteFile(filepath.Join(bad, ".midcase-published.json"), list, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := publish.Write(bad, nil, func(int, int) {}); err == nil || !strings.Contains(err.Error(), "outside") {
		t.Errorf("a list that leads outside: %v", err)
	}
}
