package publish

import (
	"encoding/json"
	"encoding/xml"
	"strconv"
	"time"

	"midcase/telling"
)

// linked is a watch as data of schema.org.
func (p pages) linked(w Watch, told telling.Told) map[string]any {
	product := telling.Product{Told: told, Maker: w.Maker, Reference: w.Reference, Family: w.Family,
		Number: strconv.Itoa(w.Number), Made: w.Made, Price: w.Price, Reserved: w.Reserved, Seller: p.Name}
	if product.Told.Language == "" {
		product.Told.Language = p.lang
	}
	for _, x := range w.Pictures {
		product.Images = append(product.Images, p.from(p.path(w), x.largest()))
	}
	if p.Address != "" {
		product.URL = p.at(p.path(w))
	}
	return product.Linked()
}

// jsonFeed is the list as a feed of JSON Feed 1.1.
func (p pages) jsonFeed() ([]byte, error) {
	items, feed := []map[string]any{}, p.dir("feed.json")
	for _, w := range p.Watches {
		told := w.Told[p.lang]
		item := map[string]any{"id": p.at(p.path(w)), "url": p.from(feed, p.path(w)), "title": told.Title,
			"content_text": told.Text, "language": p.lang, "date_modified": w.Changed.UTC().Format(time.RFC3339)}
		if len(w.Pictures) > 0 {
			item["image"] = p.from(feed, w.Pictures[0].largest())
		}
		items = append(items, item)
	}
	out := map[string]any{"version": "https://jsonfeed.org/version/1.1", "title": p.Name, "language": p.lang,
		"items": items}
	if p.Address != "" {
		out["home_page_url"], out["feed_url"] = p.at(p.dir("index.html")), p.at(feed)
	}
	return json.MarshalIndent(out, "", "  ")
}

// rss is the list as a feed of RSS 2.0.
func (p pages) rss() ([]byte, error) {
	type guid struct {
		Permanent bool   `xml:"isPermaLink,attr"`
		ID        string `xml:",chardata"`
	}
	type item struct {
		Title       string `xml:"title"`
		Link        string `xml:"link"`
		GUID        guid   `xml:"guid"`
		Published   string `xml:"pubDate"`
		Description string `xml:"description"`
	}
	type channel struct {
		Title       string `xml:"title"`
		Link        string `xml:"link"`
		Description string `xml:"description"`
		Language    string `xml:"language"`
		Items       []item `xml:"item"`
	}
	feed := p.dir("feed.xml")
	c := channel{Title: p.Name, Link: p.from(feed, p.dir("index.html")), Description: p.Name, Language: p.lang}
	for _, w := range p.Watches {
		told := w.Told[p.lang]
		c.Items = append(c.Items, item{told.Title, p.from(feed, p.path(w)), guid{p.Address != "", p.at(p.path(w))},
			w.Changed.UTC().Format(time.RFC1123Z), told.Text})
	}
	b, err := xml.MarshalIndent(struct {
		XMLName xml.Name `xml:"rss"`
		Version string   `xml:"version,attr"`
		Channel channel  `xml:"channel"`
	}{Version: "2.0", Channel: c}, "", " ")
	return append([]byte(xml.Header), b...), err
}

// sitemap lists all pages with their other languages, as sitemaps.org describes it.
func (s Site) sitemap() ([]byte, error) {
	type alternate struct {
		Rel  string `xml:"rel,attr"`
		Lang string `xml:"hreflang,attr"`
		Href string `xml:"href,attr"`
	}
	type url struct {
		Loc        string      `xml:"loc"`
		Changed    string      `xml:"lastmod,omitempty"`
		Alternates []alternate `xml:"xhtml:link"`
	}
	var all []url
	add := func(file func(pages) string, changed string) error {
		var same []alternate
		for _, lang := range s.Langs {
			p, err := s.in(lang)
			if err != nil {
				return err
			}
			same = append(same, alternate{"alternate", lang, s.at(file(p))})
		}
		for _, x := range same {
			all = append(all, url{x.Href, changed, same})
		}
		return nil
	}
	if err := add(func(p pages) string { return p.dir("index.html") }, ""); err != nil {
		return nil, err
	}
	for _, w := range s.Watches {
		if err := add(func(p pages) string { return p.path(w) }, w.Changed.UTC().Format(time.DateOnly)); err != nil {
			return nil, err
		}
	}
	for _, g := range s.Guides {
		if err := add(func(p pages) string { return p.guidePath(g) }, ""); err != nil {
			return nil, err
		}
	}
	b, err := xml.MarshalIndent(struct {
		XMLName xml.Name `xml:"urlset"`
		NS      string   `xml:"xmlns,attr"`
		XHTML   string   `xml:"xmlns:xhtml,attr"`
		URLs    []url    `xml:"url"`
	}{NS: "http://www.sitemaps.org/schemas/sitemap/0.9", XHTML: "http://www.w3.org/1999/xhtml", URLs: all}, "", " ")
	return append([]byte(xml.Header), b...), err
}
