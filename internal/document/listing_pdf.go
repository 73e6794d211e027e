package document

import (
	"io"
	"time"

	"midcase/say"
	"midcase/telling"
)

// WriteListingPDF writes the listing as an A4 sheet to hand out, with the pictures
// given. Issued is the day on it.
//
// All words on it are in the language of the listing.
func WriteListingPDF(w io.Writer, l Listing, photos []Photo, issued time.Time) error {
	in, ok := say.In(l.Told.Language)
	if !ok {
		in, _ = say.In("en")
	}
	photos = append([]Photo(nil), photos...)
	for i := range photos { // a listing cites nothing, and what somebody noted of a picture is not told
		view := say.Noun{Set: "view", ID: photos[i].View}
		photos[i].Evidence, photos[i].Caption = "", say.Capital(in.Value(view, ""))
	}
	r := Report{Number: l.Number, Shop: l.Shop, Photos: photos, Issued: issued, Code: l.Code}
	r.Opinion.Watch = l.Watch
	wr := newWriter(r)
	f := front{in: tongue{in}, kind: in.Capital(say.That("sheet.kind")), title: l.Told.Title, paper: []fact{
		{name: in.Capital(say.That("sheet.number")), text: orDash(l.Number)},
		{name: in.Capital(say.That("sheet.date")), text: in.Value(say.Date(issued.Format(time.DateOnly)), "")}},
		unlisted: true, standing: in.Capital(say.That("sheet.standing")), words: listingWords(in, l)}
	if l.Paper != "" {
		f.paper = append(f.paper, fact{name: in.Capital(say.That("sheet.paper")), text: l.Paper})
	}
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
	picture := func(i int) plate {
		shown := wr.r.Photos[i] // the main picture first
		return plate{number: i + 1, data: shown.Data, caption: in.Capital(say.That("sheet.plate",
			say.Count("n", i+1), say.Name("view", shown.Caption)))}
	}
	if len(photos) > 1 {
		var all plates
		for i := range photos[1:] {
			all.photos = append(all.photos, picture(i+1))
		}
		sections = append(sections, section{id: "photos", title: in.Capital(say.That("sheet.pictures")),
			blocks: []block{all}})
	}
	if len(photos) == 0 {
		return writePDF(w, wr.r, f, nil, sections)
	}
	first := picture(0)
	return writePDF(w, wr.r, f, &first, sections)
}

// listingWords are the words around the sheet, in the language of the listing.
func listingWords(in say.Writer, l Listing) *pageWords {
	file := orDash(l.Number)
	return &pageWords{lang: l.Told.Language, check: in.Capital(say.That("sheet.check")),
		foot:      orElse(l.Shop.Name, "–") + " · " + in.Capital(say.That("sheet.foot")),
		noPicture: in.Capital(say.That("sheet.no-picture")), page: func(n, of int) string {
			return in.Capital(say.That("sheet.page", say.Name("file", file), say.Count("n", n), say.Count("of", of)))
		}}
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
