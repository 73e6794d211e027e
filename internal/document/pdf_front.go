package document

import "midcase/say"

// front is the first page: who, what, the sentence, the main picture, the figures.
func (s *sheet) front(f front, r Report, first *plate, sections int) {
	s.y = 20
	s.put(leftX, s.y, bodyW, firstLine(wrap(bodyW, setIn(face{serifBold, 12, ink},
		orElse(r.Shop.Name, f.in.String(say.That("report.no-issuer"))))...)), left)
	y := s.y
	for i, l := range r.Shop.Lines {
		if i < 4 {
			y += 3.4
			s.label(leftX, y, bodyW, faceSmall, l, left)
		}
	}
	s.y = max(y, 30) + 5
	s.rule(s.y, ink, 0.5, rightX)
	top := s.y
	s.y += 4
	s.text(faceKicker, 1.4, bodyW, f.kind, "")
	s.y += 0.5
	big := faceTitle
	if len(wrap(bodyW, setIn(big, f.title)...)) > 2 {
		big.size = faceLead.size
	}
	for i, l := range wrap(bodyW, setIn(big, f.title)...) {
		if i == 3 {
			break
		}
		h := big.leading(1.14)
		s.y += h
		s.put(leftX, s.y-0.25*h, bodyW, l, left)
	}
	s.y += 3
	lead := faceLead
	if n := len(wrap(bodyW, setIn(lead, f.sentence)...)); n > 6 {
		lead = faceFinding
	}
	ls := wrap(bodyW, setIn(lead, f.sentence)...)
	h := lead.leading(1.34)
	if len(ls) > 14 {
		ls = ls[:14]
		ls[13].add(spanOf{"…", lead}, lead.width("…"))
	}
	s.y = s.lines(leftX, s.y, bodyW, ls, h, left) + 5
	notesEnd := s.frontNotes(top+4, f.paper)
	s.frontPicture(first, f.noPicture(), 206)
	s.y = max(s.y, notesEnd+2)
	s.strip(f.strip)
	if rows := contentsRows(sections); s.y+contentsLead*float64(rows) < 254 {
		s.contentsY = s.y + 1
	}
	s.y = max(s.y, 258)
	if r.Code != "" {
		s.square(noteX, 256, r.Code, f.checkWords())
	}
	for _, l := range wrap(bodyW, setIn(faceSmall, f.standingWords())...) {
		h := faceSmall.leading(1.4)
		s.y += h
		s.put(leftX, s.y-0.28*h, bodyW, l, left)
	}
}

// checkWords stand under the code by which a paper is checked.
func (f front) checkWords() string {
	if f.words != nil {
		return f.words.check
	}
	return f.in.String(say.That("report.check"))
}

func (f front) noPicture() string {
	if f.words != nil {
		return f.words.noPicture
	}
	return f.in.String(say.That("report.no-picture"))
}

// standingWords says what the paper is not, and where the numbers in its margin lead.
func (f front) standingWords() string {
	switch {
	case f.unlisted:
		return f.standing
	case f.apart:
		return f.standing + " " + f.in.String(say.That("report.annex-on-request"))
	}
	return f.standing + " " + f.in.String(say.That("report.list-below"))
}

// firstLine is the first of some lines, with a mark where there are more.
func firstLine(ls []line) line {
	if len(ls) == 0 {
		return line{}
	}
	if n := len(ls[0].pieces); len(ls) > 1 && n > 0 {
		last := ls[0].pieces[n-1].face
		ls[0].add(spanOf{"…", last}, last.width("…"))
	}
	return ls[0]
}

func (s *sheet) frontNotes(y float64, f []fact) float64 {
	for _, one := range f {
		h := faceHead.leading(1.3)
		y = s.lines(noteX, y, noteW, wrap(noteW, setIn(faceHead, one.name)...), h, left)
		ls := wrap(noteW, setIn(faceTable, one.text)...)
		if len(ls) > 5 {
			ls = ls[:5]
		}
		y = s.lines(noteX, y, noteW, ls, faceTable.leading(1.3), left) + 2
	}
	return y
}

// frontPicture places the main picture between the sentence and the strip.
func (s *sheet) frontPicture(p *plate, none string, bottom float64) {
	room := bottom - s.y
	if room < 25 {
		return
	}
	if p == nil {
		s.y += 2
		s.text(faceSmall, 1.4, bodyW, none, "")
		s.y += 3
		return
	}
	pic := s.picture(p.number)
	if !pic.problem.IsZero() {
		s.text(faceSmall, 1.4, bodyW, p.caption+" "+s.unread(pic), p.cites)
		s.y += 4
		return
	}
	w, h := fit(pic, bodyW, min(room, 112))
	s.image(pic, leftX, s.y, w, h)
	ls := append(wrap(noteW, setIn(faceSmall, p.caption)...), noteLines(p.cites)...)
	lead := faceSmall.leading(1.35)
	if len(ls) > 8 {
		ls = ls[:8]
	}
	s.lines(noteX, s.y+h-lead*float64(len(ls)), noteW, ls, lead, left)
	s.y += h + 5
}

// strip sets the figures that the sentence sums up side by side.
func (s *sheet) strip(f []fact) {
	if len(f) == 0 {
		return
	}
	w := (rightX - leftX) / float64(len(f))
	s.rule(s.y, ink, 0.3, rightX)
	y := s.y + 1.5
	bottom := y
	for i, one := range f {
		x := leftX + w*float64(i)
		cw := w - 4
		yy := s.lines(x, y, cw, wrap(cw, setIn(faceHead, one.name)...), faceHead.leading(1.3), left)
		big := face{serif, 13, ink}
		yy = s.lines(x, yy+0.3, cw, wrap(cw, setIn(big, one.text)...), big.leading(1.2), left)
		sub := wrap(cw, setIn(faceSub, one.sub)...)
		yy = s.lines(x, yy+0.3, cw, sub[:min(len(sub), 3)], faceSub.leading(1.3), left)
		bottom = max(bottom, yy)
	}
	s.y = bottom + 2
	s.rule(s.y, ink, 0.3, rightX)
	s.y += 3
}
