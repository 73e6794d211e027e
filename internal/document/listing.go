package document

import (
	"encoding/json"
	"fmt"
	"html/template"
	"io"
	"strings"

	"midcase/money"
	"midcase/opinion"
	"midcase/telling"
)

// Listing is a watch as it is offered to the public: what package telling tells of it,
// with pictures and, for machines, in schema.org vocabulary. The opinion's value and the
// deal are not in it.
type Listing struct {
	Told     telling.Told // as a page
	Watch    opinion.Watch
	Made     string // EDTF
	Number   string
	Price    money.Money // the zero Money means on request
	Reserved bool
	URL      string // where the listing stands, for JSON-LD
	Pictures []ListingPicture
	Shop     Shop
}

// ServiceDue is what papers disclose of a movement that runs so that a service is due.
const ServiceDue = "Movement – due for a service, judging by how it runs."

// ListingPicture is a picture by its address.
type ListingPicture struct{ URL, Caption string }

// WriteListingMarkdown writes the listing as Markdown.
func WriteListingMarkdown(w io.Writer, l Listing) error {
	m := &markdown{}
	m.line("# %s\n", md(l.Told.Title))
	for _, p := range l.Pictures {
		m.line("![%s](<%s>)\n", md(p.Caption), strings.NewReplacer("<", "%3C", ">", "%3E", "\n", "", "\r",
			"").Replace(p.URL))
	}
	for _, b := range l.Told.Blocks {
		if b.Heading != "" {
			m.line("## %s\n", md(b.Heading))
		}
		for _, s := range b.Sentences {
			if b.Apart {
				m.line("- %s", md(s.Text))
			} else {
				m.line("%s", md(s.Text))
			}
		}
		m.line("")
	}
	m.line("%s", md(l.Shop.Name))
	return m.writeTo(w, Report{Number: l.Number})
}

// The terms of schema.org for the state of an offer.
const (
	inStock  = "https://schema.org/InStock"
	reserved = "https://schema.org/Reserved"
	used     = "https://schema.org/UsedCondition"
)

// property is a property of schema.org that has no name of its own there.
func property(name, value string) map[string]any {
	return map[string]any{"@type": "PropertyValue", "name": name, "value": value}
}

// data is the listing as schema.org vocabulary: a Product with one Offer, its faults and
// what identifies it. The serial number is not in it.
func (l Listing) data() map[string]any {
	p := map[string]any{"@context": "https://schema.org", "@type": "Product", "name": l.Told.Title,
		"description": l.Told.Text, "category": "wristwatch", "itemCondition": used, "offers": l.offer()}
	for key, text := range map[string]string{"mpn": l.Watch.Reference, "model": l.Watch.Family, "sku": l.Number} {
		if text != "" {
			p[key] = text
		}
	}
	if l.Number != "" {
		p["identifier"] = property("stock number", l.Number)
	}
	if l.Watch.Maker != "" {
		p["brand"] = map[string]any{"@type": "Brand", "name": l.Watch.Maker}
	}
	var images []string
	for _, pic := range l.Pictures {
		images = append(images, pic.URL)
	}
	if len(images) > 0 {
		p["image"] = images
	}
	var more []any
	if l.Made != "" {
		// The production date of schema.org is one day or year; a range is said as a
		// property of its own.
		more = append(more, property("made (EDTF, 90 % range)", l.Made))
	}
	for _, fault := range l.faults() {
		more = append(more, property("fault", fault))
	}
	if len(more) > 0 {
		p["additionalProperty"] = more
	}
	return p
}

func (l Listing) offer() map[string]any {
	offer := map[string]any{"@type": "Offer", "itemCondition": used, "availability": inStock}
	if l.Reserved {
		offer["availability"] = reserved
	}
	if !l.Price.IsZero() {
		offer["price"], offer["priceCurrency"] = l.Price.Amount(), string(l.Price.Currency())
	}
	if l.URL != "" {
		offer["url"] = l.URL
	}
	if l.Shop.Name != "" {
		offer["seller"] = map[string]any{"@type": "Organization", "name": l.Shop.Name}
	}
	return offer
}

// faults are the sentences that disclose something, each once.
func (l Listing) faults() []string {
	var out []string
	for _, b := range l.Told.Blocks {
		for _, s := range b.Sentences {
			if len(s.Discloses) > 0 {
				out = append(out, s.Text)
			}
		}
	}
	return out
}

// WriteListingJSONLD writes the listing as schema.org JSON-LD.
func WriteListingJSONLD(w io.Writer, l Listing) error {
	b, err := json.MarshalIndent(l.data(), "", "  ")
	if err != nil {
		return fmt.Errorf("listing %s: %w", orDash(l.Number), err)
	}
	if _, err := w.Write(append(b, '\n')); err != nil {
		return fmt.Errorf("listing %s: write: %w", orDash(l.Number), err)
	}
	return nil
}

var listingPage = template.Must(template.New("listing").Parse(`<article lang="{{.Told.Language}}">
<h1>{{.Told.Title}}</h1>
{{range .Pictures}}<figure><img src="{{.URL}}" alt="{{.Caption}}"><figcaption>{{.Caption}}</figcaption></figure>
{{end}}{{range .Told.Blocks}}{{if .Heading}}<h2>{{.Heading}}</h2>
{{end}}{{if .Apart}}<ul>
{{range .Sentences}}<li>{{.Text}}</li>
{{end}}</ul>
{{else}}<p>{{range .Sentences}}{{.Text}} {{end}}</p>
{{end}}{{end}}<p>{{.Shop.Name}}</p>
<script type="application/ld+json">{{.Data}}</script>
</article>
`))

// WriteListingHTML writes the listing as a piece of HTML with its JSON-LD inside.
func WriteListingHTML(w io.Writer, l Listing) error {
	if err := listingPage.Execute(w, struct {
		Listing
		Data map[string]any
	}{l, l.data()}); err != nil {
		return fmt.Errorf("listing %s: %w", orDash(l.Number), err)
	}
	return nil
}
