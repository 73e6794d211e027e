package say

import (
	"embed"
	"fmt"
	"io/fs"
	"path"
	"strings"
	"sync"

	"github.com/goccy/go-yaml"
	"golang.org/x/text/language"
)

//go:embed catalogue/*.yaml
var files embed.FS

// Catalogue holds the sentences and words of one language.
type Catalogue struct {
	Tag      language.Tag
	messages map[Kind]message
	nouns    map[string]map[string]noun // by set and id
	forms    map[string]message         // of nouns that do not say a form themselves
	months   [12]string
	days     dayForm
	units    map[Unit]string
	lists    map[string]listing
}

// noun is a word with its forms. Number is "many" for a word that is plural by nature,
// such as hands.
type noun struct {
	forms          map[string]string
	gender, number string
}

// listing is how a list is joined.
type listing struct {
	Between string `yaml:"between"`
	Last    string `yaml:"last"`
}

// dayForm is how a day is written in words: "{day}. {month} {year}", and the first of a
// month where it is another, as in French. Where it is empty, the reader's locale writes
// the day.
type dayForm struct {
	Any   string `yaml:"any"`
	First string `yaml:"first"`
}

// file is a catalogue as it is written.
type file struct {
	Language string                       `yaml:"language"`
	Months   []string                     `yaml:"months"`
	Days     dayForm                      `yaml:"days"`
	Units    map[Unit]string              `yaml:"units"`
	Lists    map[string]listing           `yaml:"lists"`
	Forms    map[string]string            `yaml:"forms"`
	Nouns    map[string]map[string]any    `yaml:"nouns"`
	Messages map[string]map[string]string `yaml:"messages"`
}

// Load reads a catalogue and says what is wrong with it, and where.
func Load(text []byte) (*Catalogue, error) {
	var f file
	if err := yaml.UnmarshalWithOptions(text, &f, yaml.Strict()); err != nil {
		return nil, fmt.Errorf("catalogue: %w", err)
	}
	tag, err := language.Parse(f.Language)
	if err != nil {
		return nil, fmt.Errorf("catalogue: language %q: want a tag such as en", f.Language)
	}
	if len(f.Months) != 12 {
		return nil, fmt.Errorf("catalogue %s: months: found %d; want 12 names", tag, len(f.Months))
	}
	c := &Catalogue{Tag: tag, messages: map[Kind]message{}, nouns: map[string]map[string]noun{},
		forms: map[string]message{}, months: [12]string(f.Months), days: f.Days, units: f.Units, lists: f.Lists}
	for group, sentences := range f.Messages {
		for name, text := range sentences {
			kind := Kind(group + "." + name)
			if c.messages[kind], err = parseMessage(text); err != nil {
				return nil, fmt.Errorf("catalogue %s: %s: %w", tag, kind, err)
			}
		}
	}
	for form, text := range f.Forms {
		if c.forms[form], err = parseMessage(text); err != nil {
			return nil, fmt.Errorf("catalogue %s: form %s: %w", tag, form, err)
		}
	}
	return c, c.readNouns(f.Nouns)
}

// readNouns reads the words: the bare word, or its forms with gender and number.
func (c *Catalogue) readNouns(sets map[string]map[string]any) error {
	for set, words := range sets {
		c.nouns[set] = map[string]noun{}
		for id, word := range words {
			n := noun{forms: map[string]string{}}
			switch w := word.(type) {
			case string:
				n.forms["name"] = w
			case map[string]any:
				for form, text := range w {
					n.forms[form] = fmt.Sprint(text)
				}
			}
			if n.forms["name"] == "" {
				return fmt.Errorf("catalogue %s: noun %s.%s: found %v; want a word, or name and other forms", c.Tag,
					set, id, word)
			}
			n.gender, n.number = n.forms["gender"], n.forms["number"]
			c.nouns[set][id] = n
		}
	}
	return nil
}

// catalogues are those inside the program, read once.
var catalogues = sync.OnceValues(func() (map[language.Tag]*Catalogue, error) {
	out := map[language.Tag]*Catalogue{}
	err := fs.WalkDir(files, "catalogue", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := files.ReadFile(name)
		if err != nil {
			return err
		}
		c, err := Load(text)
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		if want := strings.TrimSuffix(path.Base(name), ".yaml"); c.Tag.String() != want {
			return fmt.Errorf("%s: language %s; want that of the file's name", name, c.Tag)
		}
		out[c.Tag] = c
		return nil
	})
	return out, err
})

// Languages lists the languages in which a buyer can read, English first.
func Languages() []string { return []string{"en", "de", "fr", "it"} }

var told = language.NewMatcher(tags(Languages()...))

// LanguageOf is the language in which somebody is told, by what they read: a tag such as fr-CH, or what a browser accepts
// (RFC 9110, 12.5.4). Where that is none of ours, the next one given counts; English where none is.
func LanguageOf(reads ...string) string {
	for _, one := range reads {
		wanted, _, err := language.ParseAcceptLanguage(one)
		if err != nil || len(wanted) == 0 {
			continue
		}
		if _, i, sure := told.Match(wanted...); sure != language.No {
			return Languages()[i]
		}
	}
	return Languages()[0]
}

// Lists reports whether the English catalogue has a word of the trade, so that all
// languages have.
func Lists(set, id string) bool {
	_, ok := InEnglish().nouns[set][id]
	return ok
}

// In is the writer of a language of Languages: its words, with the figures and days of
// those who speak it. It reports false for any other.
func In(lang string) (Writer, bool) {
	all, err := catalogues()
	if err != nil {
		return Writer{}, false
	}
	for name, locale := range map[string]string{"en": "en-GB", "de": "de-DE", "fr": "fr-FR", "it": "it-IT"} {
		c := all[language.Make(name)]
		if name != lang || c == nil {
			continue
		}
		if c.days.Any == "" { // in a text a day is written out
			written := *c
			written.days.Any = "{day} {month} {year}"
			c = &written
		}
		return Writer{c, LocaleOf(locale, "")}, true
	}
	return Writer{}, false
}

// InEnglish is the English catalogue. A broken catalogue cannot be built into the
// program: the tests load it.
func InEnglish() *Catalogue {
	all, err := catalogues()
	if err != nil {
		return &Catalogue{Tag: language.English}
	}
	return all[language.English]
}
