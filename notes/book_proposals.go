package notes

import (
	"fmt"
	"strconv"
	"strings"

	"midcase/edtf"
)

// Proposal is one thing understood of a notebook, to be kept, mended or dropped. Its ID
// is the same whenever the same text is read.
type Proposal struct {
	ID    string
	About string // the reference, or the maker for milestones
	What  string // made, metal, calibre, a size, a part, replaced, number
	Value string // as it can be mended
	When  string // its time in EDTF, where it has one
	Ground

	ground *Ground
	set    func(value, when string) error
}

// Drop leaves the proposal out of what Kept returns.
func (p Proposal) Drop() { p.ground.Sure = 0 }

// Mend puts a value and a time in place of those that were read. It returns an error that
// says what would be right.
func (p Proposal) Mend(value, when string) error {
	value, when = strings.TrimSpace(value), strings.TrimSpace(when)
	if value == p.Value && when == p.When {
		return nil
	}
	if err := p.set(value, when); err != nil {
		return fmt.Errorf("%s, %s: %w", p.About, p.What, err)
	}
	p.ground.Assumed = false
	return nil
}

// Proposals lists what was understood, in the order of the reading. They point into it.
func (r *BookReading) Proposals() []Proposal {
	var out []Proposal
	add := func(about, what, value, when string, g *Ground, set func(value, when string) error) {
		out = append(out, Proposal{ID: "p" + strconv.Itoa(len(out)), About: about, What: what, Value: value, When: when, Ground: *g,
			ground: g, set: set})
	}
	for i := range r.Makers {
		m := &r.Makers[i]
		for j := range m.References {
			m.References[j].proposals(add)
		}
		for j := range m.Serials {
			s := &m.Serials[j]
			add(m.Name, "number", strconv.Itoa(s.Number), s.Month, &s.Ground, func(value, when string) error {
				n, err := strconv.Atoi(value)
				if err != nil || n <= 0 {
					return fmt.Errorf("“%s” is not a number. Enter digits, for example 14000", value)
				}
				if _, err := edtf.ParseMonth(when); err != nil {
					return fmt.Errorf("“%s” is not a month. Enter for example 1959-06", when)
				}
				s.Number, s.Month = n, when
				return nil
			})
		}
	}
	return out
}

type addProposal func(about, what, value, when string, g *Ground, set func(value, when string) error)

func (b *BookReference) proposals(add addProposal) {
	if b.Made != nil {
		add(b.ID, "made", "", b.Made.Value, &b.Made.Ground, func(_, when string) error { return setTime(&b.Made.Value, when) })
	}
	for i := range b.Metals {
		m := &b.Metals[i]
		add(b.ID, "metal", m.Value, "", &m.Ground, func(value, _ string) error {
			if _, ok := knownMetals[value]; !ok {
				return fmt.Errorf("“%s” is not a metal that notes can name. Enter for example steel, gold18 or gold14", value)
			}
			m.Value = value
			return nil
		})
	}
	for i := range b.Calibres {
		c := &b.Calibres[i]
		add(b.ID, "calibre", c.Value, "", &c.Ground, func(value, _ string) error { return setText(&c.Value, value) })
	}
	for i := range b.Dimensions {
		d := &b.Dimensions[i]
		add(b.ID, d.What, strconv.FormatFloat(d.MM, 'f', -1, 64), "", &d.Ground, func(value, _ string) error {
			mm, err := strconv.ParseFloat(strings.ReplaceAll(value, ",", "."), 64)
			if err != nil || mm <= 0 || mm > 100 {
				return fmt.Errorf("“%s” is not a size. Enter mm, for example 36.4", value)
			}
			d.MM = mm
			return nil
		})
	}
	for i := range b.Slots {
		b.Slots[i].proposals(b.ID, add)
	}
}

func (s *BookSlot) proposals(about string, add addProposal) {
	for i := range s.Variants {
		v := &s.Variants[i]
		when := v.Supplied
		if len(v.Windows) > 0 {
			when = v.Windows[0].Made
		}
		add(about, string(s.Slot), v.Name, when, &v.Ground, func(value, when string) error {
			if err := setText(&v.Name, value); err != nil {
				return err
			}
			switch {
			case v.Service:
				return setTime(&v.Supplied, when)
			case len(v.Windows) == 0:
				v.Windows = []BookWindow{{}}
			}
			return setTime(&v.Windows[0].Made, when)
		})
	}
	if s.Replaced != nil {
		c := s.Replaced
		add(about, "replaced "+string(s.Slot), strconv.FormatFloat(c.Value, 'f', -1, 64), "", &c.Ground, func(value, _ string) error {
			f, err := strconv.ParseFloat(strings.ReplaceAll(value, ",", "."), 64)
			if err != nil || f < 0 || f > 1 {
				return fmt.Errorf("“%s” is not a share. Enter a figure between 0 and 1, for example 0.4", value)
			}
			c.Value = f
			return nil
		})
	}
}

func setText(at *string, value string) error {
	if value == "" {
		return fmt.Errorf("nothing was entered. Enter a name, or drop the line")
	}
	*at = value
	return nil
}

func setTime(at *string, when string) error {
	if _, err := edtf.Parse(when); err != nil {
		return fmt.Errorf("“%s” is not a time. Enter years or months, for example 1962/1965 or 1962-05/1965", when)
	}
	*at = when
	return nil
}

// Kept is the reading without what was dropped.
func (r BookReading) Kept() BookReading {
	out := BookReading{Unread: r.Unread, Questions: r.Questions}
	for _, m := range r.Makers {
		m.Serials = kept(m.Serials, func(s Milestone) Ground { return s.Ground })
		refs := []BookReference{}
		for _, b := range m.References {
			refs = append(refs, b.kept())
		}
		m.References = refs
		out.Makers = append(out.Makers, m)
	}
	return out
}

func (b BookReference) kept() BookReference {
	if b.Made != nil && b.Made.Sure == 0 {
		b.Made = nil
	}
	b.Metals = kept(b.Metals, func(x BookMetal) Ground { return x.Ground })
	b.Calibres = kept(b.Calibres, func(x BookCalibre) Ground { return x.Ground })
	b.Dimensions = kept(b.Dimensions, func(x BookDimension) Ground { return x.Ground })
	slots := []BookSlot{}
	for _, s := range b.Slots {
		s.Variants = kept(s.Variants, func(x BookVariant) Ground { return x.Ground })
		if s.Replaced != nil && s.Replaced.Sure == 0 {
			s.Replaced = nil
		}
		if len(s.Variants) > 0 || s.Replaced != nil {
			slots = append(slots, s)
		}
	}
	b.Slots = slots
	return b
}

func kept[T any](all []T, ground func(T) Ground) []T {
	out := []T{}
	for _, x := range all {
		if ground(x).Sure > 0 {
			out = append(out, x)
		}
	}
	return out
}
