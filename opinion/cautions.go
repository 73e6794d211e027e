package opinion

import (
	"fmt"
	"strings"

	"midcase/evidence"
)

// unknowns names what has not been examined, beyond what earlier steps named.
func (f *forming) unknowns() {
	seen := map[evidence.Kind]bool{}
	for _, it := range f.file.Items {
		seen[it.Kind()] = true
	}
	if !seen[evidence.KindPhoto] {
		f.unknown("There are no photographs.")
	}
	if !seen[evidence.KindCheck] {
		f.unknown("No register of lost and stolen watches has been asked.")
	}
	if _, ok := f.mark(evidence.MarkSerial); !ok {
		f.unknown("The serial number has not been read.")
	}
	f.unknown("Water resistance has not been tested; treat the watch as not water resistant.")
}

// cautions names what can hurt somebody, and what the law may ask.
func (f *forming) cautions() {
	f.cautionLume()
	for _, c := range evidence.All[*evidence.Check](f.file) {
		if c.Data.Result == "match" {
			f.caution("The register %s reports a match (%s). Do not buy or sell before this is settled; ask the register and, where needed, the police.", c.Data.Register, c.Data.Date)
		}
	}
	if e, ok := f.fitted[evidence.Bracelet]; ok && strings.Contains(strings.ToLower(e.Data.Description), "crocodil") || ok && strings.Contains(strings.ToLower(e.Data.Description), "alligator") {
		f.caution("A crocodilian strap usually needs a permit to cross a border when sold; take it off before export or ask the authority. Check your local rules.")
	}
	if f.out.Metal.Density != nil && f.out.Metal.Density.Contradicts {
		f.caution("The density contradicts the mark. Have an assay office test the metal before you state a fineness.")
	}
	f.caution("This is an opinion from what was seen on the dates given. It is no licensed appraisal, no guarantee of originality, and no proof of title.")
}

func (f *forming) caution(format string, args ...any) {
	f.out.Cautions = append(f.out.Cautions, fmt.Sprintf(format, args...))
}

// cautionLume warns of radioactive paint, by the book's entry for the dial and hands
// and by date; only a measurement tells.
func (f *forming) cautionLume() {
	lume := map[string]bool{}
	for _, slot := range []evidence.Slot{evidence.Dial, evidence.Hands} {
		e, ok := f.fitted[slot]
		if !ok || f.ref == nil {
			continue
		}
		if s, ok := f.ref.Slot(slot); ok {
			if v, ok := s.Variant(e.Data.Variant); ok {
				lume[v.Lume] = true
			}
		}
	}
	switch {
	case lume["radium"]:
		f.caution("Dial or hands carry radium paint by the book. It stays radioactive though it no longer glows. Do not open, scrape, brush or relume; no eating nearby; keep in a ventilated place; ship only as your carrier and local rules allow. A measurement, not the date, identifies it.")
	case lume["tritium"], lume["promethium"]:
		f.caution("Dial or hands carry a weakly radioactive luminous paint by the book. Do not scrape or relume it; carriers have their own rules. A measurement, not the date, identifies it.")
	}
}
