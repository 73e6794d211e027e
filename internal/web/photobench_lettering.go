package web

import (
	"context"
	"errors"
	"net/http"
	"net/url"
	"strings"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/tesseract"
	"midcase/internal/web/pages/photobench"
	"midcase/internal/web/pages/wording"
)

// lettering shows what was read in a picture, as proposals.
func (b *photoBench) lettering(w http.ResponseWriter, r *http.Request) error {
	d, o, err := b.letteringData(r)
	if err != nil {
		return err
	}
	if err := b.readLettering(r.Context(), &d, o); err != nil {
		return err
	}
	if added := r.FormValue("added"); added != "" {
		if d.Added, err = b.recordedMark(r.Context(), d.Watch.ID, evidence.ID(added)); err != nil {
			return err
		}
	}
	return photobench.LetteringPage(d).Render(r.Context(), w)
}

func (b *photoBench) letteringData(r *http.Request) (photobench.LetteringData, intake.OpenedPhoto, error) {
	watch, err := b.shop.Watch(r.Context(), shop.WatchID(r.PathValue("id")))
	if err != nil {
		return photobench.LetteringData{}, intake.OpenedPhoto{}, err
	}
	o, err := b.open(r.Context(), watch.ID, r.PathValue("blob"))
	if err != nil {
		return photobench.LetteringData{}, o, err
	}
	return photobench.LetteringData{Frame: b.frame("stock", "Lettering in the picture"), Watch: watch, Blob: o.Photo.Blob,
		Photo: o.Photo, Width: o.Image.Bounds().Dx(), Height: o.Image.Bounds().Dy()}, o, nil
}

// readLettering reads, or says why that cannot be done here.
func (b *photoBench) readLettering(ctx context.Context, d *photobench.LetteringData, o intake.OpenedPhoto) error {
	var err error
	d.Proposals, err = b.shop.Intake.Lettering(ctx, d.Watch.ID, o)
	if errors.Is(err, tesseract.ErrNotInstalled) {
		d.CannotRead = tesseract.ErrNotInstalled.Error()
		return nil
	}
	return err
}

// recordedMark is a mark of the file as it is described.
func (b *photoBench) recordedMark(ctx context.Context, id shop.WatchID, item evidence.ID) (string, error) {
	log, err := b.shop.Log(ctx, id)
	if err != nil {
		return "", err
	}
	for _, it := range log.Evidence {
		if it.ID == item {
			return wording.Say(ctx, evidence.Described(it, true)), nil
		}
	}
	return "", nil
}

// addLettering records a mark as a person left it.
func (b *photoBench) addLettering(w http.ResponseWriter, r *http.Request) error {
	if err := readForm(r); err != nil {
		return err
	}
	id := shop.WatchID(r.PathValue("id"))
	it, _, err := b.shop.Intake.PhotoOf(r.Context(), id, r.PathValue("blob"))
	if err != nil {
		return err
	}
	m := &evidence.Mark{What: r.PostFormValue("what"), Slot: evidence.Slot(r.PostFormValue("slot")), Photo: it.ID,
		Text: strings.TrimSpace(r.PostFormValue("text"))}
	items, err := b.shop.Intake.RecordHeld(r.Context(), id, b.who(r), allTheSame(r), m)
	var odd *intake.Doubtful
	if errors.As(err, &odd) {
		d, o, err := b.letteringData(r)
		if err != nil {
			return err
		}
		d.Odd, d.OddMark = odd.Doubts, m
		if err := b.readLettering(r.Context(), &d, o); err != nil {
			return err
		}
		w.WriteHeader(http.StatusUnprocessableEntity)
		return photobench.LetteringPage(d).Render(r.Context(), w)
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, photobench.LetteringPath(string(id), r.PathValue("blob"))+"?added="+
		url.QueryEscape(string(items[0].ID)), http.StatusSeeOther)
	return nil
}
