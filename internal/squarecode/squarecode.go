package squarecode

import (
	"fmt"
	"strings"

	"rsc.io/qr"
)

// Quiet is the margin in modules that must stay light around a code.
const Quiet = 4

// Run is a run of dark modules in a row, in modules from the left and the top of the code without its margin.
type Run struct{ X, Y, Length int }

// Code is a square code.
type Code struct {
	Modules int // along a side, without the margin
	Runs    []Run
}

// Encode sets a text with some 15 % of the code to spare for dirt and folds (level M).
func Encode(text string) (Code, error) {
	if text == "" {
		return Code{}, fmt.Errorf("square code: nothing to set; want a text")
	}
	q, err := qr.Encode(text, qr.M)
	if err != nil {
		return Code{}, fmt.Errorf("square code of %d characters: %w", len(text), err)
	}
	out := Code{Modules: q.Size}
	for y := range q.Size {
		for x := 0; x < q.Size; x++ {
			from := x
			for x < q.Size && q.Black(x, y) {
				x++
			}
			if x > from {
				out.Runs = append(out.Runs, Run{from, y, x - from})
			}
		}
	}
	return out, nil
}

// SVG is the code with its margin as a picture for a page, told as label to those who do not see it.
func (c Code) SVG(label string) string {
	var b strings.Builder
	side := c.Modules + 2*Quiet
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" role="img" aria-label="%s">`, side, side,
		strings.NewReplacer("&", "&amp;", `"`, "&quot;", "<", "&lt;").Replace(label))
	fmt.Fprintf(&b, `<rect width="%d" height="%d" fill="#fff"/><path fill="#000" d="`, side, side)
	for _, r := range c.Runs {
		fmt.Fprintf(&b, "M%d %dh%dv1h-%dz", r.X+Quiet, r.Y+Quiet, r.Length, r.Length)
	}
	b.WriteString(`"/></svg>`)
	return b.String()
}
