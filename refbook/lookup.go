package refbook

import (
	"net/url"
	"strings"

	"midcase/evidence"
)

// makerIndex finds the entries of a maker by id. It holds places, not pointers, so
// a copied Maker stays sound.
type makerIndex struct {
	references, calibres, bracelets, endPieces, metals, families, serials, stamps map[string]int
}

// fold is how names are compared: without regard to case and to space at the ends.
func fold(s string) string { return strings.ToLower(strings.TrimSpace(s)) }

func places[T any](all []T, id func(*T) string) map[string]int {
	out := make(map[string]int, len(all))
	for i := range all {
		out[fold(id(&all[i]))] = i
	}
	return out
}

// find looks an id up by the index, or by going through the list where there is no
// index or it is stale.
func find[T any](all []T, index map[string]int, want string, id func(*T) string) (*T, bool) {
	want = fold(want)
	if i, ok := index[want]; ok && i < len(all) && fold(id(&all[i])) == want {
		return &all[i], true
	}
	if index != nil && len(index) == len(all) {
		return nil, false
	}
	for i := range all {
		if fold(id(&all[i])) == want {
			return &all[i], true
		}
	}
	return nil, false
}

func referenceID(r *Reference) string { return r.ID }
func calibreID(c *Calibre) string     { return c.ID }
func braceletID(b *Bracelet) string   { return b.ID }
func endPieceID(e *EndPiece) string   { return e.ID }
func metalID(m *Metal) string         { return m.ID }
func familyID(f *Family) string       { return f.ID }
func serialID(s *Serial) string       { return s.ID }
func stampID(s *Stamp) string         { return s.ID }

func (b *Book) index() {
	b.makers = map[string]int{}
	for i := range b.Makers {
		m := &b.Makers[i]
		m.index = &makerIndex{places(m.References, referenceID), places(m.Calibres, calibreID),
			places(m.Bracelets, braceletID),
			places(m.EndPieces, endPieceID), places(m.Metals, metalID), places(m.Families, familyID),
			places(m.Serials, serialID), places(m.Stamps, stampID)}
		for _, name := range append([]string{m.ID, m.Name}, m.Aliases...) {
			b.makers[fold(name)] = i
		}
	}
}

// Maker finds a maker by id, name or alias, without regard to case.
func (b *Book) Maker(nameOrID string) (*Maker, bool) {
	want := fold(nameOrID)
	if b == nil || want == "" {
		return nil, false
	}
	if b.makers != nil {
		i, ok := b.makers[want]
		if !ok || i >= len(b.Makers) {
			return nil, false
		}
		return &b.Makers[i], true
	}
	for i := range b.Makers {
		m := &b.Makers[i]
		for _, name := range append([]string{m.ID, m.Name}, m.Aliases...) {
			if fold(name) == want {
				return m, true
			}
		}
	}
	return nil, false
}

// Reference finds a reference of a maker, both without regard to case. Where the
// maker is known and the reference is not, the maker is returned with false.
func (b *Book) Reference(maker, id string) (*Maker, *Reference, bool) {
	m, ok := b.Maker(maker)
	if !ok {
		return nil, nil, false
	}
	r, ok := m.Reference(id)
	return m, r, ok
}

func (m *Maker) places() *makerIndex {
	if m.index == nil {
		return &makerIndex{}
	}
	return m.index
}

// Reference finds a reference by its number.
func (m *Maker) Reference(id string) (*Reference, bool) {
	return find(m.References, m.places().references, id, referenceID)
}

// Calibre finds a calibre by id.
func (m *Maker) Calibre(id string) (*Calibre, bool) {
	return find(m.Calibres, m.places().calibres, id, calibreID)
}

// Bracelet finds a bracelet by id.
func (m *Maker) Bracelet(id string) (*Bracelet, bool) {
	return find(m.Bracelets, m.places().bracelets, id, braceletID)
}

// EndPiece finds an end piece by id.
func (m *Maker) EndPiece(id string) (*EndPiece, bool) {
	return find(m.EndPieces, m.places().endPieces, id, endPieceID)
}

// Metal finds a metal by id.
func (m *Maker) Metal(id string) (*Metal, bool) {
	return find(m.Metals, m.places().metals, id, metalID)
}

// Family finds a family by id.
func (m *Maker) Family(id string) (*Family, bool) {
	return find(m.Families, m.places().families, id, familyID)
}

// Serial finds a run of numbers by id.
func (m *Maker) Serial(id string) (*Serial, bool) {
	return find(m.Serials, m.places().serials, id, serialID)
}

// Stamp finds a stamp scheme by id.
func (m *Maker) Stamp(id string) (*Stamp, bool) {
	return find(m.Stamps, m.places().stamps, id, stampID)
}

// Slot finds what the book says about one slot of the reference.
func (r *Reference) Slot(slot evidence.Slot) (*Slot, bool) {
	for i := range r.Slots {
		if r.Slots[i].Slot == slot {
			return &r.Slots[i], true
		}
	}
	return nil, false
}

// Variant finds a variant of the slot by id, without regard to case.
func (s *Slot) Variant(id string) (*Variant, bool) {
	return find(s.Variants, nil, id, func(v *Variant) string { return v.ID })
}

// Path is the stable name of an entry, for citing: corvane/KR-1/dial/matt-1. The
// reference is left out where it is empty (an entry of the maker, such as
// corvane/serial/main). A slash within a part is written %2F.
func Path(maker, reference string, parts ...string) string {
	all := []string{url.PathEscape(maker)}
	if reference != "" {
		all = append(all, url.PathEscape(reference))
	}
	for _, p := range parts {
		all = append(all, url.PathEscape(p))
	}
	return strings.Join(all, "/")
}
