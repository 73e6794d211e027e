package metal

import (
	"slices"
)

func (r *reader) conclude() {
	m := r.mark
	if len(r.karats) > 0 {
		m.Karat = r.karats[0]
	}
	r.layered()
	if len(r.numbers) > 0 {
		m.Permille = r.numbers[0].permille
	}
	m.Conflict = len(r.named) > 1 || len(r.numbers) > 1 ||
		m.Base != "" && !m.Plated && (m.Permille > 0 || len(r.named) > 0)
	switch {
	case len(r.named) == 1:
		m.Elements = r.named
		if m.Permille > 0 && r.numbers[0].element == "" && !slices.Contains(elementsOf(m.Permille), r.named[0]) {
			m.Conflict = true // gold 925, silver 585
		}
	case len(r.named) > 1:
		m.Elements = r.named
	case m.Permille > 0:
		m.Elements = elementsOf(m.Permille)
	}
	m.Says = m.sentences()
}

// layered settles what lies under a layer: silver named beside gold on a plated part is
// what the gold lies on.
func (r *reader) layered() {
	m := r.mark
	if !m.Plated {
		return
	}
	if slices.Contains(r.named, Silver) && slices.Contains(r.named, Gold) {
		r.named = slices.DeleteFunc(r.named, func(e string) bool { return e == Silver })
		r.body = append(r.body, Silver)
	}
	r.numbers = slices.DeleteFunc(r.numbers, func(s stated) bool {
		silver := s.element == Silver || s.element == "" && slices.Equal(elementsOf(s.permille), []string{Silver})
		if silver {
			m.BodyPermille = s.permille
			r.body = append(r.body, Silver)
		}
		return silver
	})
	if m.Base == "" && len(r.body) > 0 {
		m.Body = r.body[0]
	} else if m.Base != "" {
		m.BodyPermille = 0
	}
	if len(r.named) == 1 && r.named[0] == m.Body { // “sterling gilt”: the layer is gold
		r.named = nil
	}
}
