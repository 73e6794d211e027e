package notes

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/refbook"
)

// assumedSource is the source of what the text does not say.
const assumedSource = refbook.AssumedMark + ", not said"

// Assumption is a value that nobody said and the book needs, with what would replace it.
type Assumption struct {
	About string // reference or run of numbers
	Says  string
}

// Entries makes entries of the reference book from what was understood, ready to be
// checked and saved, and lists what had to be assumed for them. at names where the notes
// come from, for the source of each entry.
func (m BookMaker) Entries(at string) (refbook.Maker, []Assumption) { return m.entries(at, nil) }

// entries leaves out the movements that the book has of the maker; known is nil where it has none.
func (m BookMaker) entries(at string, known *refbook.Maker) (refbook.Maker, []Assumption) {
	e := entries{source: at, known: known, maker: refbook.Maker{Schema: refbook.SchemaVersion, ID: slug(m.Name), Name: m.Name}}
	e.serials(m.Serials)
	for _, ref := range m.References {
		e.reference(ref)
	}
	return e.maker, e.assumed
}

type entries struct {
	maker   refbook.Maker
	source  string
	known   *refbook.Maker
	assumed []Assumption
}

func (e *entries) assume(about, format string, args ...any) {
	e.assumed = append(e.assumed, Assumption{About: about, Says: fmt.Sprintf(format, args...)})
}

