package document

import (
	"fmt"
	"strings"

	"midcase/evidence"
	"midcase/say"
)

func (w *writer) identity() section {
	o := w.o.Watch
	s := section{id: "identity", title: "What it is", cites: w.refs.cite(nil, o.Basis...)}
	s.finding = told(say.That("report.identity", say.Name("title", w.title())))
	if o.Title+o.Maker+o.Reference == "" {
		s.finding = told(say.That("report.unnamed"))
	}
	if !o.InBook {
		s.finding += " " + told(say.That("report.not-in-book"))
	}
	f := facts{
		{name: "Object", text: "wristwatch, mechanical"},
		{name: "Maker", text: orElse(o.Maker, "not stated")},
		{name: "Reference", text: orElse(o.Reference, "not stated")},
		{name: "Family", text: o.Family},
		{name: "Name", text: o.Name},
		{name: "Case metal", text: w.metalWords()},
		{name: "Calibre", text: orElse(o.Calibre, "not read")},
		{name: "Serial number", text: w.serial(), cites: w.markCites(evidence.MarkSerial)},
		{name: "Movement number", text: w.markText(evidence.MarkMovementNumber),
			cites: w.markCites(evidence.MarkMovementNumber)},
		{name: "Other marks", text: w.otherMarks(), cites: w.markCites(evidence.MarkHallmark, evidence.MarkMaker,
			evidence.MarkDateStamp, evidence.MarkOther)},
		{name: "Comes with", text: setWords(o.Set)},
		{name: "Sizes", text: w.sizes()},
		{name: "Distinguishing marks", text: w.distinguishing(), cites: w.distinguishingCites()},
		{name: "File", text: orDash(w.r.Number)},
	}
	kept := facts{}
	for _, one := range f {
		if one.text != "" {
			kept = append(kept, one)
		}
	}
	s.blocks = []block{kept}
	return s
}

// serial is the number that the opinion names, or the mark as it was read.
func (w *writer) serial() string {
	return orElse(orElse(w.o.Watch.Serial, w.markText(evidence.MarkSerial)), "not read")
}

func setWords(set string) string {
	switch set {
	case "full":
		return "box and papers"
	case "papers":
		return "papers, without the box"
	case "watch", "":
		return "the watch alone"
	}
	return set
}

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
			t := "“" + m.Text + "”"
			if len(kinds) > 1 {
				t = underscored(m.What) + " " + t
			}
			if m.Slot != "" {
				t += " (" + m.Slot.Name() + ")"
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
	return w.markText(evidence.MarkHallmark, evidence.MarkMaker, evidence.MarkDateStamp, evidence.MarkOther)
}

// sizes is the few measurements that tell one watch from another at a glance.
func (w *writer) sizes() string {
	var out []string
	for _, m := range w.o.Measured {
		switch m.What {
		case "mid_case_diameter", "lug_to_lug", "lug_width", "thickness":
			out = append(out, fmt.Sprintf("%s %s", measureName(m.Name.String(), m.What),
				within(m.MM, m.Interval, "mm", 1)))
		}
	}
	return strings.Join(out, "; ")
}

func measureName(name, what string) string {
	if name != "" {
		return name
	}
	return underscored(what)
}

// distinguishing is what only this example has: its findings, the gravest first.
func (w *writer) distinguishing() string {
	t, _ := w.peculiar()
	return strings.Join(t, "; ")
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
			texts = append(texts, f.Slot.Name()+": "+underscored(f.Term)+after(" ", f.Where))
			ids = append(ids, it.ID)
		}
	}
	return texts, ids
}

func (w *writer) photos() section {
	s := section{id: "photos", title: "Photographs"}
	s.finding = told(say.That("report.photographs", say.Count("n", len(w.r.Photos))))
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
	c := told(say.That("report.plate", say.Count("n", number),
		say.Name("caption", opening(orElse(ph.Caption, viewWords(ph.View))))))
	var ids []evidence.ID
	if ph.Evidence != "" {
		ids = []evidence.ID{ph.Evidence}
	}
	return plate{number: number, caption: c, cites: w.refs.cite(ids), data: ph.Data}
}
