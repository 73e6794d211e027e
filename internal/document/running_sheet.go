package document

import "io"

// WriteRunningPDF writes how the watch runs on a paper of its own: readings over
// positions, before and after a service where it was timed on both sides, and the trace of
// the latest recording.
func WriteRunningPDF(w io.Writer, r Report) error {
	wr := newWriter(r)
	return writePDF(w, wr.r, wr.runningFront(), nil, wr.runningSheet())
}

// WriteRunningMarkdown writes the same as Markdown.
func WriteRunningMarkdown(w io.Writer, r Report) error {
	r.Photos = nil
	wr := newWriter(r)
	m := &markdown{}
	m.front(wr.runningFront(), wr)
	for _, s := range wr.runningSheet() {
		m.section(s)
	}
	return m.writeTo(w, r)
}

func (w *writer) runningFront() front {
	o := w.o.Running
	f := w.front("Record of running")
	f.sentence = sentences(o.Says, "Not timed.")
	f.noPicture = true
	f.strip = nil
	for _, one := range runningFacts(o) {
		switch one.name {
		case "Mean rate", "Greatest difference", "Amplitude", "Beat error":
			f.strip = append(f.strip, one)
		}
	}
	f.standing = "Readings of one watch on the days stated, beside common practice. They certify nothing, do not replace a watchmaker, and say nothing of water resistance."
	return f
}

func (w *writer) runningSheet() []section {
	s := []section{w.running()}
	if t, ok := w.trace(); ok {
		s = append(s, t)
	}
	return append(s, w.basis())
}
