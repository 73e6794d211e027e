package document

import (
	"fmt"
	"io"
	"strings"
	"time"
)

// KeySheet is the recovery sheet of a shop: the key of its client data in numbered lines with check digits, to be
// kept on paper.
type KeySheet struct {
	Shop  string
	Day   time.Time // on which it was made
	Lines []string
}

const (
	keySheetWhy = "Print this and keep it away from the computer, where only those may go who may see client data. " +
		"Whoever has it and a copy of the shop can read all client data. Without the key nobody can."
	keySheetHow = "The last two digits of a line are check digits. To type it in: midcase clients key recover"
)

func (k KeySheet) title() string { return "Recovery sheet for the key of the client data of " + k.Shop }

// Text is the sheet for a terminal.
func (k KeySheet) Text() string {
	return fmt.Sprintf("%s\n\n%s\n\n%s\n\n%s\n", k.title(), strings.ReplaceAll(keySheetWhy, ". ", ".\n"),
		strings.Join(k.Lines, "\n"), keySheetHow)
}

// WriteKeySheetPDF writes the sheet as one A4 page, with large figures that are read off without a mistake. The same
// sheet gives the same bytes.
func WriteKeySheetPDF(w io.Writer, k KeySheet) error {
	s := newSheet()
	s.page()
	s.y = 24
	s.text(faceTitle, 1.2, rightX-leftX, k.title(), "")
	s.y += 4
	s.text(faceText, 1.4, rightX-leftX, keySheetWhy, "")
	s.y += 8
	figures := face{sans, 20, ink}
	for _, l := range k.Lines {
		s.rule(s.y, hair, 0.15, rightX)
		s.y += 13
		for i, group := range strings.Fields(l) {
			s.label(leftX+float64(i)*34, s.y-3.5, 32, figures, group, left)
		}
	}
	s.rule(s.y, hair, 0.15, rightX)
	s.y += 8
	s.text(faceText, 1.4, rightX-leftX, keySheetHow, "")
	s.y += 4
	s.text(faceSmall, 1.4, rightX-leftX, "Made on "+english.dayWords(k.Day)+". A new key (midcase clients key rotate) makes "+
		"this sheet useless: print another one and destroy this one.", "")
	return s.write(w, info{title: k.title(), author: k.Shop, subject: keySheetWhy, day: k.Day}, "recovery sheet")
}
