package chart

import (
	"context"
	"fmt"
	"html"
	"io"
	"strings"
)

// Render writes the drawing as SVG. Its class names the format, so that a style sheet
// shows the one that fits.
func (d Drawing) Render(_ context.Context, w io.Writer) error {
	s := &svg{}
	role := "img"
	for _, m := range d.Marks {
		if _, ok := m.(Link); ok {
			role = "group" // an image would hide its links
		}
	}
	s.printf(`<svg class="%s" viewBox="0 0 %.0f %.0f" role="%s" aria-label="%s">`,
		html.EscapeString("chart "+d.Format.Name), d.Width, d.Height, role, html.EscapeString(d.Label))
	s.marks(d.Marks)
	s.printf("</svg>")
	_, err := io.WriteString(w, s.String())
	return err
}

type svg struct{ strings.Builder }

func (s *svg) printf(format string, args ...any) { fmt.Fprintf(&s.Builder, format, args...) }

// begin writes the name of an element and its class.
func (s *svg) begin(name, style string) {
	s.WriteString("<" + name)
	if style != "" {
		s.printf(` class="%s"`, html.EscapeString(style))
	}
}

func (s *svg) marks(marks []Mark) {
	for _, m := range marks {
		switch m := m.(type) {
		case Line:
			s.begin("line", m.Style)
			s.printf(` x1="%.1f" y1="%.1f" x2="%.1f" y2="%.1f"></line>`, m.From.X, m.From.Y, m.To.X, m.To.Y)
		case Rect:
			s.begin("rect", m.Style)
			s.printf(` x="%.1f" y="%.1f" width="%.1f" height="%.1f"></rect>`, m.At.X, m.At.Y, m.Wide, m.High)
		case Circle:
			s.circle(m)
		case Outline:
			s.begin("path", m.Style)
			s.WriteString(` d="`)
			s.shapes(m.Shapes)
			s.WriteString(`"></path>`)
		case Dots:
			s.begin("path", m.Style)
			s.WriteString(` d="`)
			s.dots(m)
			s.WriteString(`"></path>`)
		case Text:
			s.begin("text", m.Style)
			s.printf(` x="%.1f" y="%.1f" text-anchor="%s">%s</text>`, m.At.X, m.At.Y, m.Anchor, html.EscapeString(m.Text))
		case Link:
			s.begin("a", m.Style)
			s.printf(` href="#%s" aria-label="%s">`, html.EscapeString(m.To), html.EscapeString(m.Label))
			s.marks(m.Marks)
			s.WriteString("</a>")
		}
	}
}

func (s *svg) circle(m Circle) {
	s.begin("circle", m.Style)
	s.printf(` cx="%.1f" cy="%.1f" r="%.1f">`, m.At.X, m.At.Y, m.R)
	if m.Title != "" {
		s.printf("<title>%s</title>", html.EscapeString(m.Title))
	}
	s.WriteString("</circle>")
}

func (s *svg) shapes(shapes []Shape) {
	for _, shape := range shapes {
		for i, p := range shape.Points {
			switch {
			case i == 0:
				s.WriteString("M")
			case shape.Curved && i%3 == 1:
				s.WriteString("C")
			case shape.Curved:
				s.WriteString(" ")
			default:
				s.WriteString("L")
			}
			s.printf("%.1f %.1f", p.X, p.Y)
		}
		if shape.Closed {
			s.WriteString("Z")
		}
	}
}

func (s *svg) dots(m Dots) {
	r := m.R
	for _, p := range m.At {
		switch m.Form {
		case Cross:
			s.printf("M%.1f %.1fl%.1f %.1fm0 %.1fl%.1f %.1f", p.X-r, p.Y-r, 2*r, 2*r, -2*r, -2*r, 2*r)
		case Square:
			s.printf("M%.1f %.1fh%.1fv%.1fh%.1fz", p.X-r, p.Y-r, 2*r, 2*r, -2*r)
		default:
			s.printf("M%.1f %.1fa%.1f %.1f 0 1 0 %.1f 0a%.1f %.1f 0 1 0 %.1f 0", p.X-r, p.Y, r, r, 2*r, r, r, -2*r)
		}
	}
}
