package lettering

import (
	"strconv"
	"strings"

	"midcase/evidence"
	"midcase/gate"
	"midcase/refbook"
	"midcase/say"
)

// numberOf is what a number is: that of the run whose years it falls in; where it falls in none, the number of the
// part that the picture shows. It is empty where nothing tells.
func numberOf(digits string, slot evidence.Slot, k gate.Known) string {
	of := ""
	for _, what := range []string{evidence.MarkSerial, evidence.MarkMovementNumber} {
		m := &evidence.Mark{What: what, Text: digits}
		alone := gate.Known{Maker: k.Maker, Reference: k.Reference}
		if _, _, ok := k.Numbered(m); ok && len(gate.Doubts(m, alone)) == 0 {
			if of != "" { // both runs have it
				of = ""
				break
			}
			of = what
		}
	}
	switch {
	case of != "":
		return of
	case slot == evidence.Movement:
		return evidence.MarkMovementNumber
	case slot == evidence.Case || slot == evidence.CaseBack || slot == "":
		return evidence.MarkSerial
	}
	return ""
}

// against is what a file says to a mark.
type against struct {
	says          []say.Statement
	same, differs bool
}

// mostDiffer is in how many figures a number may differ from the one on record to be taken for a slip of either.
const mostDiffer = 2

// onFile holds a mark against the marks of the same kind on the file.
func onFile(m evidence.Mark, file evidence.File) (out against) {
	for _, o := range evidence.All[*evidence.Mark](file) {
		t := o.Data.Text
		if o.Data.What != m.What || m.What == evidence.MarkOther {
			continue
		}
		if gate.SameNumber(t, m.Text) || folded(t) == folded(m.Text) {
			return against{same: true, says: []say.Statement{say.That("lettering.as-recorded", say.Name("text", t))}}
		}
		if m.What != evidence.MarkSerial && m.What != evidence.MarkMovementNumber {
			continue
		}
		out = against{differs: true, says: []say.Statement{differing(m.Text, t)}}
	}
	return out
}

// differing says in which figure a reading differs from what is on record, or that it is another number.
func differing(read, recorded string) say.Statement {
	a, err := refbook.ParseNumber(read)
	b, err2 := refbook.ParseNumber(recorded)
	x, y := strconv.FormatInt(a, 10), strconv.FormatInt(b, 10)
	other := say.That("lettering.other", say.Name("read", read), say.Name("recorded", recorded))
	if err != nil || err2 != nil || len(x) != len(y) {
		return other
	}
	var at []string
	for i := range x {
		if x[i] != y[i] {
			at = append(at, strconv.Itoa(i+1))
		}
	}
	if len(at) > mostDiffer {
		return other
	}
	return say.That("lettering.differs", say.Name("recorded", recorded), say.Count("n", len(at)),
		say.Name("at", strings.Join(at, ", ")))
}
