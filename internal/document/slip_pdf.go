package document

import (
	"fmt"
	"io"

	"midcase/say"
)

// WriteSlipPDF writes a paper about a dealing as A4. The same paper gives the same bytes.
func WriteSlipPDF(w io.Writer, one Slip) error {
	p := one.slip()
	s := newSheet()
	s.page()
	s.slipFront(p)
	s.slipGoods(p)
	s.slipAmounts(p)
	s.slipWords(p)
	s.slipSigns(p)
	return s.slipFinish(w, p)
}

// slipFront sets who issues, what it is, and the two sides.
func (s *sheet) slipFront(p slip) {
	s.y = 20
	s.put(leftX, s.y, bodyW, firstLine(wrap(bodyW, setIn(face{serifBold, 12, ink},
		orElse(p.head.Issuer.Name, p.head.writer().Capital(say.That("slip.no-issuer"))))...)), left)
	y := s.y
	for i, l := range p.head.Issuer.Lines {
		if i < 5 {
			y += 3.4
			s.label(leftX, y, bodyW, faceSmall, l, left)
		}
	}
	if p.head.Code != "" {
		s.square(rightX-squareMM, 18, p.head.Code, p.head.writer().String(say.That("slip.check")))
		y = max(y, 18+squareMM+3)
	}
	s.y = max(y, 26) + 5
	s.rule(s.y, ink, 0.5, rightX)
	s.y += 4
	h := faceTitle.leading(1.14)
	s.y += h
	s.put(leftX, s.y-0.25*h, rightX-leftX, firstLine(wrap(rightX-leftX, setIn(faceTitle, p.title)...)), left)
	s.y += 2
	s.text(faceFinding.as(serifItalic), 1.3, rightX-leftX, p.lead, "")
	s.y += 5
	s.slipSides(p)
}

const slipGap = 8.0

func (s *sheet) slipSides(p slip) {
	w := (rightX - leftX - slipGap) / 2
	top, bottom := s.y, s.y
	for i, one := range p.sides {
		x := leftX + (w+slipGap)*float64(i)
		y := s.lines(x, top, w, wrap(w, setIn(faceHead, one.role)...), faceHead.leading(1.4), left)
		for k, l := range partyLines(p.head.writer(), one.party) {
			f := faceText
			if k > 0 {
				f = faceTable
			}
			y = s.lines(x, y, w, wrap(w, setIn(f, l)...), f.leading(1.35), left)
		}
		bottom = max(bottom, y)
	}
	s.y = bottom + 4
	s.slipFacts(p.facts)
}

// slipFacts sets facts in two columns of name and text over the whole width.
func (s *sheet) slipFacts(f []fact) {
	if len(f) == 0 {
		return
	}
	const nameW = 27.0
	w := (rightX - leftX - slipGap) / 2
	h := faceTable.leading(1.4)
	s.rule(s.y, ink, 0.25, rightX)
	s.y += 1.2
	for i := 0; i < len(f); i += 2 {
		top, bottom := s.y, s.y
		for k := 0; k < 2 && i+k < len(f); k++ {
			x := leftX + (w+slipGap)*float64(k)
			s.lines(x, top, nameW-2, wrap(nameW-2, setIn(faceTable.in(soft), f[i+k].name)...), h, left)
			bottom = max(bottom, s.lines(x+nameW, top, w-nameW, wrap(w-nameW, setIn(faceTable, f[i+k].text)...), h,
				left))
		}
		s.y = bottom + 0.6
	}
	s.y += 3
}

func (s *sheet) slipGoods(p slip) {
	s.y += 2
	h := faceHeading.leading(1.2)
	s.y += h
	s.put(leftX, s.y-0.25*h, rightX-leftX, firstLine(wrap(rightX-leftX, setIn(faceHeading, p.goods.Title)...)), left)
	s.y += 2
	s.slipFacts(p.goods.facts(p.head.writer()))
}

