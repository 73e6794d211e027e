package photobench

import (
	"fmt"
	"math"
	"net/url"
	"strconv"
	"strings"

	"midcase/evidence"
	"midcase/photo"
)

// Form reads what was typed or picked. It gathers what is wrong, field by field, and
// remembers which field of the form a place in the picks came from.
type Form struct {
	Values   url.Values
	Problems evidence.Problems
	from     map[string]string // place in the picks → field of the form
}

// NewForm reads the values of a request.
func NewForm(v url.Values) *Form { return &Form{Values: v, from: map[string]string{}} }

func (f *Form) get(name string) string { return strings.TrimSpace(f.Values.Get(name)) }

func (f *Form) wrong(field, found, want string) {
	f.Problems = append(f.Problems, evidence.Problem{Field: field, Found: found, Want: want})
}

// at says that a place in the picks was given by a field.
func (f *Form) at(place, field string) { f.from[place] = field }

// FieldOf is the field of the form that a place in the picks was given by: the longest
// place that it begins with.
func (f *Form) FieldOf(place string) string {
	best, field := -1, ""
	for p, name := range f.from {
		if strings.HasPrefix(place, p) && len(p) > best {
			best, field = len(p), name
		}
	}
	return field
}

// Fault notes a problem of the picks at the field that it came from.
func (f *Form) Fault(p evidence.Problem) {
	if field := f.FieldOf(p.Field); field != "" {
		p.Field = field
	}
	f.Problems = append(f.Problems, p)
}

// number reads a number; an empty field is 0. A decimal comma is refused, since
// guessing it moves a figure by powers of ten.
func (f *Form) number(name string) float64 {
	text := f.get(name)
	if text == "" {
		return 0
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsInf(v, 0) || math.IsNaN(v) {
		f.wrong(name, strconv.Quote(text), "a number with a decimal point, such as 36.4")
		return 0
	}
	return v
}

func (f *Form) whole(name string) int {
	text := f.get(name)
	if text == "" {
		return 0
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 0 {
		f.wrong(name, strconv.Quote(text), "a whole number, such as 9")
		return 0
	}
	return n
}

// points reads places in the picture: "412.5 300; 618 302.25". An empty field has
// none; fewer than least or more than most are a problem.
func (f *Form) points(name string, least, most int) []photo.Point {
	out, problem := ParsePoints(f.get(name))
	switch {
	case problem != "":
		f.wrong(name, problem, "x and y of each point in pixels, points apart by a semicolon, such as 412.5 300; 618 302")
		return nil
	case len(out) == 0:
		return nil
	case len(out) < least || len(out) > most:
		want := fmt.Sprintf("%d", least)
		switch {
		case most > least && most >= mostPoints:
			want = fmt.Sprintf("%d or more", least)
		case most > least:
			want = fmt.Sprintf("%d to %d", least, most)
		}
		f.wrong(name, count(len(out), "point"), want+" of them")
		return nil
	}
	return out
}

const mostPoints = 60

// ParsePoints reads points as they are typed; the problem is empty where all is well.
func ParsePoints(text string) (out []photo.Point, problem string) {
	for _, part := range strings.FieldsFunc(text, func(r rune) bool { return r == ';' || r == '\n' }) {
		words := strings.FieldsFunc(part, func(r rune) bool { return r == ' ' || r == ',' || r == '\t' || r == '\r' })
		if len(words) == 0 {
			continue
		}
		if len(words) != 2 {
			return nil, fmt.Sprintf("%q", strings.TrimSpace(part))
		}
		var p photo.Point
		for i, w := range words {
			v, err := strconv.ParseFloat(w, 64)
			if err != nil || math.IsNaN(v) || math.Abs(v) > 1e6 {
				return nil, fmt.Sprintf("%q", w)
			}
			p[i] = v
		}
		if out = append(out, p); len(out) > mostPoints {
			return nil, fmt.Sprintf("more than %d points", mostPoints)
		}
	}
	return out, ""
}

// need is points that must be given.
func (f *Form) need(name, what string, least, most int) []photo.Point {
	before := len(f.Problems)
	out := f.points(name, least, most)
	if len(out) == 0 && len(f.Problems) == before {
		f.wrong(name, "nothing", what)
	}
	return out
}

// disc reads a middle and a point of the edge.
func (f *Form) disc(name string) (at photo.Point, radius float64, ok bool) {
	p := f.points(name, 2, 2)
	if len(p) != 2 {
		return at, 0, false
	}
	return p[0], math.Hypot(p[1][0]-p[0][0], p[1][1]-p[0][1]), true
}

func count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// scale reads what gives the scale. recorded is the scale kept with the picture, 0 for
// none, of a picture so many px wide and high.
func (f *Form) scale(p *evidence.Photo, width, height int) *photo.ScalePick {
	s := &photo.ScalePick{Kind: f.get("scale"), PlusMM: f.number("scale_plus")}
	f.at("scale", "scale_at")
	f.at("scale.mm", "scale_mm")
	f.at("scale.plus", "scale_plus")
	f.at("scale.kind", "scale")
	if s.Kind == "recorded" {
		if p.MMPerPx <= 0 {
			f.wrong("scale", "a picture without a scale on record", "another way to the scale")
			return nil
		}
		y := float64(height) / 2
		a, b := photo.Point{0, y}, photo.Point{float64(width), y}
		s.Kind, s.A, s.B, s.MM, s.AsPicked = "points", &a, &b, p.MMPerPx*float64(width), true
		if s.PlusMM == 0 {
			s.PlusMM = 0.01 * s.MM
		}
		return s
	}
	s.MM = f.number("scale_mm")
	if f.get("scale_mm") == "" {
		f.wrong("scale_mm", "nothing", "its size in millimetres")
	}
	switch s.Kind {
	case "square":
		s.Corners = f.need("scale_at", "its four outer corners, clockwise from the top left", 4, 4)
	case "circle":
		s.Through = f.need("scale_at", "three points or more round its edge", 3, mostPoints)
	case "points":
		if ab := f.need("scale_at", "the two points", 2, 2); len(ab) == 2 {
			s.A, s.B = &ab[0], &ab[1]
		}
	default:
		f.wrong("scale", strconv.Quote(s.Kind), "one of the ways to a scale")
	}
	if len(f.Problems) > 0 {
		return nil
	}
	return s
}

// has reports whether something is wrong with a field already.
func (f *Form) has(field string) bool {
	for _, p := range f.Problems {
		if p.Field == field {
			return true
		}
	}
	return false
}
