package publish

import (
	"fmt"
	"path"
	"strings"
	"time"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"midcase/money"
	"midcase/say"
	"midcase/telling"
)

// Site is what is published.
type Site struct {
	Name    string
	Lines   []string // address, telephone: one line each
	Address string   // where it will be found, such as https://shop.example; empty leaves out what needs it
	Langs   []string // the first is that of the folder itself
	Watches []Watch
	Guides  []Guide // to the references of the watches
}

// Guide is what readers are told of a reference.
type Guide struct {
	Maker, Reference string
	Told             map[string]telling.Guide // by language
}

// Watch is a watch that is for sale.
type Watch struct {
	Number    int
	Maker     string
	Reference string
	Family    string
	Made      string // EDTF, the 90 % range
	Metal     string // an id of the catalogue's nouns, such as steel
	Year      int    // best estimate; 0 where it cannot be told
	Price     money.Money
	Reserved  bool
	Changed   time.Time
	Told      map[string]telling.Told // by language
	Terms     []string
	Pictures  []Picture
}

// Picture is a picture in the sizes that the pages use.
type Picture struct {
	View  string // an id of the catalogue's nouns
	Name  string // of its files, without the size
	Sizes []Size // from the smallest
}

// Size is one size of a picture.
type Size struct {
	Side int
	Make func() ([]byte, error) // the file; called only where it is not there yet
}

// File is one file of the site.
type File struct {
	Path string // with slashes
	Make func() ([]byte, error)
	// Fixed says that a file of this name never changes, so that one that is there is right.
	Fixed bool
}

// Files lists the files of the site, in a fixed order.
func (s Site) Files() ([]File, error) {
	var out []File
	add := func(path string, data []byte, err error) error {
		out = append(out, File{Path: path, Make: func() ([]byte, error) { return data, nil }})
		return err
	}
	if err := add("style.css", styleFile, nil); err != nil {
		return nil, err
	}
	for _, lang := range s.Langs {
		p, err := s.in(lang)
		if err != nil {
			return nil, err
		}
		for _, w := range s.Watches {
			page, err := p.watch(w)
			if err := add(p.path(w), page, err); err != nil {
				return nil, fmt.Errorf("page of watch %d: %w", w.Number, err)
			}
		}
		for _, g := range s.Guides {
			page, err := p.guide(g)
			if err := add(p.guidePath(g), page, err); err != nil {
				return nil, fmt.Errorf("guide to %s %s: %w", g.Maker, g.Reference, err)
			}
		}
		list, err := p.list()
		if err := add(p.dir("index.html"), list, err); err != nil {
			return nil, fmt.Errorf("list: %w", err)
		}
		feed, err := p.jsonFeed()
		if err := add(p.dir("feed.json"), feed, err); err != nil {
			return nil, fmt.Errorf("feed: %w", err)
		}
		rss, err := p.rss()
		if err := add(p.dir("feed.xml"), rss, err); err != nil {
			return nil, fmt.Errorf("feed: %w", err)
		}
	}
	if s.Address != "" {
		sitemap, err := s.sitemap()
		if err := add("sitemap.xml", sitemap, err); err != nil {
			return nil, fmt.Errorf("sitemap: %w", err)
		}
	}
	for _, w := range s.Watches {
		for _, p := range w.Pictures {
			for _, z := range p.Sizes {
				out = append(out, File{Path: p.file(z.Side), Make: z.Make, Fixed: true})
			}
		}
	}
	return out, nil
}

func (p Picture) file(side int) string { return fmt.Sprintf("pictures/%s-%d.jpg", p.Name, side) }

func (p Picture) largest() string { return p.file(p.Sizes[len(p.Sizes)-1].Side) }

// pages writes the site in one language.
type pages struct {
	Site
	lang string
	w    say.Writer
}

func (s Site) in(lang string) (pages, error) {
	w, ok := say.In(lang)
	if !ok {
		return pages{}, fmt.Errorf("there is no language “%s”. Use %s", lang, strings.Join(say.Languages(), ", "))
	}
	return pages{s, lang, w}, nil
}

// dir is the path of a file in the folder of the language.
func (p pages) dir(name string) string {
	if p.lang == p.Langs[0] {
		return name
	}
	return path.Join(p.lang, name)
}

// path is where a watch has its page.
func (p pages) path(w Watch) string { return p.dir(slug(w) + ".html") }

// up leads from a page of the language to the folder of the site.
func (p pages) up() string {
	if p.lang == p.Langs[0] {
		return ""
	}
	return "../"
}

// slug names the page of a watch: its number stays, whatever else of it is corrected.
func slug(w Watch) string { return fmt.Sprintf("%d-%s", w.Number, plainName(w.Maker+" "+w.Reference)) }

// plainName is a name as it may stand in the path of a file.
func plainName(name string) string {
	var b strings.Builder
	for _, r := range norm.NFD.String(strings.ToLower(name)) {
		switch {
		case r < unicode.MaxASCII && (unicode.IsLetter(r) || unicode.IsDigit(r)):
			b.WriteRune(r)
		case !unicode.Is(unicode.Mn, r) && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	return strings.Trim(b.String(), "-")
}

// from is the address of a path as a file of the site gives it: whole where the site has an
// address, else from the folder of that file.
func (s Site) from(file, path string) string {
	if s.Address == "" {
		return strings.Repeat("../", strings.Count(file, "/")) + path
	}
	return s.at(path)
}

// at is the whole address of a path; the path itself, as a name, where the site has none.
func (s Site) at(file string) string {
	if s.Address == "" {
		return file
	}
	return strings.TrimRight(s.Address, "/") + "/" + strings.TrimSuffix(file, "index.html")
}

func (p pages) words(s say.Statement) string {
	return strings.ReplaceAll(p.w.Capital(s), "\u00a0", " ")
}