// slipAmounts sets the amounts on one right edge.
func (s *sheet) slipAmounts(p slip) {
	if p.total.text == "" {
		return
	}
	const from = 60.0
	h := faceText.leading(1.35)
	x, w := leftX+from, rightX-leftX-from
	line := func(l amountLine, f face) {
		s.y += h
		s.label(x, s.y-0.28*h, w-38, f, l.text, left)
		s.put(x, s.y-0.28*h, w, firstLine(wrap(w, setIn(f, exactIn(p.head.writer(), l.amount))...)), right)
		if l.sub != "" {
			s.y = s.lines(x, s.y, w-38, wrap(w-38, setIn(faceSub, l.sub)...), faceSub.leading(1.3), left)
		}
		s.y += 0.8
	}
	s.y += 3
	s.stroke(ink, 0.3)
	s.pdf.Line(x, s.y, rightX, s.y)
	s.y += 0.8
	for _, l := range p.lines {
		line(l, faceText)
		s.stroke(hair, 0.12)
		s.pdf.Line(x, s.y, rightX, s.y)
	}
	line(p.total, faceText.as(serifBold))
	s.stroke(ink, 0.5)
	s.pdf.Line(x, s.y, rightX, s.y)
	s.y += 6
}

func (s *sheet) slipWords(p slip) {
	w := rightX - leftX
	for _, t := range p.paras {
		s.text(faceText, 1.35, w, t, "")
		s.y += 2
	}
	if len(p.declares) > 0 {
		s.y += 2
		s.text(faceText.as(serifBold), 1.35, w, p.declaration, "")
		s.y += 1
		h := faceText.leading(1.35)
		for i, t := range p.declares {
			ls := wrap(w-8, setIn(faceText, t)...)
			s.room(h * float64(len(ls)))
			s.label(leftX, s.y+0.72*h, 6, faceTable.in(steel), fmt.Sprint(i+1), left)
			s.y = s.lines(leftX+8, s.y, w-8, ls, h, left) + 1
		}
		s.y += 2
	}
	for _, t := range p.head.Terms {
		s.text(faceTable, 1.4, w, t, "")
		s.y += 1
	}
}

// slipSigns sets the lines on which to sign, side by side.
func (s *sheet) slipSigns(p slip) {
	if len(p.signs) == 0 {
		if p.head.SignedBy != "" {
			s.y += 4
			s.text(faceText, 1.35, bodyW, p.head.SignedBy, "")
		}
		return
	}
	s.room(34)
	s.y += 24
	w := (rightX - leftX - slipGap) / 2
	for i, who := range p.signs {
		x := leftX + (w+slipGap)*float64(i%2)
		s.stroke(ink, 0.2)
		s.pdf.Line(x, s.y, x+w, s.y)
		s.label(x, s.y+4, w, faceSmall, p.head.writer().Capital(say.That("slip.sign", say.Name("who", who))), left)
	}
	s.y += 8
}

// slipFinish writes cautions at the foot of the last page, heads and the file.
func (s *sheet) slipFinish(w io.Writer, p slip) error {
	h := faceSmall.leading(1.4)
	var ls []line
	for _, c := range p.cautions {
		ls = append(ls, wrap(rightX-leftX, setIn(faceSmall, c)...)...)
	}
	if s.y+h*float64(len(ls))+4 > bottomY {
		s.page()
	}
	s.lines(leftX, bottomY-h*float64(len(ls)), rightX-leftX, ls, h, left)
	n, words := s.pdf.PageCount(), p.head.writer()
	for i := 1; i <= n; i++ {
		s.pdf.SetPage(i)
		s.fresh()
		where := orElse(p.head.Number, words.String(say.That("slip.draft")))
		if n > 1 {
			where += " · " + words.String(say.That("slip.page", say.Count("page", i), say.Count("of", n)))
		}
		s.label(noteX-20, 15, noteW+20, faceSmall, where, right)
		foot := orElse(p.head.Issuer.Name, p.head.writer().Capital(say.That("slip.no-issuer")))
		if p.head.Issuer.TaxNumber != "" {
			foot += " · " + words.String(say.That("slip.tax-number", say.Name("number", p.head.Issuer.TaxNumber)))
		}
		if p.head.LogHead != "" {
			foot += " · " + words.String(say.That("slip.log")) + " " + p.head.LogHead
		}
		s.label(leftX, 287, rightX-leftX, faceSmall, foot, left)
	}
	about := info{title: p.title, author: p.head.Issuer.Name, subject: p.goods.Title, day: dayOrNow(p.head.Day)}
	if p.head.Language != "" {
		about.lang = words.Locale.Tag
	}
	return s.write(w, about, "paper "+orDash(p.head.Number))
}
