package telling

import (
	"fmt"
	"strings"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/opinion"
	"midcase/say"
)

// title names the watch: maker, reference, line, metal and years.
func (p *planning) title() {
	w := p.Opinion.Watch
	family := w.Family
	if strings.Contains(strings.ToLower(w.Reference), strings.ToLower(family)) {
		family = ""
	}
	p.plan.Title = say.That("tell.title", say.Name("maker", w.Maker), say.Name("reference", w.Reference),
		say.Name("family", orNone(family)), given("metal", p.metal()), say.Name("years", orNone(p.years())))
}

// metal is what the case is made of, as the book has it. Where a mark or a test contradicts
// it, no metal is claimed: the doubts say why.
func (p *planning) metal() say.Noun {
	id, english := p.Opinion.Watch.Metal, ""
	if m := p.Opinion.Metal; m.Contradiction != nil || m.Density != nil && m.Density.Contradicts {
		return optional("metal", "", "")
	}
	if p.book != nil {
		if m, ok := p.book.Metal(id); ok {
			english = strings.ToLower(m.Name)
			if m.Element != "" && m.Fineness > 0 && !say.Lists("metal", id) {
				return say.Noun{Set: "element", ID: m.Element}
			}
		}
	}
	return optional("metal", id, english)
}

// years are those in which the watch was made, as a title has them.
func (p *planning) years() string {
	d := p.Opinion.Dating
	if !d.Known {
		return ""
	}
	first, last := d.Interval90[0].Year(), d.Interval90[1].Year()
	if first == last {
		return fmt.Sprint(first)
	}
	return fmt.Sprintf("%d–%d", first, last)
}

// what tells what the watch is.
func (p *planning) what() {
	w := p.Opinion.Watch
	kind, winding := "", ""
	if p.book != nil && p.ref != nil {
		if f, ok := p.book.Family(p.ref.Family); ok {
			kind = f.Kind
		}
		winding = p.winding()
	}
	if !say.Lists("watch_kind", kind) {
		kind = "watch"
	}
	p.add(Sentence{Section: What, Basis: w.Basis, Says: say.That("tell.is", say.Term("kind", "watch_kind", kind, ""),
		say.Name("winding", orNone(winding)), say.Name("maker", w.Maker), say.Name("reference", w.Reference),
		say.Name("family", orNone(w.Family)), given("metal", p.metal()))})
	p.made()
	p.calibre()
	if p.ref != nil && !p.ref.Made.IsZero() {
		first, ok := p.ref.Made.FirstMonth()
		last, ends := p.ref.Made.LastMonth()
		if ok && ends {
			p.add(Sentence{Section: What, Basis: w.Basis,
				Says: say.That("tell.reference-made", say.Span("made", first, last))})
		}
	}
	if n := p.Opinion.Value.SalesOfReference; n > 0 {
		p.tell(What, say.That("tell.sales-known", say.Count("n", n), say.Day("day", p.Opinion.AsOf)))
	}
}

// winding is how the calibres of the reference are wound; nothing where they differ.
func (p *planning) winding() string {
	winding := ""
	for _, id := range p.ref.Calibres {
		c, ok := p.book.Calibre(id)
		if !ok || winding != "" && c.Winding != winding {
			return ""
		}
		winding = c.Winding
	}
	return winding
}

// made tells when the watch was made, never closer than 90 % allow.
func (p *planning) made() {
	d := p.Opinion.Dating
	ids := dated(d)
	chance := 0.9
	switch {
	case !d.Known:
		p.tell(What, say.That("tell.not-dated"))
	case len(d.Ranges) > 1:
		var ranges []say.Value
		for _, r := range d.Ranges {
			ranges = append(ranges, say.Months{First: r.Interval[0], Last: r.Interval[1]})
		}
		p.add(Sentence{Section: What, Says: say.That("tell.made-either", say.All("ranges", ranges...)), Evidence: ids,
			Chance: chance})
	case d.Interval90[0] == d.Interval90[1]:
		p.add(Sentence{Section: What, Says: say.That("tell.made-month", say.Month("made", d.Median)), Evidence: ids,
			Chance: chance})
	default:
		p.add(Sentence{Section: What, Evidence: ids, Chance: chance, Says: say.That("tell.made", span("made",
			d.Interval90),
			say.Month("median", d.Median), say.Name("way", p.plan.way))})
	}
}

func span(name string, s [2]edtf.Month) say.Arg { return say.Span(name, s[0], s[1]) }

// dated lists the items that the date stands on.
func dated(d opinion.Dating) []evidence.ID {
	var out []evidence.ID
	for _, i := range d.Items {
		if i.Kind != "part" {
			out = append(out, i.Evidence)
		}
	}
	return out
}

// calibre tells of the movement where its mark was read.
func (p *planning) calibre() {
	if p.book == nil {
		return
	}
	for _, m := range evidence.All[*evidence.Mark](p.File) {
		if m.Data.What != evidence.MarkCalibre {
			continue
		}
		c, ok := p.book.Calibre(m.Data.Text)
		if !ok || c.BeatsPerHour == 0 || c.Jewels == 0 || p.wrongCalibre() {
			return
		}
		p.add(Sentence{Section: What, Evidence: []evidence.ID{m.Item.ID}, Says: say.That("tell.calibre",
			say.Name("calibre", c.ID), say.Count("jewels", c.Jewels), say.Count("beats", c.BeatsPerHour))})
		return
	}
}

func (p *planning) wrongCalibre() bool {
	for _, r := range p.Opinion.Rules {
		if r.Broken && r.Slot == evidence.Movement {
			return true
		}
	}
	return false
}
