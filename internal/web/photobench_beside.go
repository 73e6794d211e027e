package web

import (
	"bytes"
	"context"
	"fmt"
	"image/jpeg"
	"net/http"
	"net/url"
	"strings"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/web/pages/photobench"
	"midcase/photo"
)

// laidDials are two dials laid on each other, with their views as JPEG.
type laidDials struct {
	key   string
	found photo.Overlaid
	views map[photo.View][]byte
}

// laidKept is how many pairs are kept.
const laidKept = 4

const viewQuality = 90

// lay lays the dials on each other, or takes the pair that was laid before.
func (b *photoBench) lay(key string, a, o intake.OpenedPhoto, picks photo.Picks) (laidDials, error) {
	b.mu.Lock()
	for _, l := range b.laid {
		if l.key == key {
			b.mu.Unlock()
			return l, nil
		}
	}
	b.mu.Unlock()
	found, err := photo.Overlay(a.Image, o.Image, picks)
	if err != nil {
		return laidDials{}, err
	}
	l := laidDials{key: key, views: map[photo.View][]byte{}}
	for _, v := range []photo.View{photo.ViewSubject, photo.ViewReference, photo.ViewDifference} {
		var out bytes.Buffer
		if err := jpeg.Encode(&out, found.Picture(v), &jpeg.Options{Quality: viewQuality}); err != nil {
			return laidDials{}, fmt.Errorf("view %s: %w", v, err)
		}
		l.views[v] = out.Bytes()
	}
	l.found = found.WithoutPictures()
	b.mu.Lock()
	defer b.mu.Unlock()
	if len(b.laid) >= laidKept {
		b.laid = b.laid[:laidKept-1]
	}
	b.laid = append([]laidDials{l}, b.laid...)
	return l, nil
}

// besideData is the page on which a dial is laid on another, with the other picture
// where one was chosen.
func (b *photoBench) besideData(r *http.Request) (photobench.BesideData, intake.OpenedPhoto, *intake.OpenedPhoto,
	error) {
	ctx := r.Context()
	var d photobench.BesideData
	watch, err := b.shop.Watch(ctx, shop.WatchID(r.PathValue("id")))
	if err != nil {
		return d, intake.OpenedPhoto{}, nil, err
	}
	a, err := b.open(ctx, watch.ID, r.PathValue("blob"))
	if err != nil {
		return d, a, nil, err
	}
	if err := readForm(r); err != nil {
		return d, a, nil, err
	}
	d = photobench.BesideData{Frame: b.frame("stock", "One dial on another"), Watch: watch, Photo: a.Photo,
		Form: photobench.NewForm(r.Form)}
	d.Width, d.Height = a.Image.Bounds().Dx(), a.Image.Bounds().Dy()
	if d.Known, err = b.known(ctx, watch.ID, a.Photo); err != nil {
		return d, a, nil, err
	}
	if d.Choices, err = b.dialPictures(ctx, watch, a.Photo.Blob); err != nil {
		return d, a, nil, err
	}
	otherID, blob, chosen := strings.Cut(r.FormValue("with"), "/")
	if !chosen {
		return d, a, nil, nil
	}
	o, err := b.open(ctx, shop.WatchID(otherID), blob)
	if err != nil {
		return d, a, nil, err
	}
	other, err := b.shop.Watch(ctx, shop.WatchID(otherID))
	if err != nil {
		return d, a, nil, err
	}
	d.Other = &photobench.OtherDial{Watch: other, Photo: o.Photo, Width: o.Image.Bounds().Dx(),
		Height: o.Image.Bounds().Dy()}
	return d, a, &o, nil
}

// dialPictures lists pictures that show the dial: of the watches of the same
// reference, those of this watch first.
func (b *photoBench) dialPictures(ctx context.Context, w shop.Watch, but string) ([]photobench.Other, error) {
	same, err := b.shop.Watches(ctx, shop.Filter{Maker: w.Maker, Reference: w.Reference})
	if err != nil {
		return nil, err
	}
	var own, others []photobench.Other
	for _, x := range same {
		log, err := b.shop.Log(ctx, x.ID)
		if err != nil {
			return nil, err
		}
		for _, p := range evidence.All[*evidence.Photo](evidence.Fold(log, b.shop.Now())) {
			if p.Data.Blob == but && x.ID == w.ID || p.Data.View != "dial" && p.Data.View != "front" {
				continue
			}
			c := photobench.Other{Watch: string(x.ID), Blob: p.Data.Blob, View: p.Data.View,
				Title: fmt.Sprintf("file %d, %s", x.Number, x.Title)}
			if x.ID == w.ID {
				own = append(own, c)
			} else {
				others = append(others, c)
			}
		}
	}
	return append(own, others...), nil
}

func (b *photoBench) beside(w http.ResponseWriter, r *http.Request) error {
	d, a, o, err := b.besideData(r)
	if err != nil {
		return err
	}
	if o != nil && r.FormValue("ask") != "" {
		picks := photobench.BesidePicks(d.Form)
		if len(d.Form.Problems) == 0 {
			l, err := b.lay(besideKey(r), a, *o, picks)
			if err := b.fault(d.Form, err); err != nil {
				return err
			}
			if err == nil {
				d.Found, d.Query = &l.found, besideQuery(r.Form).Encode()
			}
		}
	}
	d.Groups, d.Rest = photobench.Fill(photobench.BesideGroups(d.Known), d.Form)
	if len(d.Form.Problems) > 0 {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	return photobench.BesidePage(d).Render(r.Context(), w)
}

// besideQuery is what places both dials.
func besideQuery(form url.Values) url.Values {
	q := url.Values{}
	for _, name := range []string{"with", "edge", "twelve", "six", "dial_mm", "edge_2", "twelve_2", "six_2"} {
		if v := form.Get(name); v != "" {
			q.Set(name, v)
		}
	}
	return q
}

func besideKey(r *http.Request) string {
	return r.PathValue("id") + " " + r.PathValue("blob") + " " + besideQuery(r.Form).Encode()
}

// besideView serves one view of two dials laid on each other.
func (b *photoBench) besideView(w http.ResponseWriter, r *http.Request) error {
	view := photo.View(strings.TrimSuffix(r.PathValue("view"), ".jpg"))
	d, a, o, err := b.besideData(r)
	if err != nil {
		return err
	}
	if o == nil {
		return fmt.Errorf("the other dial: %w", shop.ErrNotFound)
	}
	picks := photobench.BesidePicks(d.Form)
	if len(d.Form.Problems) > 0 {
		return &shop.Invalid{What: "lay one dial on another", Problems: d.Form.Problems}
	}
	l, err := b.lay(besideKey(r), a, *o, picks)
	if err := b.fault(d.Form, err); err != nil {
		return err
	}
	if len(d.Form.Problems) > 0 {
		return &shop.Invalid{What: "lay one dial on another", Problems: d.Form.Problems}
	}
	made, ok := l.views[view]
	if !ok {
		return fmt.Errorf("view %q: %w", view, shop.ErrNotFound)
	}
	return writeJPEG(w, made, "private, max-age=3600")
}
