package document

import (
	"strings"

	"midcase/evidence"
	"midcase/opinion"
	"midcase/say"
	"midcase/telling"
)

func (w *writer) identity() section {
	o := w.o.Watch
	s := section{id: "identity", title: w.String(say.That("report.what-it-is")), cites: w.refs.cite(nil, o.Basis...)}
	s.finding = w.told(say.That("report.identity", say.Name("title", w.title())))
	if o.Title+o.Maker+o.Reference == "" {
		s.finding = w.told(say.That("report.unnamed"))
	}
	if !o.InBook {
		s.finding += " " + w.told(say.That("report.not-in-book"))
	}
	var f facts
	add := func(id string, name say.Statement, text, cites string) {
		if text != "" {
			f = append(f, fact{id: id, name: w.String(name), text: text, cites: cites})
		}
	}
	const onFront = "front" // on the first page too
	add(onFront, say.That("report.object"), w.String(say.That("report.wristwatch")), "")
	add(onFront, say.That("report.maker"), orElse(o.Maker, w.notStated()), "")
	add(onFront, say.That("report.reference"), orElse(o.Reference, w.notStated()), "")
	add(onFront, say.That("report.family"), o.Family, "")
	add(onFront, say.That("report.name"), o.Name, "")
	add("", say.That("report.case-metal"), w.metalWords(), "")
	add("", say.That("report.calibre"), orElse(o.Calibre, w.String(say.That("report.not-read"))), "")
	add("", say.That("report.serial"), w.serial(), w.markCites(evidence.MarkSerial))
	add("", say.That("report.movement-number"), w.markText(evidence.MarkMovementNumber),
		w.markCites(evidence.MarkMovementNumber))
	add("", say.That("report.other-marks"), w.otherMarks(), w.markCites(otherMarks...))
	add("", say.That("report.comes-with"), w.setWords(o.Set), "")
	add("", say.That("report.sizes"), w.sizes(), "")
	add(onFront, say.That("report.distinguishing"), w.distinguishing(), w.distinguishingCites())
	add(onFront, say.That("report.file"), orDash(w.r.Number), "")
	s.blocks = []block{f}
	return s
}

// serial is the number that the opinion names, or the mark as it was read.
func (w *writer) serial() string {
	return orElse(orElse(w.o.Watch.Serial, w.markText(evidence.MarkSerial)), w.String(say.That("report.not-read")))
}

func (t tongue) setWords(set string) string {
	return t.String(say.That("report.set", say.Name("set", orElse(set, "watch"))))
}

// otherMarks are the kinds of marks that have no line of their own.
var otherMarks = []string{evidence.MarkHallmark, evidence.MarkMaker, evidence.MarkDateStamp, evidence.MarkOther}

// marks gives the marks of the kinds asked for, each text once, with their items.
func (w *writer) marks(kinds ...string) (texts []string, ids []evidence.ID) {
	seen := map[string]bool{}
	for _, it := range w.r.Items {
		m, ok := it.Data.(*evidence.Mark)
		if !ok {
			continue
		}
		for _, k := range kinds {
			if m.What != k {
				continue
			}
			ids = append(ids, it.ID)
			t := w.String(say.That("report.quoted", say.Name("text", m.Text)))
			if len(kinds) > 1 {
				t = w.Value(say.Noun{Set: "mark", ID: m.What, English: underscored(m.What)}, "") + " " + t
			}
			if m.Slot != "" {
				t += " (" + w.slotName(m.Slot) + ")"
			}
			if !seen[t] {
				seen[t] = true
				texts = append(texts, t)
			}
		}
	}
	return texts, ids
}

func (w *writer) markText(kinds ...string) string {
	t, _ := w.marks(kinds...)
	return strings.Join(t, ", ")
}

func (w *writer) markCites(kinds ...string) string {
	_, ids := w.marks(kinds...)
	return w.refs.cite(ids)
}

func (w *writer) otherMarks() string {
	return w.markText(otherMarks...)
}

// sizes is the few measurements that tell one watch from another at a glance.
func (w *writer) sizes() string {
	var out []string
	for _, m := range w.o.Measured {
		switch m.What {
		case "mid_case_diameter", "lug_to_lug", "lug_width", "thickness":
			out = append(out, w.measureName(m)+" "+w.within(m.MM, m.Interval, w.Unit(say.MM), 1))
		}
	}
	return w.joined(out...)
}

func (t tongue) measureName(m opinion.Measure) string {
	if !m.Name.IsZero() {
		return t.String(m.Name)
	}
	return underscored(m.What)
}

// distinguishing is what only this example has: its findings, the gravest first.
func (w *writer) distinguishing() string {
	t, _ := w.peculiar()
	return w.joined(t...)
}

func (w *writer) distinguishingCites() string {
	_, ids := w.peculiar()
	return w.refs.cite(ids)
}

func (w *writer) peculiar() (texts []string, ids []evidence.ID) {
	const most = 4
	for severity := 4; severity >= 2; severity-- {
		for _, it := range w.r.Items {
			f, ok := it.Data.(*evidence.Finding)
			if !ok || f.Severity != severity || len(texts) == most {
				continue
			}
			texts = append(texts, w.slotName(f.Slot)+": "+w.Value(termOf(f.Term), "")+after(" ", w.where(f.Where)))
			ids = append(ids, it.ID)
		}
	}
	return texts, ids
}

// slotName is a part as the reader names it.
func (t tongue) slotName(s evidence.Slot) string {
	if s == "" {
		return ""
	}
	return t.Value(say.Noun{Set: "slot", ID: string(s), English: s.Name()}, "")
}

// termOf is a term for findings as a word of the trade. Its English is the term itself.
func termOf(term string) say.Noun {
	return say.Noun{Set: "finding", ID: term, English: underscored(term)}
}

// where is a place on a part: in the reader's words where they are known, else as it was typed.
func (t tongue) where(typed string) string {
	if says, ok := telling.PlaceOf(typed); ok && t.language() != "" {
		return t.String(says)
	}
	return typed
}

func (w *writer) photos() section {
	s := section{id: "photos", title: w.String(say.That("report.photos"))}
	s.finding = w.told(say.That("report.photographs", say.Count("n", len(w.r.Photos))))
	if len(w.r.Photos) < 2 {
		return s
	}
	var p plates
	for i, ph := range w.r.Photos[1:] {
		p.photos = append(p.photos, w.plate(i+2, ph))
	}
	s.blocks = []block{p}
	return s
}

func (w *writer) plate(number int, ph Photo) plate {
	c := w.told(say.That("report.plate", say.Count("n", number),
		say.Name("caption", opening(orElse(ph.Caption, w.viewWords(ph.View))))))
	var ids []evidence.ID
	if ph.Evidence != "" {
		ids = []evidence.ID{ph.Evidence}
	}
	return plate{number: number, caption: c, cites: w.refs.cite(ids), data: ph.Data}
}