// slug is a name as an id of the book: small letters, digits and hyphens.
func slug(s string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(s) {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	return strings.Trim(b.String(), "-")
}

// serials makes a run of numbers a mark. Milestones that fall back in number or month are
// left out and named.
func (e *entries) serials(all []Milestone) {
	for _, mark := range []string{evidence.MarkSerial, evidence.MarkMovementNumber} {
		s := refbook.Serial{ID: strings.ReplaceAll(mark, "_", "-"), Mark: mark,
			ScatterMonths: refbook.GeneralKnowledge().ScatterMonths, Source: e.source + "; scatter " + assumedSource}
		for _, m := range all {
			month, err := edtf.ParseMonth(m.Month)
			if m.Mark != mark || err != nil {
				continue
			}
			if n := len(s.Anchors); n > 0 && (s.Anchors[n-1].Number >= int64(m.Number) || s.Anchors[n-1].Month >= month) {
				e.assume(s.ID, "%d in %s is left out: the number before it was reached later", m.Number, m.Month)
				continue
			}
			s.Anchors = append(s.Anchors, refbook.Anchor{Number: int64(m.Number), Month: month, Source: cmp.Or(m.Source, e.source)})
		}
		switch {
		case len(s.Anchors) == 1:
			e.assume(s.ID, "one milestone makes no line of numbers: it is left out until there are two")
		case len(s.Anchors) > 1:
			e.maker.Serials = append(e.maker.Serials, s)
			e.assume(s.ID, "watches were finished within 6 months or so of their number; examples with a dated paper would tell")
		}
	}
}

// knownMetals are those that the notes can name, as the book describes them.
var knownMetals = map[string]refbook.Metal{
	"steel":        {ID: "steel", Name: "Steel"},
	"gold18":       {ID: "gold18", Name: "18 karat yellow gold", Fineness: 750, Element: "gold", Colour: "yellow"},
	"gold18_pink":  {ID: "gold18_pink", Name: "18 karat pink gold", Fineness: 750, Element: "gold", Colour: "rose"},
	"gold18_white": {ID: "gold18_white", Name: "18 karat white gold", Fineness: 750, Element: "gold", Colour: "white"},
	"gold14":       {ID: "gold14", Name: "14 karat gold", Fineness: 585, Element: "gold", Colour: "yellow"},
	"gold9":        {ID: "gold9", Name: "9 karat gold", Fineness: 375, Element: "gold", Colour: "yellow"},
	"platinum":     {ID: "platinum", Name: "Platinum", Fineness: 950, Element: "platinum", Colour: "white"},
	"silver":       {ID: "silver", Name: "Sterling silver", Fineness: 925, Element: "silver", Colour: "white"},
	"chromed":      {ID: "chromed", Name: "Chromed brass"},
	"plated":       {ID: "plated", Name: "Gold-plated"},
}

// metal is the metal of a reference. The book gives a reference one; further ones stand
// in its note.
func (e *entries) metal(ref BookReference, into *refbook.Reference) {
	into.Metal = "steel"
	if len(ref.Metals) == 0 {
		e.assume(ref.ID, "case of steel: no metal was named")
	}
	var also []string
	for i, m := range ref.Metals {
		known, ok := knownMetals[m.Value]
		if !ok {
			continue
		}
		if i == 0 {
			into.Metal = m.Value
			if m.Assumed {
				e.assume(ref.ID, "%s: not said outright", known.Name)
			}
		} else {
			also = append(also, strings.ToLower(known.Name))
		}
	}
	if len(also) > 0 {
		into.Note = "Also made in " + strings.Join(also, " and in ") + "."
	}
	e.haveMetal(into.Metal)
}

// KnownMetals lists the metals that notes can name, by id.
func KnownMetals() []refbook.Metal {
	var out []refbook.Metal
	for _, id := range slices.Sorted(maps.Keys(knownMetals)) {
		out = append(out, knownMetals[id])
	}
	return out
}

func (e *entries) haveMetal(id string) {
	if !slices.ContainsFunc(e.maker.Metals, func(m refbook.Metal) bool { return m.ID == id }) {
		e.maker.Metals = append(e.maker.Metals, knownMetals[id])
	}
}

// family puts a reference with those of its kind.
func (e *entries) family(kind string) string {
	id, name := slug(kind), kind
	if id == "" {
		id, name = "watches", "Watches"
	}
	if !slices.ContainsFunc(e.maker.Families, func(f refbook.Family) bool { return f.ID == id }) {
		e.maker.Families = append(e.maker.Families, refbook.Family{ID: id, Name: strings.ToUpper(name[:1]) + name[1:], Kind: id})
	}
	return id
}

func (e *entries) reference(ref BookReference) {
	out := refbook.Reference{ID: ref.ID, Family: e.family(ref.Kind), Source: e.source}
	if ref.Made == nil {
		e.assume(ref.ID, "left out of the book: not said when it was made")
		return
	}
	made, err := edtf.Parse(ref.Made.Value)
	if err != nil {
		e.assume(ref.ID, "left out of the book: “%s” ends before it begins", ref.Made.Text)
		return
	}
	out.Made = made
	e.metal(ref, &out)
	for _, c := range ref.Calibres {
		out.Calibres = append(out.Calibres, e.calibre(ref.ID, c, made))
	}
	if len(out.Calibres) == 0 {
		out.Calibres = []string{}
	}
	for _, s := range e.maker.Serials {
		out.Serial = append(out.Serial, s.ID)
	}
	if out.Serial == nil {
		out.Serial = []string{}
	}
	lugs := 0.0
	for _, d := range ref.Dimensions {
		out.Dimensions = append(out.Dimensions, refbook.Dimension{What: d.What, MM: d.MM, Source: sourceOf(d.Ground, e.source)})
		if d.What == "lug_width" {
			lugs = d.MM
		}
	}
	for _, s := range ref.Slots {
		if slot, ok := e.slot(&out, s, lugs); ok {
			out.Slots = append(out.Slots, slot)
		}
	}
	if len(out.Bracelets) == 0 {
		out.Strap = true
	}
	e.maker.References = append(e.maker.References, out)
}

func sourceOf(g Ground, source string) string {
	if g.Assumed {
		return assumedSource
	}
	return source
}

// calibre enters a movement. The beat is common practice, no published source: 18,000
// an hour before 1970, 21,600 after.
func (e *entries) calibre(ref string, c BookCalibre, made edtf.Date) string {
	if slices.ContainsFunc(e.maker.Calibres, func(x refbook.Calibre) bool { return strings.EqualFold(x.ID, c.Value) }) {
		return c.Value
	}
	if e.known != nil {
		if has, ok := e.known.Calibre(c.Value); ok {
			return has.ID
		}
	}
	year := 0
	if first, ok := made.FirstMonth(); ok {
		year = first.Year()
	}
	beat, source := c.BeatsPerHour, e.source
	if beat == 0 {
		beat, source = refbook.UsualBeat(year), e.source+"; beat "+assumedSource
		e.assume(ref, "calibre %s beats %d times an hour: not said", c.Value, beat)
	}
	e.maker.Calibres = append(e.maker.Calibres, refbook.Calibre{ID: c.Value, BeatsPerHour: beat, Jewels: c.Jewels,
		Winding: c.Winding, Source: source})
	return c.Value
}

func (e *entries) slot(ref *refbook.Reference, s BookSlot, lugs float64) (refbook.Slot, bool) {
	out := refbook.Slot{Slot: s.Slot, Replaced: refbook.UsuallyReplaced(s.Slot), Source: assumedSource}
	if s.Replaced != nil {
		out.Replaced, out.Source = s.Replaced.Value, ""
	}
	for _, v := range s.Variants {
		x := refbook.Variant{ID: e.variantID(&out, v), Name: v.Name, Look: v.Look, Service: v.Service, Lume: v.Lume,
			Source: sourceOf(v.Ground, e.source)}
		if v.Service {
			x.Supplied, _ = edtf.Parse(v.Supplied)
		}
		for _, w := range v.Windows {
			made, err := edtf.Parse(w.Made)
			if err != nil {
				continue
			}
			x.Windows = append(x.Windows, refbook.Window{Made: made, SoftMonths: float64(w.SoftMonths), Share: w.Share})
		}
		if !v.Service && len(x.Windows) == 0 {
			x.Windows = []refbook.Window{{Made: ref.Made}}
		}
		e.bracelet(ref, s.Slot, x, lugs)
		out.Variants = append(out.Variants, x)
	}
	if !e.cover(ref, &out) {
		if len(out.Variants) > 0 {
			e.assume(ref.ID, "%s left out: no version of it was fitted in production", s.Slot.Name())
		}
		return out, false
	}
	shares(ref, &out)
	if s.Replaced == nil {
		e.assume(ref.ID, "%s: %.0f %% replaced over the years, as is usual for this part", s.Slot.Name(), 100*out.Replaced)
	}
	return out, true
}

// variantID is an id that no other version of the slot has.
func (e *entries) variantID(s *refbook.Slot, v BookVariant) string {
	id := slug(v.Name)
	if words := strings.Fields(v.Name); (s.Slot == evidence.Bracelet || s.Slot == evidence.EndPieces) && len(words) > 0 {
		id = words[len(words)-1]
	}
	if len(id) > 40 {
		id = strings.Trim(id[:40], "-")
	}
	base := id
	for n := 2; slices.ContainsFunc(s.Variants, func(x refbook.Variant) bool { return strings.EqualFold(x.ID, id) }); n++ {
		id = fmt.Sprintf("%s-%d", base, n)
	}
	return id
}

// bracelet enters a bracelet or end piece, which the book keeps in lists of their own.
func (e *entries) bracelet(ref *refbook.Reference, slot evidence.Slot, v refbook.Variant, lugs float64) {
	if lugs == 0 {
		lugs = 18
	}
	switch slot {
	case evidence.Bracelet:
		ref.Bracelets = append(ref.Bracelets, v.ID)
		if !slices.ContainsFunc(e.maker.Bracelets, func(b refbook.Bracelet) bool { return b.ID == v.ID }) {
			e.haveMetal(ref.Metal)
			e.maker.Bracelets = append(e.maker.Bracelets, refbook.Bracelet{ID: v.ID, Name: v.Name, Metal: ref.Metal, WidthMM: lugs,
				ClaspMM: lugs - 2, Source: e.source + "; widths " + assumedSource})
			e.assume(ref.ID, "bracelet %s: %g mm at the lugs, %g mm at the clasp", v.ID, lugs, lugs-2)
		}
	case evidence.EndPieces:
		i := slices.IndexFunc(e.maker.EndPieces, func(p refbook.EndPiece) bool { return p.ID == v.ID })
		if i < 0 {
			e.maker.EndPieces = append(e.maker.EndPieces, refbook.EndPiece{ID: v.ID, LugWidthMM: lugs, Source: e.source})
			i = len(e.maker.EndPieces) - 1
		}
		if !slices.Contains(e.maker.EndPieces[i].Fits, ref.ID) {
			e.maker.EndPieces[i].Fits = append(e.maker.EndPieces[i].Fits, ref.ID)
		}
	}
}

// cover closes gaps between the versions of a part, so that one was fitted at any time:
// the version before a gap is taken to have lasted until the next. It reports false where
// no version was fitted in production.
func (e *entries) cover(ref *refbook.Reference, s *refbook.Slot) bool {
	var order []*refbook.Window
	for i := range s.Variants {
		for k := range s.Variants[i].Windows {
			order = append(order, &s.Variants[i].Windows[k])
		}
	}
	if len(order) == 0 {
		return false
	}
	slices.SortStableFunc(order, func(a, b *refbook.Window) int {
		f, _, _ := a.Months(ref.Made)
		g, _, _ := b.Months(ref.Made)
		return int(f - g)
	})
	first, _ := ref.Made.FirstMonth()
	last, _ := ref.Made.LastMonth()
	from, _, ok := order[0].Months(ref.Made)
	if ok && from > first {
		e.assume(ref.ID, "%s: the first version is taken to have been there from the start", s.Slot.Name())
		order[0].Made = spanOf(ref.Made, order[0].Made)
	}
	longest := order[0]
	for _, w := range order[1:] {
		begins, ends, ok := w.Months(ref.Made)
		_, until, _ := longest.Months(ref.Made)
		if ok && begins > until+1 {
			e.assume(ref.ID, "%s: the version of %s is taken to have lasted until the next", s.Slot.Name(), longest.Made)
			longest.Made = spanOf(longest.Made, w.Made)
		}
		if ends >= until {
			longest = w
		}
	}
	if _, until, ok := longest.Months(ref.Made); ok && until < last {
		e.assume(ref.ID, "%s: the last version is taken to have been fitted to the end", s.Slot.Name())
		longest.Made = spanOf(longest.Made, ref.Made)
	}
	return true
}

// spanOf runs from where one time begins to where another ends or, where the second
// begins later than the first ends, to its begin.
func spanOf(a, b edtf.Date) edtf.Date {
	from, _, _ := strings.Cut(a.String(), "/")
	begins, to, two := strings.Cut(b.String(), "/")
	if !two {
		to = begins
	}
	if af, ok := a.LastMonth(); ok {
		if bf, ok := b.FirstMonth(); ok && bf > af {
			to = begins
		}
	}
	d, err := edtf.Parse(from + "/" + to)
	if err != nil {
		return a
	}
	return d
}

// shares gives versions that were fitted at the same time a share each, where the notes
// give none.
func shares(ref *refbook.Reference, s *refbook.Slot) {
	for i := range s.Variants {
		for j := range i {
			for a := range s.Variants[i].Windows {
				for b := range s.Variants[j].Windows {
					w, u := &s.Variants[i].Windows[a], &s.Variants[j].Windows[b]
					if !together(*w, *u, ref.Made) {
						continue
					}
					switch {
					case w.Share == 0 && u.Share == 0:
						w.Share, u.Share = 0.5, 0.5
					case w.Share == 0:
						w.Share = 1 - u.Share
					case u.Share == 0:
						u.Share = 1 - w.Share
					}
				}
			}
		}
	}
}

// together reports whether two windows share more months than their softness explains.
func together(a, b refbook.Window, span edtf.Date) bool {
	f, l, ok := a.Months(span)
	g, m, also := b.Months(span)
	return ok && also && float64(min(l, m)-max(f, g)+1) > a.Soft()+b.Soft()
}
