package document

import (
	"io"
	"time"
)

// WriteListingPDF writes the listing as an A4 sheet to hand out, with the pictures
// given. Issued is the day on it.
func WriteListingPDF(w io.Writer, l Listing, photos []Photo, issued time.Time) error {
	photos = append([]Photo(nil), photos...)
	for i := range photos {
		photos[i].Evidence = "" // a listing cites nothing
	}
	wr := newWriter(Report{Opinion: l.Opinion, Number: l.Number, Shop: l.Shop, Photos: photos, Issued: issued})
	d := l.words()
	f := front{kind: "Offered for sale", title: d.Title, sentence: d.Sentence,
		strip: []fact{{name: "Price", text: d.Price}, wr.stripDating(), wr.stripParts(), wr.stripCondition()},
		paper: []fact{{name: "Number", text: orDash(l.Number)}, {name: "Date", text: dayWords(issued)}}, unlisted: true, standing: "Offered subject to prior sale. Judged by the evidence on record; no certificate of any maker or authority."}
	sections := []section{wr.listingFacts()}
	for _, part := range d.lists() {
		s := section{id: "listing", title: part.head}
		var b bullets
		for _, t := range part.texts {
			b = append(b, cited{text: opening(t)})
		}
		s.blocks = []block{b}
		sections = append(sections, s)
	}
	if len(photos) > 1 {
		p := wr.photos()
		p.finding, p.cites = "", ""
		sections = append(sections, p)
	}
	return writePDF(w, wr.r, f, wr.plateOne(), sections)
}

func (w *writer) listingFacts() section {
	return section{id: "listing", title: "The watch", blocks: []block{facts(w.listedFacts())}}
}
