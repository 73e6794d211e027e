package web

import (
	"context"
	"net/http"
	"strings"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/web/form"
	seen "midcase/internal/web/pages/examples"
	"midcase/refbook"
)

// seenForm is what is asked of a watch that was seen: first what takes ten seconds, the rest folded.
type seenForm struct {
	Reference string    `form:"reference,needed,broad" label:"Reference" hint:"such as Corvane KR-1" list:"references" want:"maker and reference, for example Corvane KR-1"`
	Serial    string    `form:"serial" label:"Serial number" hint:"x for a figure that cannot be read"`
	Made      edtf.Date `form:"made" label:"Or made, by papers or an extract" hint:"such as 1968-05; never by a part"`
	seenParts
	Place   string    `form:"place" label:"Seen" choices:"=not said|fair=at a fair|dealer=at a dealer's|print=in print|picture=in a picture|collection=in a collection|other=elsewhere"`
	Picture form.File `form:"picture" label:"Picture" accept:"image/*"`
	More    seenMore  `group:"More"`
	Another string    `form:"another" kind:"hidden"`
}

// seenParts has a choice for each slot; those that the book does not tell apart are dropped.
type seenParts struct {
	Dial      string `form:"dial" label:"Dial" kind:"choice"`
	Hands     string `form:"hands" label:"Hands" kind:"choice"`
	Bezel     string `form:"bezel" label:"Bezel" kind:"choice"`
	Case      string `form:"case" label:"Case" kind:"choice"`
	Crystal   string `form:"crystal" label:"Crystal" kind:"choice"`
	Crown     string `form:"crown" label:"Crown" kind:"choice"`
	Pushers   string `form:"pushers" label:"Pushers" kind:"choice"`
	CaseBack  string `form:"case_back" label:"Case back" kind:"choice"`
	Movement  string `form:"movement" label:"Movement" kind:"choice"`
	Bracelet  string `form:"bracelet" label:"Bracelet or strap" kind:"choice"`
	EndPieces string `form:"end_pieces" label:"End pieces" kind:"choice"`
	Clasp     string `form:"clasp" label:"Clasp" kind:"choice"`
}

type seenMore struct {
	Source  string  `form:"source" label:"Which fair, which page"`
	DatedBy string  `form:"dated_by" label:"Dated by" choices:"=not said|papers|extract|stamp|other"`
	Country string  `form:"country" label:"Country of delivery" hint:"two letters, such as US"`
	Sure    float64 `form:"sure" label:"How sure of the versions?" unit:"%" min:"0.01" max:"1"`
}

var seenExample = form.Define[seenForm]("example seen")

// fields are the choices by slot.
func (p *seenParts) fields() map[evidence.Slot]*string {
	return map[evidence.Slot]*string{evidence.Dial: &p.Dial, evidence.Hands: &p.Hands, evidence.Bezel: &p.Bezel,
		evidence.Case: &p.Case, evidence.Crystal: &p.Crystal, evidence.Crown: &p.Crown, evidence.Pushers: &p.Pushers,
		evidence.CaseBack: &p.CaseBack, evidence.Movement: &p.Movement, evidence.Bracelet: &p.Bracelet,
		evidence.EndPieces: &p.EndPieces, evidence.Clasp: &p.Clasp}
}

// record is the example that was asked for.
func (f seenForm) record(m *refbook.Maker, ref *refbook.Reference) shop.SeenExample {
	e := shop.SeenExample{Maker: m.Name, Reference: ref.ID, Serial: f.Serial, Made: f.Made, DatedBy: f.More.DatedBy,
		Place: f.Place, Source: f.More.Source, Country: strings.ToUpper(f.More.Country), Sure: f.More.Sure,
		Metal: ref.Metal, Another: f.Another, Parts: map[evidence.Slot]string{}}
	for slot, version := range f.fields() {
		if *version != "" {
			e.Parts[slot] = *version
		}
	}
	return e
}

// named finds the reference that somebody typed with its maker.
func (s *examplePages) named(ctx context.Context, text string) (*refbook.Maker, *refbook.Reference, bool) {
	text = strings.Join(strings.Fields(text), " ")
	book := s.shop.Book(ctx)
	for i := range book.Makers {
		m := &book.Makers[i]
		for j := range m.References {
			ref := &m.References[j]
			for _, name := range []string{m.Name + " " + ref.ID, m.ID + " " + ref.ID, ref.ID} {
				if strings.EqualFold(text, name) {
					return m, ref, true
				}
			}
		}
	}
	return nil, nil, false
}

// drawAdd offers the versions of the reference, once that is known.
func (s *examplePages) drawAdd(w http.ResponseWriter, r *http.Request, d *seen.Adding, f *form.Form[seenForm],
	status int) error {
	m, ref, known := s.named(r.Context(), f.V.Reference)
	for slot, field := range f.V.fields() {
		var book *refbook.Slot
		if known {
			book, _ = ref.Slot(slot)
		}
		if book == nil || len(book.Variants) == 0 {
			f.Drop(field)
			continue
		}
		options := []form.Option{{Value: "", Text: "not seen"}}
		for _, v := range book.Variants {
			options = append(options, form.Option{Value: v.ID, Text: v.Name})
		}
		f.Offer(field, options...)
	}
	if known {
		d.Back = seen.Path(m, ref)
	}
	book := s.shop.Book(r.Context())
	for i := range book.Makers {
		for j := range book.Makers[i].References {
			d.References = append(d.References, book.Makers[i].Name+" "+book.Makers[i].References[j].ID)
		}
	}
	d.Frame = s.frame("book", "Add an example")
	w.WriteHeader(status)
	return seen.AddPage(*d).Render(r.Context(), w)
}
