package notes

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"midcase/evidence"
	"midcase/refbook"
)

// Draft is a reference as a dealer fills it in, field by field, in words: times as [ReadTimes] reads them, "often"
// for a chance. It is read into the same proposals as a notebook, so both assume the same where nothing was said.
type Draft struct {
	Maker, Country  string
	Reference, Name string
	Family          string // what sort of watch it is
	Made            string // words
	Metal           string // id of the book
	Note            string
	Calibres        []DraftCalibre
	Sizes           []DraftSize
	Parts           []DraftPart
	Numbers         []DraftNumber
}

// DraftCalibre is a movement; figures are as typed.
type DraftCalibre struct{ Name, Beats, Jewels, Winding string }

// DraftSize is a size when new; MM is as typed.
type DraftSize struct{ What, MM string }

// DraftPart is a part with its versions. Replaced is a word of the general knowledge, such as "often", or a share.
type DraftPart struct {
	Slot     evidence.Slot
	Replaced string
	Versions []DraftVersion
}

// DraftVersion is a version of a part. ID is that of the book where the version is there already.
type DraftVersion struct {
	ID, Name, When, Look, Lume string
	Service                    bool
}

// DraftNumber is a number with the time at which it was reached, both as typed. Run is the id of the run of numbers
// in the book that it belongs to, empty for a new one; At is the path by which problems name it.
type DraftNumber struct{ At, Run, Mark, Number, When, Source string }

// DraftProblem is what is wrong with a field of a draft. Field is a path such as parts.dial.2.when.
type DraftProblem struct{ Field, Says string }

// DraftOf is what the book holds of a reference, as a draft. Numbers stay out of it: they are the maker's.
func DraftOf(m *refbook.Maker, ref *refbook.Reference) Draft {
	d := Draft{Maker: m.Name, Country: m.Country, Reference: ref.ID, Name: ref.Name, Family: ref.Family,
		Made: inWords(ref.Made.String()), Metal: ref.Metal, Note: ref.Note}
	if f, ok := m.Family(ref.Family); ok {
		d.Family = f.Name
	}
	for _, id := range ref.Calibres {
		c := DraftCalibre{Name: id}
		if known, ok := m.Calibre(id); ok {
			c.Beats, c.Jewels, c.Winding = positive(known.BeatsPerHour), positive(known.Jewels), known.Winding
		}
		d.Calibres = append(d.Calibres, c)
	}
	for _, x := range ref.Dimensions {
		d.Sizes = append(d.Sizes, DraftSize{What: x.What, MM: strconv.FormatFloat(x.MM, 'f', -1, 64)})
	}
	for _, s := range ref.Slots {
		p := DraftPart{Slot: s.Slot, Replaced: ReplacedWord(s)}
		for _, v := range s.Variants {
			p.Versions = append(p.Versions, draftVersion(v))
		}
		d.Parts = append(d.Parts, p)
	}
	return d
}

func positive(n int) string {
	if n <= 0 {
		return ""
	}
	return strconv.Itoa(n)
}

func draftVersion(v refbook.Variant) DraftVersion {
	out := DraftVersion{ID: v.ID, Name: v.Name, Look: v.Look, Lume: v.Lume, Service: v.Service}
	if v.Service {
		out.When = inWords(v.Supplied.String())
		return out
	}
	out.When = TimesInWords(bookWindows(v.Windows))
	return out
}

func bookWindows(all []refbook.Window) []BookWindow {
	var out []BookWindow
	for _, w := range all {
		out = append(out, BookWindow{Made: w.Made.String(), SoftMonths: int(w.SoftMonths), Share: w.Share})
	}
	return out
}

// ReplacedWord is the word for how often a part is no longer the first one: empty where that was assumed, the share
// itself where no word stands for it.
func ReplacedWord(s refbook.Slot) string {
	if strings.HasPrefix(s.Source, refbook.AssumedMark) {
		return ""
	}
	for word, share := range refbook.GeneralKnowledge().ReplacedWords {
		if share == s.Replaced {
			return word
		}
	}
	return strconv.FormatFloat(s.Replaced, 'f', -1, 64)
}

// Read reads what was filled in, as a notebook is read, and lists the fields that could not be.
func (d Draft) Read() (BookMaker, []DraftProblem) {
	r := draftReader{said: Ground{Sure: 1}}
	r.needed("maker", d.Maker, "the maker's name")
	m := BookMaker{Name: strings.TrimSpace(d.Maker)}
	for _, n := range d.Numbers {
		if n.Run == "" {
			m.Serials = append(m.Serials, r.number(n)...)
		}
	}
	slices.SortStableFunc(m.Serials, func(a, b Milestone) int { return a.Number - b.Number })
	if strings.TrimSpace(d.Reference) != "" || len(d.Parts)+len(d.Sizes)+len(d.Calibres) > 0 || d.Made != "" {
		m.References = []BookReference{r.reference(d)}
	}
	return m, r.problems
}

type draftReader struct {
	said     Ground
	problems []DraftProblem
}

func (r *draftReader) wrong(field, says string) {
	r.problems = append(r.problems, DraftProblem{field, says})
}

func (r *draftReader) needed(field, value, want string) {
	if strings.TrimSpace(value) == "" {
		r.wrong(field, "Enter "+want+".")
	}
}

