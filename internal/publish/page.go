package publish

import (
	"bytes"
	"embed"
	"encoding/json"
	"fmt"
	"html/template"
	"slices"
	"strings"

	"midcase/say"
	"midcase/telling"
)

//go:embed site
var siteFiles embed.FS

var styleFile = func() []byte {
	b, _ := siteFiles.ReadFile("site/style.css")
	return b
}()

var templates = template.Must(template.ParseFS(siteFiles, "site/*.html"))

// frame is what every page has around it.
type frame struct {
	Lang, Title, Description, Canonical, Up string
	Others                                  []link // the same page in other languages
	Feed                                    string
	Shop                                    string
	Lines                                   []string
	Skip, Home, Contact, FeedName           string
}

type link struct{ Lang, Name, Href, Address string }

func (p pages) frame(title, description string, file func(pages) string) (frame, error) {
	f := frame{Lang: p.lang, Title: title, Description: description, Up: p.up(), Shop: p.Name, Lines: p.Lines,
		Feed: "feed.xml", Skip: p.words(say.That("site.skip")), Home: p.words(say.That("site.for-sale")),
		Contact: p.words(say.That("site.contact")), FeedName: p.words(say.That("site.feed"))}
	if p.Address != "" {
		f.Canonical = p.at(file(p))
	}
	for _, lang := range p.Langs {
		other, err := p.in(lang)
		if err != nil {
			return f, err
		}
		l := link{Lang: lang, Name: other.words(say.That("site.language")), Href: p.up() + file(other)}
		if p.Address != "" {
			l.Address = p.at(file(other))
		}
		f.Others = append(f.Others, l)
	}
	return f, nil
}

// watch is the page of one watch.
func (p pages) watch(w Watch) ([]byte, error) {
	told, ok := w.Told[p.lang]
	if !ok {
		return nil, fmt.Errorf("nothing is told of it in %s", p.lang)
	}
	f, err := p.frame(told.Title, firstOf(told), func(q pages) string { return q.path(w) })
	if err != nil {
		return nil, err
	}
	data, err := json.Marshal(p.linked(w, told))
	if err != nil {
		return nil, err
	}
	return p.render("watch.html", map[string]any{"Frame": f, "Told": told, "Pictures": p.pictures(w, told),
		"Price": p.price(w), "State": p.state(w), "Terms": w.Terms, "Data": template.JS(data),
		"Guide": p.guideTo(w)})
}

func firstOf(t telling.Told) string {
	for _, b := range t.Blocks {
		if len(b.Sentences) > 0 {
			return b.Sentences[0].Text
		}
	}
	return t.Title
}

// shown is a picture as the page shows it.
type shown struct {
	Src, Set, Alt string
	Side          int
}

func (p pages) pictures(w Watch, told telling.Told) []shown {
	var out []shown
	for _, x := range w.Pictures {
		s := shown{Alt: told.Title + ", " + p.w.Value(say.Term("view", "view", x.View, x.View).Value, "")}
		var set []string
		for _, z := range x.Sizes {
			s.Src, s.Side = p.up()+x.file(z.Side), z.Side
			set = append(set, fmt.Sprintf("%s %dw", s.Src, z.Side))
		}
		s.Set = strings.Join(set, ", ")
		out = append(out, s)
	}
	return out
}

func (p pages) price(w Watch) string {
	if w.Price.IsZero() {
		return p.words(say.That("site.on-request"))
	}
	return p.words(say.That("site.price", say.Money("price", w.Price)))
}

func (p pages) state(w Watch) string {
	if w.Reserved {
		return p.words(say.That("site.reserved"))
	}
	return ""
}

func (p pages) render(name string, data any) ([]byte, error) {
	var b bytes.Buffer
	err := templates.ExecuteTemplate(&b, name, data)
	return b.Bytes(), err
}

// row is a watch in the list.
type row struct {
	Title, Href, Price, State, Says string
	Picture                         *shown
	Marks                           string // the choices of the filter that it belongs to
}

// facet is one question of the filter with its choices.
type facet struct {
	ID, Name string
	All      string
	Choices  []choice
}

type choice struct {
	ID, Name string
	N        int
}

// list is the page of all watches. Its filter works without a script: a choice hides the rows that lack its mark.
func (p pages) list() ([]byte, error) {
	title := p.words(say.That("site.title", say.Name("shop", p.Name)))
	f, err := p.frame(title, title, func(q pages) string { return q.dir("index.html") })
	if err != nil {
		return nil, err
	}
	facets, marks := p.facets()
	rows := make([]row, len(p.Watches))
	for i, w := range p.Watches {
		told := w.Told[p.lang]
		rows[i] = row{Title: told.Title, Href: slug(w) + ".html", Price: p.price(w), State: p.state(w),
			Says:  firstOf(told),
			Marks: strings.Join(marks[i], " ")}
		if pictures := p.pictures(w, told); len(pictures) > 0 {
			first := pictures[0]
			first.Src, first.Side = p.up()+w.Pictures[0].file(w.Pictures[0].Sizes[0].Side), w.Pictures[0].Sizes[0].Side
			rows[i].Picture = &first
		}
	}
	return p.render("list.html", map[string]any{"Frame": f, "Rows": rows, "Facets": facets, "Rules": rules(facets),
		"Count": p.words(say.That("site.count", say.Count("n", len(rows)))), "Empty": p.words(say.That("site.empty")),
		"Filter": p.words(say.That("site.filter"))})
}

// facets are the questions of the filter, and for each watch the marks of its choices. A question to which all watches
// give one answer is not asked.
func (p pages) facets() (out []facet, marks [][]string) {
	marks = make([][]string, len(p.Watches))
	for _, ask := range []struct {
		id   string
		name say.Statement
		of   func(Watch) string
	}{
		{"m", say.That("site.maker"), func(w Watch) string { return w.Maker }},
		{"d", say.That("site.decade"), func(w Watch) string { return p.decade(w) }},
		{"t", say.That("site.metal"), func(w Watch) string { return p.metal(w) }},
	} {
		count := map[string]int{}
		for _, w := range p.Watches {
			if v := ask.of(w); v != "" {
				count[v]++
			}
		}
		if len(count) < 2 {
			continue
		}
		names := make([]string, 0, len(count))
		for v := range count {
			names = append(names, v)
		}
		slices.Sort(names)
		x := facet{ID: ask.id, Name: p.words(ask.name), All: p.words(say.That("site.all"))}
		at := map[string]string{}
		for i, v := range names {
			at[v] = fmt.Sprintf("%s%d", ask.id, i+1)
			x.Choices = append(x.Choices, choice{at[v], v, count[v]})
		}
		for i, w := range p.Watches {
			if id := at[ask.of(w)]; id != "" {
				marks[i] = append(marks[i], id)
			}
		}
		out = append(out, x)
	}
	return out, marks
}

func (p pages) decade(w Watch) string {
	if w.Year == 0 {
		return ""
	}
	return p.words(say.That("site.from-decade", say.Name("decade", fmt.Sprint(w.Year/10*10))))
}

func (p pages) metal(w Watch) string {
	if w.Metal == "" {
		return ""
	}
	return say.Capital(p.w.Value(say.Term("metal", "metal", w.Metal, "").Value, ""))
}

// rules hide the rows that a choice leaves out. The ids are made here, never from a name.
func rules(all []facet) template.CSS {
	var b strings.Builder
	for _, f := range all {
		for _, c := range f.Choices {
			fmt.Fprintf(&b, "body:has(#%s:checked) .watches li:not(.%s){display:none}\n", c.ID, c.ID)
		}
	}
	return template.CSS(b.String())
}
