package intake

import (
	"context"
	"fmt"
	"image"
	"math"

	"midcase/evidence"
	"midcase/gate"
	"midcase/internal/shop"
	"midcase/internal/tesseract"
	"midcase/lettering"
	"midcase/photo"
)

// CanReadLettering reports whether lettering in pictures can be read on this machine.
func CanReadLettering() bool { return tesseract.Installed() }

// ReadLettering proposes marks from the characters in a picture of a part: straight ones, and round ones along points
// through them or about the round part that is found.
func ReadLettering(ctx context.Context, img image.Image, through []photo.Point, slot evidence.Slot, k gate.Known,
) ([]lettering.Proposal, error) {
	sheets, err := photo.Lettering(img, through)
	if err != nil {
		return nil, err
	}
	var lines [][]lettering.Word
	for _, s := range sheets {
		read, err := tesseract.Read(ctx, s.Image)
		if err != nil {
			return nil, err
		}
		for _, line := range read {
			words := make([]lettering.Word, len(line))
			for i, w := range line {
				words[i] = lettering.Word{Text: w.Text, Sure: w.Sure, Box: inPicture(s, w.Box)}
			}
			lines = append(lines, words)
		}
	}
	return lettering.Propose(lines, slot, k), nil
}

// inPicture is where a field of a sheet lies in the photograph.
func inPicture(s photo.LetteringSheet, r image.Rectangle) lettering.Box {
	middle := s.At(photo.Point{float64(r.Min.X+r.Max.X) / 2, float64(r.Min.Y+r.Max.Y) / 2})
	far := 0.0
	for _, c := range []photo.Point{{float64(r.Min.X), float64(r.Min.Y)}, {float64(r.Max.X), float64(r.Min.Y)},
		{float64(r.Min.X), float64(r.Max.Y)}, {float64(r.Max.X), float64(r.Max.Y)}} {
		p := s.At(c)
		far = max(far, math.Hypot(p[0]-middle[0], p[1]-middle[1]))
	}
	return lettering.Box{Middle: [2]float64{rounded(middle[0], 0), rounded(middle[1], 0)}, Radius: rounded(far, 0)}
}

// letteredSlot is the part that a view of a watch shows from near; empty where it shows several.
var letteredSlot = map[string]evidence.Slot{"movement": evidence.Movement, "back": evidence.CaseBack,
	"case_back_inside": evidence.CaseBack, "clasp": evidence.Clasp, "dial": evidence.Dial, "lugs": evidence.Case}

// Lettering proposes marks from a picture of a watch, each held against its file and the book.
func (r *Room) Lettering(ctx context.Context, id shop.WatchID, p OpenedPhoto) ([]lettering.Proposal, error) {
	w, err := r.shop.Watch(ctx, id)
	if err != nil {
		return nil, err
	}
	log, err := r.shop.Log(ctx, id)
	if err != nil {
		return nil, err
	}
	k := gate.Known{File: evidence.Fold(log, r.shop.Now())}
	k.Maker, k.Reference, _ = r.shop.Book(ctx).Reference(w.Maker, w.Reference)
	out, err := ReadLettering(ctx, p.Image, nil, letteredSlot[p.Photo.View], k)
	if err != nil {
		return nil, fmt.Errorf("read lettering in a picture of file %d: %w", w.Number, err)
	}
	for i := range out {
		out[i].Mark.Photo = p.Item.ID
	}
	return out, nil
}