func (r *draftReader) reference(d Draft) BookReference {
	ref := BookReference{ID: strings.TrimSpace(d.Reference), Kind: strings.TrimSpace(d.Family), Ground: r.said}
	r.needed("reference", d.Reference, "the number of the reference")
	made := r.made(d.Made)
	if made != "" {
		ref.Made = &BookSpan{Value: made, Ground: r.said}
	}
	if d.Metal != "" {
		ref.Metals = []BookMetal{{Value: d.Metal, Ground: r.said}}
	}
	for i, c := range d.Calibres {
		if strings.TrimSpace(c.Name) == "" {
			continue
		}
		at := fmt.Sprintf("calibres.%d", i)
		ref.Calibres = append(ref.Calibres, BookCalibre{Value: strings.TrimSpace(c.Name), Winding: c.Winding, Ground: r.said,
			BeatsPerHour: r.whole(at+".beats", c.Beats, 5000, 72000, "beats an hour, for example 18000"),
			Jewels:       r.whole(at+".jewels", c.Jewels, 0, 100, "the number of jewels, for example 17")})
	}
	for i, x := range d.Sizes {
		if mm := r.size(fmt.Sprintf("sizes.%d.mm", i), x); mm > 0 {
			ref.Dimensions = append(ref.Dimensions, BookDimension{What: x.What, MM: mm, Ground: r.said})
		}
	}
	for _, p := range d.Parts {
		if s, ok := r.part(p, made); ok {
			ref.Slots = append(ref.Slots, s)
		}
	}
	ref.fill()
	return ref
}

// made reads the time of the reference; without it nothing that follows has a beginning or an end.
func (r *draftReader) made(words string) string {
	if strings.TrimSpace(words) == "" {
		r.wrong("made", "Enter when it was made, for example 1962 to 1971.")
		return ""
	}
	all, err := ReadTimes(words, "../..")
	switch {
	case err != nil:
		r.wrong("made", sentence(err))
	case len(all) > 1:
		r.wrong("made", "Enter one time, from the first year to the last.")
	default:
		return all[0].Made
	}
	return ""
}

func sentence(err error) string {
	first, n := utf8.DecodeRuneInString(err.Error())
	return string(unicode.ToUpper(first)) + err.Error()[n:] + "."
}

// ungrouped is a whole number as typed, without what parts its thousands.
func ungrouped(typed string) string {
	return strings.NewReplacer(",", "", ".", "", "'", "", "’", "", " ", "").Replace(typed)
}

func (r *draftReader) whole(field, typed string, low, high int, want string) int {
	typed = ungrouped(typed)
	if typed == "" {
		return 0
	}
	n, err := strconv.Atoi(typed)
	if err != nil || n < low || n > high {
		r.wrong(field, "Enter "+want+".")
		return 0
	}
	return n
}

func (r *draftReader) size(field string, x DraftSize) float64 {
	typed := strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(x.MM), "mm"))
	if typed == "" {
		return 0
	}
	mm, err := strconv.ParseFloat(strings.ReplaceAll(typed, ",", "."), 64)
	if err != nil || mm <= 0 || mm > 300 {
		r.wrong(field, "“"+x.MM+"” is not a size. Enter mm, for example 36.4.")
		return 0
	}
	return mm
}

func (r *draftReader) part(p DraftPart, made string) (BookSlot, bool) {
	s := BookSlot{Slot: p.Slot, Variants: []BookVariant{}}
	at := "parts." + string(p.Slot)
	s.Replaced = r.replaced(at+".replaced", p.Replaced)
	for i, v := range p.Versions {
		if strings.TrimSpace(v.Name) == "" {
			if v.ID == "" && strings.TrimSpace(v.When+v.Look) != "" {
				r.wrong(fmt.Sprintf("%s.%d.name", at, i), "Enter the name of the version, for example silver, painted dots.")
			}
			continue
		}
		s.Variants = append(s.Variants, r.version(fmt.Sprintf("%s.%d.when", at, i), v, made))
	}
	return s, len(s.Variants) > 0
}

func (r *draftReader) replaced(field, word string) *BookShare {
	if word == "" {
		return nil
	}
	share, ok := refbook.GeneralKnowledge().ReplacedWords[word]
	if !ok {
		var err error
		if share, err = strconv.ParseFloat(word, 64); err != nil || share < 0 || share > 1 {
			r.wrong(field, "Choose how often this part is replaced.")
			return nil
		}
	}
	return &BookShare{Value: share, Ground: r.said}
}

func (r *draftReader) version(field string, v DraftVersion, made string) BookVariant {
	out := BookVariant{Name: strings.TrimSpace(v.Name), Look: strings.Join(strings.Fields(v.Look), " "), Lume: v.Lume,
		Service: v.Service, Ground: r.said}
	if v.Service && strings.TrimSpace(v.When) == "" || made == "" {
		return out
	}
	if v.Service {
		made = "../.." // repair parts were supplied after the last watch, too
	}
	windows, err := ReadTimes(v.When, made)
	switch {
	case err != nil:
		r.wrong(field, sentence(err))
	case v.Service:
		out.Supplied = windows[0].Made
	default:
		out.Windows = windows
		out.Assumed = strings.TrimSpace(v.When) == ""
	}
	return out
}

func (r *draftReader) number(n DraftNumber) []Milestone {
	if strings.TrimSpace(n.Number+n.When) == "" {
		return nil
	}
	m, err := ReadMilestone(n.Number, n.When)
	if err != nil {
		field := n.At + ".when"
		if m.Number == 0 {
			field = n.At + ".number"
		}
		r.wrong(field, sentence(err))
		return nil
	}
	m.Mark, m.Ground = n.Mark, r.said
	m.Source = strings.TrimSpace(n.Source)
	if m.Mark == "" {
		m.Mark = evidence.MarkSerial
	}
	return []Milestone{m}
}
