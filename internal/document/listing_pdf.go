package document

import (
	"io"
	"time"

	"midcase/telling"
)

// WriteListingPDF writes the listing as an A4 sheet to hand out, with the pictures
// given. Issued is the day on it.
func WriteListingPDF(w io.Writer, l Listing, photos []Photo, issued time.Time) error {
	photos = append([]Photo(nil), photos...)
	for i := range photos {
		photos[i].Evidence = "" // a listing cites nothing
	}
	r := Report{Number: l.Number, Shop: l.Shop, Photos: photos, Issued: issued}
	r.Opinion.Watch = l.Watch
	wr := newWriter(r)
	f := front{kind: "Offered for sale", title: l.Told.Title, paper: []fact{{name: "Number", text: orDash(l.Number)},
		{name: "Date", text: dayWords(issued)}}, unlisted: true, standing: "Offered subject to prior sale. " +
		"Judged by the evidence on record; no certificate of any maker or authority."}
	var sections []section
	for _, b := range l.Told.Blocks {
		switch {
		case b.Heading == "" && f.sentence == "":
			f.sentence = spokenText(b)
		case b.Heading == "" && len(sections) > 0: // the shop's own terms
			last := &sections[len(sections)-1]
			last.blocks = append(last.blocks, para{text: spokenText(b)})
		default:
			sections = append(sections, section{id: "listing", title: b.Heading, blocks: []block{spokenBlock(b)}})
		}
	}
	if len(photos) > 1 {
		p := wr.photos()
		p.finding, p.cites = "", ""
		sections = append(sections, p)
	}
	return writePDF(w, wr.r, f, wr.plateOne(), sections)
}

func spokenText(b telling.Block) string {
	text := ""
	for _, s := range b.Sentences {
		text += s.Text + " "
	}
	return text
}

// spokenBlock sets the sentences of a block apart, or as one paragraph.
func spokenBlock(b telling.Block) block {
	if !b.Apart {
		return para{text: spokenText(b)}
	}
	var out bullets
	for _, s := range b.Sentences {
		out = append(out, cited{text: s.Text})
	}
	return out
}
