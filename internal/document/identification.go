package document

import (
	"fmt"
	"io"
	"strings"

	"midcase/evidence"
)

// WriteIdentificationPDF writes the identification sheet: what a register, the
// police or an insurer needs to know the watch again, by the categories of the
// Object ID checklist. It states no value.
func WriteIdentificationPDF(w io.Writer, r Report) error {
	wr := newWriter(r)
	return writePDF(w, wr.r, wr.identificationFront(), wr.plateOne(), wr.identification())
}

// WriteIdentificationMarkdown writes the same sheet as Markdown.
func WriteIdentificationMarkdown(w io.Writer, r Report) error {
	wr := newWriter(r)
	m := &markdown{}
	m.front(wr.identificationFront(), wr)
	for _, s := range wr.identification() {
		m.section(s)
	}
	return m.writeTo(w, r)
}

func (w *writer) identificationFront() front {
	o := w.o.Watch
	f := w.front("Identification sheet")
	f.sentence = w.identity().finding
	f.strip = []fact{{name: "Serial number", text: w.serial()}, {name: "Reference",
		text: orElse(o.Reference, "not stated")}, w.stripDating()}
	f.standing = "A description by which the watch can be recognised. It states no value and proves no title."
	return f
}

func (w *writer) identification() []section {
	return []section{w.objectID(), w.photos(), w.basis()}
}

// objectID lists the categories of the Object ID checklist in its order.
func (w *writer) objectID() section {
	o := w.o.Watch
	made := "cannot tell"
	if d := w.o.Dating; d.Known {
		made = monthRange(d.Interval90) + " (90" + nbsp + "%)"
	}
	materials := w.metalWords()
	if f := w.o.Metal.Fineness; f > 0 {
		materials += fmt.Sprintf(", %d%s‰", f, nbsp)
	}
	inscriptions, ids := w.marks(evidence.MarkKinds()...)
	if len(inscriptions) == 0 && o.Serial != "" {
		inscriptions = []string{"serial “" + o.Serial + "”"}
	}
	f := facts{
		{name: "Type of object", text: "wristwatch, mechanical"},
		{name: "Materials, techniques", text: materials},
		{name: "Measurements", text: orElse(w.allSizes(), "not measured"), cites: w.sizeCites()},
		{name: "Inscriptions, markings", text: orElse(strings.Join(inscriptions, "; "), "none read"),
			cites: w.refs.cite(ids)},
		{name: "Distinguishing features", text: orElse(w.distinguishing(), "none recorded"),
			cites: w.distinguishingCites()},
		{name: "Title", text: w.title()},
		{name: "Date or period", text: made},
		{name: "Maker", text: orElse(o.Maker, "not stated")},
		{name: "Description", text: w.fittedWords()},
		{name: "Inventory number", text: orDash(w.r.Number)},
		{name: "Related material", text: setWords(o.Set)},
		{name: "Date documented", text: dayWords(w.r.Issued)},
	}
	return section{id: "identification", title: "Identification", finding: w.identity().finding, blocks: []block{f}}
}

func (w *writer) allSizes() string {
	var out []string
	for _, m := range w.o.Measured {
		out = append(out, measureName(m.Name.String(), m.What)+" "+within(m.MM, m.Interval, "mm", 1))
	}
	return strings.Join(out, "; ")
}

func (w *writer) sizeCites() string {
	var ids []evidence.ID
	for _, m := range w.o.Measured {
		ids = append(ids, m.Evidence...)
	}
	return w.refs.cite(ids)
}

// fittedWords describes the parts that are there.
func (w *writer) fittedWords() string {
	var out []string
	for _, p := range w.o.Parts {
		if v := orElse(p.VariantName, p.Variant); v != "" && v != evidence.Unknown {
			out = append(out, p.Slot.Name()+": "+v)
		}
	}
	return orElse(opening(strings.Join(out, "; ")), "not described")
}
