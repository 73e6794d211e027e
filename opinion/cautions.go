package opinion

import (
	"slices"
	"strings"

	"midcase/evidence"
	"midcase/say"
)

// unknowns names what has not been examined, beyond what earlier steps named.
func (f *forming) unknowns() {
	seen := map[evidence.Kind]bool{}
	for _, it := range f.file.Items {
		seen[it.Kind()] = true
	}
	if !seen[evidence.KindPhoto] {
		f.unknown(say.That("unknown.no-photographs"))
	}
	if !seen[evidence.KindCheck] {
		f.unknown(say.That("unknown.no-register"))
	}
	if _, ok := f.mark(evidence.MarkSerial); !ok {
		f.unknown(say.That("unknown.no-serial"))
	}
	if !f.tried(evidence.TrialPressure) {
		f.unknown(say.That("unknown.water"))
	}
}

// tried reports whether a trial of this kind is on record.
func (f *forming) tried(what string) bool {
	return slices.ContainsFunc(evidence.All[*evidence.Trial](f.file), func(t evidence.Entry[*evidence.Trial]) bool {
		return t.Data.What == what
	})
}

// cautions names what can hurt somebody, and what the law may ask.
func (f *forming) cautions() {
	f.cautionLume()
	for _, c := range evidence.All[*evidence.Check](f.file) {
		if c.Data.Result == "match" {
			f.caution(say.That("caution.register", say.Name("register", c.Data.Register), dated("date", c.Data.Date)))
		}
	}
	if e, ok := f.fitted[evidence.Bracelet]; ok && strings.Contains(strings.ToLower(e.Data.Description), "crocodil") ||
		ok && strings.Contains(strings.ToLower(e.Data.Description), "alligator") {
		f.caution(say.That("caution.strap"))
	}
	if f.out.Metal.Density != nil && f.out.Metal.Density.Contradicts {
		f.caution(say.That("caution.density"))
	}
	f.caution(say.That("caution.opinion"))
}

func (f *forming) caution(s say.Statement) { f.out.Cautions = append(f.out.Cautions, s) }

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
		f.caution(say.That("caution.radium"))
	case lume["tritium"], lume["promethium"]:
		f.caution(say.That("caution.tritium"))
	}
}
