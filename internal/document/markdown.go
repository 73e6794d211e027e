package document

import (
	"encoding/base64"
	"fmt"
	"io"
	"strings"
	"unicode"

	"midcase/say"
)

// WriteMarkdown writes the report as Markdown (GitHub's tables), with the words
// of the PDF. Charts are left out, since the table beside each says the same.
func WriteMarkdown(w io.Writer, r Report) error {
	wr := newWriter(r)
	wr.withDetails = true
	m := &markdown{in: wr.tongue}
	m.front(wr.reportFront(), wr)
	for _, s := range wr.sections() {
		m.section(s)
	}
	return m.writeTo(w, r)
}

func (m *markdown) writeTo(w io.Writer, r Report) error {
	if _, err := io.WriteString(w, m.b.String()); err != nil {
		return fmt.Errorf("report %s: write: %w", orDash(r.Number), err)
	}
	return nil
}

type markdown struct {
	b  strings.Builder
	in tongue // of the words that it puts itself
}

func (m *markdown) line(format string, args ...any) { fmt.Fprintf(&m.b, format+"\n", args...) }

func (m *markdown) front(f front, w *writer) {
	m.line("# %s\n", md(f.title))
	m.line("**%s**\n", md(f.kind))
	m.line("%s\n", md(f.sentence))
	if p := w.plateOne(); p != nil {
		m.line("%s%s\n", md(p.caption), bracket(p.cites))
	}
	m.facts(append(append([]fact(nil), f.strip...), f.paper...))
	standing := f.standing
	if f.apart {
		standing += " " + m.in.String(say.That("report.annex-on-request"))
	}
	m.line("_%s_\n", md(standing))
	issuer := orElse(w.r.Shop.Name, m.in.String(say.That("report.no-issuer")))
	m.line("%s\n", md(strings.Join(append([]string{issuer}, w.r.Shop.Lines...), ", ")))
}

func (m *markdown) section(s section) {
	m.line("## %s\n", md(s.title))
	m.line("**%s**%s\n", md(s.finding), bracket(s.cites))
	for _, b := range s.blocks {
		m.block(b)
	}
}

func (m *markdown) block(b block) {
	switch b := b.(type) {
	case para:
		if b.note {
			m.line("_%s_%s\n", md(b.text), bracket(b.cites))
		} else {
			m.line("%s%s\n", md(b.text), bracket(b.cites))
		}
	case fine:
		m.block(bullets(b))
	case bullets:
		for _, c := range b {
			m.line("- %s%s", md(c.text), bracket(c.cites))
		}
		m.line("")
	case facts:
		m.facts(b)
	case table:
		m.table(b)
	case plates:
		for _, p := range b.photos {
			m.line("- %s%s", md(p.caption), bracket(p.cites))
			if len(p.cut) > 0 { // a detail; whole photographs would make the text too long
				m.line("\n  ![%s](data:image/jpeg;base64,%s)\n", md(p.caption),
					base64.StdEncoding.EncodeToString(p.cut))
			}
		}
		m.line("")
	case index:
		m.line("**%s**\n", md(b.caption))
		for i, t := range b.texts {
			m.line("- [%s] %s", b.codes[i], md(t))
		}
		m.line("")
	case signing:
		m.line("%s\n\n%s\n", md(b.issuer), md(b.by))
	}
}

func (m *markdown) facts(f []fact) {
	if len(f) == 0 {
		return
	}
	m.line("| | |\n| --- | --- |")
	for _, one := range f {
		text := md(one.text)
		if one.sub != "" {
			text += " (" + md(one.sub) + ")"
		}
		m.line("| %s | %s%s |", md(one.name), text, bracket(one.cites))
	}
	m.line("")
}

func (m *markdown) table(t table) {
	if t.caption != "" {
		m.line("**%s**\n", md(t.caption))
	}
	if len(t.rows) == 0 {
		m.line("%s\n", md(orElse(t.empty, m.in.String(say.That("report.nothing-to-list")))))
		return
	}
	cited := false
	for _, r := range t.rows {
		cited = cited || r.cites != ""
	}
	head, marks := "|", "|"
	for _, c := range t.columns {
		head += " " + md(c.title) + " |"
		if c.align == right {
			marks += " ---: |"
		} else {
			marks += " --- |"
		}
	}
	if cited {
		head, marks = head+" "+m.in.String(say.That("report.rests-on"))+" |", marks+" --- |"
	}
	m.line("%s\n%s", head, marks)
	for _, r := range t.rows {
		l := "|"
		for i := range t.columns {
			var c cell
			if i < len(r.cells) {
				c = r.cells[i]
			}
			l += " " + mdCell(c, r.strong && i < 2) + " |"
		}
		if cited {
			l += " " + strings.TrimSpace(bracket(r.cites)) + " |"
		}
		m.line("%s", l)
	}
	m.line("")
}

func mdCell(c cell, strong bool) string {
	text := md(c.text)
	if strong && text != "" {
		text = "**" + text + "**"
	}
	if c.number > 0 {
		text = fmt.Sprintf("%d. %s", c.number, text)
	}
	switch {
	case c.sub != "" && text != "":
		text += "<br>" + md(c.sub)
	case c.sub != "":
		text = md(c.sub)
	}
	return text
}

func bracket(cites string) string {
	if cites == "" {
		return ""
	}
	return " \\[" + cites + "\\]"
}

// md makes text safe inside Markdown: marks that would format are escaped, line
// breaks and control characters become spaces, no-break spaces plain ones.
func md(s string) string {
	var b strings.Builder
	var last rune = ' '
	runes := []rune(strings.ToValidUTF8(s, "\uFFFD"))
	for i, r := range runes {
		switch {
		case unicode.IsControl(r) || r == '\u00a0' || unicode.IsSpace(r):
			r = ' '
		case strings.ContainsRune("\\`*<>[]|#~", r):
			b.WriteByte('\\')
		case r == '_':
			next := ' '
			if i+1 < len(runes) {
				next = runes[i+1]
			}
			if !wordRune(last) || !wordRune(next) {
				b.WriteByte('\\')
			}
		}
		if r == ' ' && last == ' ' && b.Len() > 0 {
			continue
		}
		b.WriteRune(r)
		last = r
	}
	return strings.TrimSpace(b.String())
}

func wordRune(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }
