package lettering

import (
	"math"
	"regexp"
	"strings"
	"unicode"

	"midcase/examples"
	"midcase/metal"
)

// Figures of a number: fewer are a count or a size, more are no number of a watch.
const (
	fewestFigures = 4
	mostFigures   = 9
)

// figures reads words as one number. At least two thirds of its characters must have been read as figures.
func figures(words []Word) (string, bool) {
	var b strings.Builder
	for i, w := range words {
		t := trimmed(w.Text)
		if i > 0 && (len(t) != 3 || figuresIn(t) < 3) { // 26 418: only groups of three belong together
			return "", false
		}
		b.WriteString(strings.NewReplacer(".", "", "'", "", "’", "", ",", "").Replace(t))
	}
	text := b.String()
	n := figuresIn(text)
	digits := examples.AsFigures(text)
	all := len(digits)
	if all < fewestFigures || all > mostFigures || figuresIn(digits) != all || 3*n < 2*all {
		return "", false
	}
	return digits, true
}

// figuresIn counts figures.
func figuresIn(s string) (n int) {
	for _, c := range s {
		if c >= '0' && c <= '9' {
			n++
		}
	}
	return n
}

func letters(s string) (n int) {
	for _, c := range s {
		if unicode.IsLetter(c) {
			n++
		}
	}
	return n
}

// trimmed is a text without what readers of print make of dots, rims and scratches at its ends.
func trimmed(s string) string {
	return strings.TrimFunc(s, func(c rune) bool { return !unicode.IsLetter(c) && !unicode.IsDigit(c) })
}

func joined(words []Word) string {
	var parts []string
	for _, w := range words {
		if t := trimmed(w.Text); t != "" {
			parts = append(parts, t)
		}
	}
	return strings.Join(parts, " ")
}

// folded compares names without case, spaces and points.
func folded(s string) string {
	return strings.Map(func(c rune) rune {
		if unicode.IsLetter(c) || unicode.IsDigit(c) {
			return unicode.ToUpper(c)
		}
		return -1
	}, s)
}

// hallmark reports whether a text states a fineness and nothing else.
func hallmark(s string) bool {
	m, err := metal.ReadHallmark(s)
	return err == nil && (m.Permille > 0 || m.Karat > 0) && len(m.Elements) > 0 && len(m.Unread) == 0 && !m.Conflict
}

// dateStamp is a quarter or month in Roman numerals and a year, as many makers stamped backs and clasps.
var dateStamp = regexp.MustCompile(`^(I{1,3}|IV|VI{0,3}|IX|XI{0,2})[ .,/-]?(19)?[3-9][0-9]$`)

func stamp(s string) bool { return dateStamp.MatchString(strings.ToUpper(s)) }

// around is the box of words together.
func around(words []Word) Box {
	b := words[0].Box
	for _, w := range words[1:] {
		dx, dy := w.Box.Middle[0]-b.Middle[0], w.Box.Middle[1]-b.Middle[1]
		d := math.Hypot(dx, dy)
		if d == 0 {
			b.Radius = max(b.Radius, w.Box.Radius)
			continue
		}
		r := max((d+b.Radius+w.Box.Radius)/2, b.Radius, w.Box.Radius)
		k := (r - b.Radius) / d
		b = Box{Middle: [2]float64{b.Middle[0] + k*dx, b.Middle[1] + k*dy}, Radius: r}
	}
	return b
}
