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
	Paper    string // the number of the paper; empty for one that is not issued
	Code     string // by which the paper is checked
	Pictures []ListingPicture
	Shop     Shop
}

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

// data is the listing as schema.org vocabulary.
func (l Listing) data() map[string]any {
	images := make([]string, len(l.Pictures))
	for i, p := range l.Pictures {
		images[i] = p.URL
	}
	return telling.Product{Told: l.Told, Maker: l.Watch.Maker, Reference: l.Watch.Reference, Family: l.Watch.Family,
		Number: l.Number, Made: l.Made, Price: l.Price, Reserved: l.Reserved, Images: images, URL: l.URL,
		Seller: l.Shop.Name}.Linked()
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
