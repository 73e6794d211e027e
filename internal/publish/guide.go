package publish

import (
	"fmt"
	"path"

	"midcase/say"
)

// guidePath is where the guide to a reference stands.
func (p pages) guidePath(g Guide) string {
	return p.dir("guide-" + plainName(g.Maker+" "+g.Reference) + ".html")
}

// guide is the page of a reference for readers, with the watches of it that are for sale.
func (p pages) guide(g Guide) ([]byte, error) {
	told, ok := g.Told[p.lang]
	if !ok {
		return nil, fmt.Errorf("nothing is told of it in %s", p.lang)
	}
	f, err := p.frame(told.Title, told.Title, func(q pages) string { return q.guidePath(g) })
	if err != nil {
		return nil, err
	}
	var watches []link
	for _, w := range p.Watches {
		if w.Maker == g.Maker && w.Reference == g.Reference {
			watches = append(watches, link{Name: w.Told[p.lang].Title, Href: slug(w) + ".html"})
		}
	}
	words := map[string]string{"Part": p.words(say.That("guide.part")), "Version": p.words(say.That("guide.version")),
		"When": p.words(say.That("guide.when"))}
	return p.render("guide.html", map[string]any{"Frame": f, "Guide": told, "Words": words, "Watches": watches})
}

// guideTo is the link from a watch to the guide to its reference.
func (p pages) guideTo(w Watch) *link {
	for _, g := range p.Guides {
		if g.Maker == w.Maker && g.Reference == w.Reference {
			return &link{Name: p.words(say.That("guide.link")), Href: path.Base(p.guidePath(g))}
		}
	}
	return nil
}
