package document

import (
	"fmt"
	"io"

	"midcase/evidence"
	"midcase/say"
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
	m := &markdown{in: wr.tongue}
	m.front(wr.identificationFront(), wr)
	for _, s := range wr.identification() {
		m.section(s)
	}
	return m.writeTo(w, r)
}

func (w *writer) identificationFront() front {
	o := w.o.Watch
	f := w.front(say.That("object.title"))
	f.sentence = w.identity().finding
	f.strip = []fact{{name: w.String(say.That("report.serial")), text: w.serial()},
		{name: w.String(say.That("report.reference")), text: orElse(o.Reference, w.notStated())}, w.stripDating()}
	f.standing = w.String(say.That("object.standing"))
	return f
}

func (w *writer) identification() []section {
	return []section{w.objectID(), w.photos(), w.basis()}
}

// objectID lists the categories of the Object ID checklist in its order. Their names in other languages than English
// are from memory.
func (w *writer) objectID() section {
	o := w.o.Watch
	made := w.cannotTell()
	if d := w.o.Dating; d.Known {
		made = w.String(say.That("object.made", say.Span("made", d.Interval90[0], d.Interval90[1])))
	}
	materials := w.metalWords()
	if f := w.o.Metal.Fineness; f > 0 {
		materials += fmt.Sprintf(", %d%s‰", f, nbsp)
	}
	inscriptions, ids := w.marks(evidence.MarkKinds()...)
	if len(inscriptions) == 0 && o.Serial != "" {
		inscriptions = []string{w.String(say.That("object.serial", say.Name("serial", o.Serial)))}
	}
	f := facts{
		{name: w.String(say.That("object.type")), text: w.String(say.That("report.wristwatch"))},
		{name: w.String(say.That("object.materials")), text: materials},
		{name: w.String(say.That("object.measurements")), text: orElse(w.allSizes(),
			w.String(say.That("object.not-measured"))), cites: w.sizeCites()},
		{name: w.String(say.That("object.inscriptions")), text: orElse(w.joined(inscriptions...),
			w.String(say.That("object.none-read"))), cites: w.refs.cite(ids)},
		{name: w.String(say.That("object.features")), text: orElse(w.distinguishing(),
			w.String(say.That("object.none-recorded"))), cites: w.distinguishingCites()},
		{name: w.String(say.That("object.name")), text: w.title()},
		{name: w.String(say.That("object.period")), text: made},
		{name: w.String(say.That("report.maker")), text: orElse(o.Maker, w.notStated())},
		{name: w.String(say.That("object.description")), text: w.fittedWords()},
		{name: w.String(say.That("object.inventory")), text: orDash(w.r.Number)},
		{name: w.String(say.That("object.related")), text: w.setWords(o.Set)},
		{name: w.String(say.That("object.documented")), text: w.dayWords(w.r.Issued)},
	}
	return section{id: "identification", title: w.String(say.That("object.identification")),
		finding: w.identity().finding, blocks: []block{f}}
}

func (w *writer) allSizes() string {
	var out []string
	for _, m := range w.o.Measured {
		out = append(out, w.measureName(m)+" "+w.within(m.MM, m.Interval, w.Unit(say.MM), 1))
	}
	return w.joined(out...)
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
			out = append(out, w.String(say.That("object.part", say.Term("slot", "slot", string(p.Slot), p.Slot.Name()),
				say.Name("variant", v))))
		}
	}
	return orElse(opening(w.joined(out...)), w.String(say.That("object.not-described")))
}
