package publish

import (
	"encoding/json"
	"encoding/xml"
	"time"

	"midcase/telling"
)

// linked is a watch as data of schema.org: a product that was used, with what is wrong with it, and its offer. The
// names of types and properties are those of the vocabulary.
func (p pages) linked(w Watch, told telling.Told) map[string]any {
	faults := []map[string]any{}
	for _, d := range told.Disclosed {
		faults = append(faults, map[string]any{"@type": "PropertyValue", "name": string(d.Slot), "value": d.Text})
	}
	out := map[string]any{
		"@context": "https://schema.org", "@type": "Product", "name": told.Title, "description": told.Text,
		"sku": w.Number, "brand": map[string]any{"@type": "Brand", "name": w.Maker}, "model": w.Reference,
		"itemCondition": "https://schema.org/UsedCondition", "inLanguage": p.lang,
	}
	if len(faults) > 0 {
		out["additionalProperty"] = faults
	}
	var images []string
	for _, x := range w.Pictures {
		images = append(images, p.at(x.file(x.Sizes[len(x.Sizes)-1].Side)))
	}
	if len(images) > 0 {
		out["image"] = images
	}
	availability := "https://schema.org/InStock"
	if w.Reserved {
		availability = "https://schema.org/Reserved"
	}
	offer := map[string]any{"@type": "Offer", "availability": availability,
		"itemCondition": "https://schema.org/UsedCondition",
		"seller":        map[string]any{"@type": "Organization", "name": p.Name}}
	if !w.Price.IsZero() {
		offer["price"], offer["priceCurrency"] = w.Price.Amount(), string(w.Price.Currency())
	}
	if p.Address != "" {
		offer["url"], out["url"] = p.at(p.path(w)), p.at(p.path(w))
	}
	out["offers"] = offer
	return out
}

// jsonFeed is the list as a feed of JSON Feed 1.1.
func (p pages) jsonFeed() ([]byte, error) {
	items := []map[string]any{}
	for _, w := range p.Watches {
		told := w.Told[p.lang]
		item := map[string]any{"id": p.at(p.path(w)), "url": p.at(p.path(w)), "title": told.Title,
			"content_text": told.Text, "language": p.lang, "date_modified": w.Changed.UTC().Format(time.RFC3339)}
		if len(w.Pictures) > 0 {
			x := w.Pictures[0]
			item["image"] = p.at(x.file(x.Sizes[len(x.Sizes)-1].Side))
		}
		items = append(items, item)
	}
	feed := map[string]any{"version": "https://jsonfeed.org/version/1.1", "title": p.Name, "language": p.lang,
		"items": items}
	if p.Address != "" {
		feed["home_page_url"], feed["feed_url"] = p.at(p.dir("index.html")), p.at(p.dir("feed.json"))
	}
	return json.MarshalIndent(feed, "", "  ")
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
	c := channel{Title: p.Name, Link: p.at(p.dir("index.html")), Description: p.Name, Language: p.lang}
	for _, w := range p.Watches {
		told := w.Told[p.lang]
		c.Items = append(c.Items, item{told.Title, p.at(p.path(w)), guid{p.Address != "", p.at(p.path(w))},
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
	b, err := xml.MarshalIndent(struct {
		XMLName xml.Name `xml:"urlset"`
		NS      string   `xml:"xmlns,attr"`
		XHTML   string   `xml:"xmlns:xhtml,attr"`
		URLs    []url    `xml:"url"`
	}{NS: "http://www.sitemaps.org/schemas/sitemap/0.9", XHTML: "http://www.w3.org/1999/xhtml", URLs: all}, "", " ")
	return append([]byte(xml.Header), b...), err
}
