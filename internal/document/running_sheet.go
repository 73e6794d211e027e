package document

import (
	"io"

	"midcase/evidence"
	"midcase/say"
)

// WriteRunningPDF writes how the watch runs on a paper of its own: readings over
// positions, before and after a service where it was timed on both sides, and the trace of
// the latest recording.
func WriteRunningPDF(w io.Writer, r Report) error {
	r.Items = runningItems(r.Items)
	wr := newWriter(r)
	return writePDF(w, wr.r, wr.runningFront(), wr.plateOne(), wr.runningSheet())
}

// WriteRunningMarkdown writes the same as Markdown.
func WriteRunningMarkdown(w io.Writer, r Report) error {
	r.Items, r.Photos = runningItems(r.Items), nil
	wr := newWriter(r)
	m := &markdown{in: wr.tongue}
	m.front(wr.runningFront(), wr)
	for _, s := range wr.runningSheet() {
		m.section(s)
	}
	return m.writeTo(w, r)
}

func (w *writer) runningFront() front {
	o := w.o.Running
	f := w.front(say.That("running.record"))
	f.sentence = w.sentences(o.Says, say.That("running.not-timed"))
	f.strip = nil
	for _, one := range w.runningFacts(o) {
		if one.id == onSheet {
			f.strip = append(f.strip, one)
		}
	}
	f.standing = w.String(say.That("running.standing"))
	return f
}

func (w *writer) runningSheet() []section {
	s := []section{w.running()}
	if t, ok := w.trace(); ok {
		s = append(s, t)
	}
	return append(s, w.basis())
}

// runningItems are the items that tell how the watch runs, and the pictures, of which one
// is on the first page.
func runningItems(all []evidence.Item) []evidence.Item {
	var out []evidence.Item
	for _, it := range all {
		switch it.Kind() {
		case evidence.KindRate, evidence.KindRecording, evidence.KindWork, evidence.KindPhoto:
			out = append(out, it)
		}
	}
	return out
}
