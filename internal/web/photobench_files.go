package web

import (
	"bytes"
	"fmt"
	"net/http"
	"strings"

	"midcase/evidence"
	"midcase/internal/document"
	"midcase/internal/picture"
	"midcase/internal/shop"
	"midcase/internal/web/pages/photobench"
	"midcase/photo"
)

// wholeSide bounds a picture that is made for showing.
const wholeSide = 4096

// shown serves a picture as JPEG to browsers that cannot read its kind.
func (b *photoBench) shown(w http.ResponseWriter, r *http.Request) error {
	_, p, err := b.shop.Intake.PhotoOf(r.Context(), shop.WatchID(r.PathValue("id")), r.PathValue("blob"))
	if err != nil {
		return err
	}
	made, err := b.small.get(r.Context(), p.Blob, wholeSide,
		func() ([]byte, error) { return b.shop.Picture(r.Context(), p.Blob) })
	if err != nil {
		return err
	}
	return writeJPEG(w, made, "private, max-age=31536000, immutable")
}

func writeJPEG(w http.ResponseWriter, b []byte, cache string) error {
	w.Header().Set("Cache-Control", cache)
	w.Header().Set("Content-Type", "image/jpeg")
	_, err := w.Write(b)
	return err
}

// listingJPEG serves a picture made ready for a listing.
func (b *photoBench) listingJPEG(w http.ResponseWriter, r *http.Request) error {
	o, err := b.open(r.Context(), shop.WatchID(r.PathValue("id")), r.PathValue("blob"))
	if err != nil {
		return err
	}
	if err := readForm(r); err != nil {
		return err
	}
	f := photobench.NewForm(r.Form)
	side := picture.ListingSizes[0]
	for _, s := range picture.ListingSizes {
		if r.FormValue("side") == fmt.Sprint(s) {
			side = s
		}
	}
	l, err := photobench.ListingWish(f, o.Image)
	if err := b.fault(f, err); err != nil {
		return err
	}
	if len(f.Problems) > 0 {
		return &shop.Invalid{What: "picture for a listing", Problems: f.Problems}
	}
	made, err := l.JPEG(o.Image, side)
	if err != nil {
		return &shop.Invalid{What: "picture for a listing", Problems: evidence.Problems{{Field: "square",
			Found: err.Error(), Want: "a square inside the picture"}}}
	}
	if r.FormValue("save") != "" {
		watch, err := b.shop.Watch(r.Context(), shop.WatchID(r.PathValue("id")))
		if err != nil {
			return err
		}
		w.Header().Set("Content-Disposition", fmt.Sprintf(`attachment; filename="%d-%s-%d.jpg"`, watch.Number, strings.ReplaceAll(o.Photo.View, "_", "-"), side))
	}
	return writeJPEG(w, made, "private, max-age=3600")
}

// usualTargetMM is the side of the printed square.
const usualTargetMM = 60

// target serves the printed square.
func (b *photoBench) target(w http.ResponseWriter, _ *http.Request) error {
	t, err := photo.NewTarget(usualTargetMM)
	if err != nil {
		return err
	}
	var out bytes.Buffer
	if err := document.WriteTargetPDF(&out, t); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/pdf")
	w.Header().Set("Content-Disposition", `inline; filename="square-60-mm.pdf"`)
	_, err = w.Write(out.Bytes())
	return err
}
