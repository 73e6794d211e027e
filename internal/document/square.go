package document

import (
	"midcase/internal/squarecode"
)

// squareMM is the side of the code on a paper, without its margin.
const squareMM = 21.0

// square sets the code by which a paper is checked, with a word under it. A text too long for a code leaves none.
func (s *sheet) square(x, y float64, text, says string) {
	c, err := squarecode.Encode(text)
	if err != nil {
		return
	}
	s.fill(ink)
	module := squareMM / float64(c.Modules)
	for _, r := range c.Runs {
		s.pdf.Rect(x+float64(r.X)*module, y+float64(r.Y)*module, float64(r.Length)*module, module, "F")
	}
	s.label(x, y+squareMM+3, noteW, faceSmall, says, left)
}
