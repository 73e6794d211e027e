package telling

import (
	"midcase/evidence"
	"midcase/say"
)

// Refused is why nothing is told of a watch.
type Refused struct{ Why say.Statement }

// Error implements error.
func (r *Refused) Error() string { return r.Why.String() }

// refuse reports why the watch may not be told of, nil where it may.
func refuse(s Subject) error {
	w := s.Opinion.Watch
	switch {
	case s.Offer.Standing == NotOurs:
		return &Refused{say.That("tell.refuse-not-ours")}
	case s.Offer.Standing == Gone:
		return &Refused{say.That("tell.refuse-sold")}
	case !w.InBook || s.Book == nil:
		return &Refused{say.That("tell.refuse-reference", say.Name("maker", w.Maker), say.Name("reference",
			w.Reference))}
	case !examined(s.File):
		return &Refused{say.That("tell.refuse-unexamined")}
	}
	for _, c := range evidence.All[*evidence.Check](s.File) {
		if c.Data.Result == "match" {
			return &Refused{say.That("tell.refuse-register", say.Name("register", c.Data.Register))}
		}
	}
	return nil
}

// examined reports whether somebody looked at the watch itself.
func examined(f evidence.File) bool {
	for _, it := range f.Items {
		switch it.Data.(type) {
		case *evidence.Fitted, *evidence.Finding:
			return true
		}
	}
	return false
}
