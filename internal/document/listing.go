package document

import (
	"encoding/json"
	"fmt"
	"html/template"
	"io"
	"strings"

	"midcase/money"
	"midcase/opinion"
	"midcase/say"
)

// Listing is a watch as it is offered to the public. It says what the opinion says
// about date, parts and condition, with what is wrong as plainly as what is right,
// and the price that is asked. The opinion's value and the deal are not in it.
type Listing struct {
	Opinion  opinion.Opinion
	Number   string
	Price    money.Money // the zero Money means on request
	Sold     bool
	URL      string // where the listing stands, for JSON-LD
	Pictures []ListingPicture
	Shop     Shop
	Terms    []string // the shop's own words on return, delivery, tax
}

// ServiceDue is what papers disclose of a movement that runs so that a service is due.
const ServiceDue = "Movement – due for a service, judging by how it runs."

// ListingPicture is a picture by its address.
type ListingPicture struct{ URL, Caption string }

// listed is a listing in words, for all its forms.
type listed struct {
	Title, Sentence, Price, Availability string
	Facts                                [][2]string
	Faults, Good, Open, Cautions         []string
	Pictures                             []ListingPicture
	Shop                                 Shop
	Terms                                []string
	Data                                 map[string]any
}

func (l Listing) words() listed {
	w := newWriter(Report{Opinion: l.Opinion, Number: l.Number, Shop: l.Shop})
	out := listed{Title: w.title(), Sentence: w.publicSentence(), Price: "price on request", Availability: "in stock",
		Open: sentencesOf(say.Strings(l.Opinion.Unknown)), Pictures: l.Pictures, Shop: l.Shop, Terms: l.Terms}
	if !l.Price.IsZero() {
		out.Price = amount(&l.Price)
	}
	if l.Sold {
		out.Availability, out.Price = "sold", "sold"
	}
	for _, f := range w.listedFacts() {
		out.Facts = append(out.Facts, [2]string{f.name, f.text})
	}
	for _, p := range l.Opinion.Parts {
		words := p.Slot.Name() + " – " + p.Verdict
		if p.Verdict == opinion.Fits {
			out.Good = append(out.Good, p.Slot.Name())
		} else {
			out.Faults = append(out.Faults, strings.TrimSpace(opening(words)+" "+sentences(say.Strings(p.Reasons), "")))
		}
	}
	for _, r := range l.Opinion.Rules {
		if r.Broken {
			out.Faults = append(out.Faults, opening(r.Reason.String()))
		}
	}
	if due := l.Opinion.Running.ServiceExpected; due != nil && *due {
		out.Faults = append(out.Faults, ServiceDue)
	}
	for _, s := range w.cautions().blocks[0].(bullets) {
		out.Cautions = append(out.Cautions, s.text)
	}
	out.Data = l.data(out)
	return out
}

func sentencesOf(texts []string) []string {
	var out []string
	for _, c := range says(texts) {
		out = append(out, c.text)
	}
	return out
}

// publicSentence is the summary's clauses on date, parts and condition.
func (w *writer) publicSentence() string {
	var kept []string
	for _, c := range w.o.Summary.Clauses {
		if c.Section != "value" && c.Section != "deal" {
			kept = append(kept, c.Text.String())
		}
	}
	return orElse(opening(strings.Join(kept, "; ")), w.identity().finding)
}

func (w *writer) listedFacts() []fact {
	made := ""
	if w.o.Dating.Known {
		made = monthRange(w.o.Dating.Interval90) + " (90" + nbsp + "%)"
	}
	var out []fact
	for _, f := range []fact{{name: "Maker", text: w.o.Watch.Maker}, {name: "Reference", text: w.o.Watch.Reference},
		{name: "Family", text: w.o.Watch.Family}, {name: "Made", text: made}, {name: "Case metal",
			text: w.o.Watch.Metal},
		{name: "Calibre", text: w.o.Watch.Calibre}, {name: "Sizes", text: w.sizes()}, {name: "Runs",
			text: w.runsWords()}, {name: "Condition", text: w.conditionWords()}, {name: "Comes with",
			text: setWords(w.o.Watch.Set)}, {name: "Number", text: w.r.Number}} {
		if f.text != "" {
			out = append(out, f)
		}
	}
	return out
}

// runsWords is how the watch runs, in a line; empty where it was not timed.
func (w *writer) runsWords() string {
	r := w.o.Running
	if r.Mean == nil {
		return ""
	}
	out := []string{signed(*r.Mean, 0) + nbsp + "s/day over " + rounded(float64(len(r.Positions)), 0) + " readings"}
	if r.Amplitude != nil {
		out = append(out, "amplitude "+rounded(*r.Amplitude, 0)+"°")
	}
	if r.BeatError != nil {
		out = append(out, "beat error "+rounded(*r.BeatError, 1)+nbsp+"ms")
	}
	return strings.Join(out, ", ")
}

func (w *writer) conditionWords() string {
	c := w.o.Condition
	if c.Overall == nil {
		return c.Words.String()
	}
	return strings.TrimPrefix(c.Words.String()+", "+gradeRange(*c.Overall, c.Interval)+" of 10", ", ")
}

// WriteListingMarkdown writes the listing as Markdown.
func WriteListingMarkdown(w io.Writer, l Listing) error {
	d := l.words()
	m := &markdown{}
	m.line("# %s\n\n%s\n\n**%s**\n", md(d.Title), md(d.Sentence), md(d.Price))
	for _, p := range d.Pictures {
		m.line("![%s](<%s>)\n", md(p.Caption), strings.NewReplacer("<", "%3C", ">", "%3E", "\n", "", "\r",
			"").Replace(p.URL))
	}
	for _, f := range d.Facts {
		m.line("- %s: %s", md(f[0]), md(f[1]))
	}
	m.line("")
	for _, part := range d.lists() {
		m.line("## %s\n", part.head)
		for _, t := range part.texts {
			m.line("- %s", md(t))
		}
		m.line("")
	}
	m.line("%s", md(d.Shop.Name))
	return m.writeTo(w, Report{Number: l.Number})
}

type listedPart struct {
	head  string
	texts []string
}

func (d listed) lists() []listedPart {
	var out []listedPart
	for _, p := range []listedPart{{"Not original, not certain, or missing", d.Faults}, {"Not examined", d.Open},
		{"Cautions", d.Cautions}, {"Terms", d.Terms}} {
		if len(p.texts) > 0 {
			out = append(out, p)
		}
	}
	return out
}

// data is the listing as schema.org vocabulary: a Product with one Offer.
func (l Listing) data(d listed) map[string]any {
	offer := map[string]any{"@type": "Offer", "itemCondition": "https://schema.org/UsedCondition",
		"availability": "https://schema.org/InStock"}
	if l.Sold {
		offer["availability"] = "https://schema.org/SoldOut"
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
	p := map[string]any{"@context": "https://schema.org", "@type": "Product", "name": d.Title,
		"description": d.Sentence, "category": "wristwatch", "itemCondition": "https://schema.org/UsedCondition",
		"offers": offer}
	o := l.Opinion.Watch
	for key, text := range map[string]string{"mpn": o.Reference, "model": o.Family, "material": o.Metal,
		"sku": l.Number} {
		if text != "" {
			p[key] = text
		}
	}
	if o.Maker != "" {
		p["brand"] = map[string]any{"@type": "Brand", "name": o.Maker}
	}
	var images []string
	for _, pic := range l.Pictures {
		images = append(images, pic.URL)
	}
	if len(images) > 0 {
		p["image"] = images
	}
	if e := l.Opinion.Dating.EDTF; e != "" {
		// The production date of schema.org is one day or year; a range is said as a
		// property of its own.
		p["additionalProperty"] = []any{map[string]any{"@type": "PropertyValue", "name": "made (EDTF, 90 % range)",
			"value": e}}
	}
	return p
}

// WriteListingJSONLD writes the listing as schema.org JSON-LD.
func WriteListingJSONLD(w io.Writer, l Listing) error {
	b, err := json.MarshalIndent(l.words().Data, "", "  ")
	if err != nil {
		return fmt.Errorf("listing %s: %w", orDash(l.Number), err)
	}
	if _, err := w.Write(append(b, '\n')); err != nil {
		return fmt.Errorf("listing %s: write: %w", orDash(l.Number), err)
	}
	return nil
}

var listingPage = template.Must(template.New("listing").Parse(`<article>
<h1>{{.Title}}</h1>
<p>{{.Sentence}}</p>
<p><strong>{{.Price}}</strong></p>
{{range .Pictures}}<figure><img src="{{.URL}}" alt="{{.Caption}}"><figcaption>{{.Caption}}</figcaption></figure>
{{end}}<dl>
{{range .Facts}}<dt>{{index . 0}}</dt><dd>{{index . 1}}</dd>
{{end}}</dl>
{{range .Parts}}<h2>{{.Head}}</h2>
<ul>
{{range .Texts}}<li>{{.}}</li>
{{end}}</ul>
{{end}}<p>{{.Shop.Name}}</p>
<script type="application/ld+json">{{.Data}}</script>
</article>
`))

// WriteListingHTML writes the listing as a piece of HTML with its JSON-LD inside.
func WriteListingHTML(w io.Writer, l Listing) error {
	d := l.words()
	type part struct {
		Head  string
		Texts []string
	}
	var parts []part
	for _, p := range d.lists() {
		parts = append(parts, part{p.head, p.texts})
	}
	if err := listingPage.Execute(w, struct {
		listed
		Parts []part
	}{d, parts}); err != nil {
		return fmt.Errorf("listing %s: %w", orDash(l.Number), err)
	}
	return nil
}
