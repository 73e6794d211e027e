package web

import (
	"context"
	"errors"
	"fmt"
	"image"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"sync"

	"midcase/condition"
	"midcase/evidence"
	"midcase/internal/picture"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/web/pages/photobench"
	"midcase/internal/web/pages/wording"
	"midcase/photo"
)

// photoBench serves the pages on which pictures are measured. It keeps the picture that
// was opened last, so that picking one point more does not read the file again, and the
// dials that were laid on each other last.
type photoBench struct {
	*site
	small  *thumbnails
	mu     sync.Mutex
	opened []intake.OpenedPhoto // the latest first
	laid   []laidDials
}

// openPictures is how many decoded pictures are kept: two, since dials are laid on each
// other in pairs.
const openPictures = 2

// benchPath is the address of a photograph of a watch.
const benchPath = "/watches/{id}/photos/{blob}"

func (b *photoBench) routes(mux *http.ServeMux) {
	mux.Handle("GET "+benchPath+"/bench", b.page(b.show))
	mux.Handle("POST "+benchPath+"/bench", b.page(b.add))
	mux.Handle("POST "+benchPath+"/bench/undo", b.page(b.undo))
	mux.Handle("GET "+benchPath+"/lettering", b.page(b.lettering))
	mux.Handle("POST "+benchPath+"/lettering", b.page(b.addLettering))
	mux.Handle("GET "+benchPath+"/shown.jpg", b.page(b.shown))
	mux.Handle("GET "+benchPath+"/listing.jpg", b.page(b.listingJPEG))
	mux.Handle("GET "+benchPath+"/beside", b.page(b.beside))
	mux.Handle("GET "+benchPath+"/beside/{view}", b.page(b.besideView))
	mux.Handle("GET /photo-target.pdf", b.page(b.target))
}

// open opens a picture of a watch, or takes the one that was open. One picture is
// decoded at a time, since a large one takes much memory.
func (b *photoBench) open(ctx context.Context, id shop.WatchID, blob string) (intake.OpenedPhoto, error) {
	it, _, err := b.shop.Intake.PhotoOf(ctx, id, blob)
	if err != nil {
		return intake.OpenedPhoto{}, err
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	for i, o := range b.opened {
		if o.Photo.Blob == blob && o.Item.ID == it.ID {
			b.opened = append([]intake.OpenedPhoto{o}, slices.Delete(b.opened, i, i+1)...)
			return o, nil
		}
	}
	if len(b.opened) >= openPictures {
		b.opened = b.opened[:openPictures-1]
	}
	o, err := b.shop.Intake.OpenPhoto(ctx, id, blob)
	if err != nil {
		return o, err
	}
	b.opened = append([]intake.OpenedPhoto{o}, b.opened...)
	return o, nil
}

// data is the page without an answer.
func (b *photoBench) data(r *http.Request) (photobench.Data, intake.OpenedPhoto, error) {
	ctx := r.Context()
	watch, err := b.shop.Watch(ctx, shop.WatchID(r.PathValue("id")))
	if err != nil {
		return photobench.Data{}, intake.OpenedPhoto{}, err
	}
	o, err := b.open(ctx, watch.ID, r.PathValue("blob"))
	if err != nil {
		return photobench.Data{}, o, err
	}
	if err := readForm(r); err != nil {
		return photobench.Data{}, o, err
	}
	d := photobench.Data{Watch: watch, Blob: o.Photo.Blob, Photo: o.Photo, Mode: r.FormValue("do"),
		Form: photobench.NewForm(r.Form), By: r.FormValue("by"), Caution: o.Seen.Caution}
	d.Width, d.Height = o.Image.Bounds().Dx(), o.Image.Bounds().Dy()
	if d.Mode == "" {
		d.Mode = usualMode(o.Photo.View)
	}
	if d.By == "" {
		d.By = b.user(r.Context())
	}
	title, ok := photobench.ModeTitle(d.Mode)
	if !ok {
		return d, o, fmt.Errorf("bench %q: %w", d.Mode, shop.ErrNotFound)
	}
	d.Frame = b.frame("stock", title)
	d.Known, err = b.known(ctx, watch.ID, o.Photo)
	if err != nil {
		return d, o, err
	}
	err = b.otherPictures(ctx, &d, o.Item.ID)
	return d, o, err
}

// usualMode is what a picture of this view is mostly used for.
func usualMode(view string) string {
	switch view {
	case "dial":
		return photobench.Dial
	case "bracelet":
		return photobench.Bracelet
	}
	return photobench.Sizes
}

func (b *photoBench) known(ctx context.Context, id shop.WatchID, p *evidence.Photo) (photobench.Known, error) {
	_, _, ref, err := b.shop.Intake.FittedVariant(ctx, id, evidence.Dial)
	return photobench.Known{Ref: ref, Recorded: p.MMPerPx}, err
}

// otherPictures sets the pictures of the watch, and the findings placed on this one.
func (b *photoBench) otherPictures(ctx context.Context, d *photobench.Data, item evidence.ID) error {
	log, err := b.shop.Log(ctx, d.Watch.ID)
	if err != nil {
		return err
	}
	file := evidence.Fold(log, b.shop.Now())
	for _, p := range evidence.All[*evidence.Photo](file) {
		d.Others = append(d.Others, photobench.Other{Watch: string(d.Watch.ID), Blob: p.Data.Blob,
			View: strings.ReplaceAll(p.Data.View, "_", " "), Current: p.Data.Blob == d.Blob})
	}
	d.Before = readBefore(ctx, file, d, item)
	for _, f := range evidence.All[*evidence.Finding](file) {
		if f.Data.Photo == item && f.Data.RadiusPx > 0 {
			d.Placed = append(d.Placed, photobench.Placed{Says: wording.Say(ctx, evidence.Described(f.Item, true)), Item: f.Item.ID,
				At: f.Data.At, RadiusPx: f.Data.RadiusPx})
		}
	}
	return nil
}

// readBefore lists what is on record from a picture; readings of one set of picks, as
// the plots of a dial, are one.
func readBefore(ctx context.Context, file evidence.File, d *photobench.Data, item evidence.ID) []photobench.Before {
	var out []photobench.Before
	seen := map[string]bool{}
	for _, it := range file.Items {
		says := wording.Say(ctx, evidence.Described(it, true))
		switch x := it.Data.(type) {
		case *evidence.Dimension:
			if x.Photo != item || len(x.Picks) == 0 {
				continue
			}
		case *evidence.Reading:
			if x.Photo != item || len(x.Picks) == 0 || seen[string(x.Picks)] {
				continue
			}
			seen[string(x.Picks)] = true
			if x.Lab != nil {
				says = "colours of the dial, read " + wording.Moment(ctx, it.At)
			}
		default:
			continue
		}
		if q, ok := photobench.Reopen(it.Data); ok {
			out = append(out, photobench.Before{Says: says, Path: photobench.Path(string(d.Watch.ID), d.Blob) + "?" +
				q.Encode()})
		}
	}
	return out
}

func subject(o intake.OpenedPhoto) photobench.Subject {
	return photobench.Subject{Photo: o.Photo, Width: o.Image.Bounds().Dx(), Height: o.Image.Bounds().Dy(),
		Focal35MM: o.Seen.Focal35MM}
}

func (b *photoBench) show(w http.ResponseWriter, r *http.Request) error {
	d, o, err := b.data(r)
	if err != nil {
		return err
	}
	for _, id := range r.Form["added"] {
		d.Added = append(d.Added, evidence.ID(id))
	}
	if r.FormValue("find") != "" && photobench.Finds(d.Mode) {
		if err := b.find(&d, o); err != nil {
			return err
		}
	}
	if d.Form.Values.Get("ask") != "" {
		if err := b.answer(r.Context(), &d, o); err != nil {
			return err
		}
	}
	return b.render(w, r, d)
}

// find puts what is found in the picture into the form, as if somebody had pointed at it.
func (b *photoBench) find(d *photobench.Data, o intake.OpenedPhoto) error {
	f, err := photo.Find(o.Image, photo.Ask{Sizes: intake.KnownSizes(d.Known.Ref)})
	if err != nil {
		return err
	}
	v, found, ok := photobench.FoundForm(d.Mode, f)
	if d.Found = &found; ok {
		d.Form = photobench.NewForm(v)
	}
	return nil
}

func (b *photoBench) render(w http.ResponseWriter, r *http.Request, d photobench.Data) error {
	d.Groups, d.Rest = photobench.Fill(b.groups(d), d.Form)
	if len(d.Form.Problems) > 0 {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	return photobench.Page(d).Render(r.Context(), w)
}

func (b *photoBench) groups(d photobench.Data) []photobench.Group {
	switch d.Mode {
	case photobench.Bracelet:
		return photobench.BraceletGroups(d.Known)
	case photobench.Dial:
		return photobench.DialGroups(d.Known)
	case photobench.Finding:
		return photobench.FindingGroups(evidence.Slot(d.Form.Values.Get("slot")))
	case photobench.Listing:
		return photobench.ListingGroups()
	}
	return photobench.SizesGroups(d.Known, photobench.Rows(d.Form))
}

// answer reads the figures; what the points cannot give is noted at their fields.
func (b *photoBench) answer(ctx context.Context, d *photobench.Data, o intake.OpenedPhoto) error {
	var err error
	switch d.Mode {
	case photobench.Sizes:
		picks := photobench.SizesPicks(d.Form, subject(o))
		if len(d.Form.Problems) == 0 {
			var m photo.Measurement
			if m, err = photo.Measure(o.Image, picks); err == nil {
				d.Sizes = &photobench.SizesAnswer{Measured: m}
			}
		}
	case photobench.Bracelet:
		picks, pull := photobench.BraceletPicks(d.Form, subject(o))
		if len(d.Form.Problems) == 0 {
			d.Bracelet, err = b.stretch(ctx, d.Watch.ID, o.Image, picks, pull)
		}
	case photobench.Dial:
		markers, merr := b.markers(ctx, d.Watch.ID)
		if merr != nil {
			return merr
		}
		picks := photobench.DialPicks(d.Form, markers)
		if len(d.Form.Problems) == 0 {
			var rep photo.PlotReport
			if rep, err = photo.Plots(o.Image, picks); err == nil {
				d.Plots = &photobench.PlotsAnswer{Report: rep, Markers: markers}
			}
		}
	case photobench.Listing:
		var l picture.Listing
		if l, err = photobench.ListingWish(d.Form, o.Image); err == nil && len(d.Form.Problems) == 0 {
			var says []string
			if says, err = l.Says(o.Image, o.Seen); err == nil {
				d.Listing = &photobench.ListingAnswer{Says: says}
			} else {
				d.Form.Problems = append(d.Form.Problems, evidence.Problem{Field: "square", Found: strings.TrimPrefix(err.Error(), "picture for a listing: "), Want: "a square inside the picture, and a line of two points far apart"})
				err = nil
			}
		}
	}
	return b.fault(d.Form, err)
}

// fault notes a problem of the picks at its field; other errors come back.
func (b *photoBench) fault(f *photobench.Form, err error) error {
	if p, ok := intake.AsPickProblem(err); ok {
		f.Fault(p)
		return nil
	}
	return err
}

// markers are the hours at which the dial on record has an applied marker.
func (b *photoBench) markers(ctx context.Context, id shop.WatchID) ([]int, error) {
	variant, _, ref, err := b.shop.Intake.FittedVariant(ctx, id, evidence.Dial)
	if err != nil || ref == nil {
		return nil, err
	}
	if s, ok := ref.Slot(evidence.Dial); ok {
		if v, ok := s.Variant(variant); ok {
			return v.Markers, nil
		}
	}
	return nil, nil
}

// stretch measures a bracelet and sets it beside the rubric and the book.
func (b *photoBench) stretch(ctx context.Context, id shop.WatchID, img image.Image, picks photo.Picks,
	pull intake.Pull) (*photobench.BraceletAnswer, error) {
	m, err := photo.Measure(img, picks)
	if err != nil {
		return nil, err
	}
	a := &photobench.BraceletAnswer{Measured: m}
	if x := m.Droop; x != nil {
		if g, ok := intake.StretchGrade(condition.Measure{ID: "droop", Kind: "stretch_droop", Value: x.DroopMM,
			U: 1.96 * x.SE * x.FreeLengthMM, FreeLengthMM: x.FreeLengthMM}); ok {
			a.Droop = &g
		}
	}
	if len(m.Lengths) == 0 {
		return a, nil
	}
	a.Stretch = &photobench.Stretch{Links: pull.Links, PullN: pull.N}
	variant, maker, _, err := b.shop.Intake.FittedVariant(ctx, id, evidence.Bracelet)
	if err != nil || maker == nil {
		return a, err
	}
	if book, ok := maker.Bracelet(variant); ok && book.PitchMM > 0 {
		a.Stretch.PitchMM = book.PitchMM
		a.Stretch.Percent, a.Stretch.SE = photo.Elongation(m.Lengths[0].MM, m.Lengths[0].SE, pull.Links, book.PitchMM,
			0)
		if g, ok := intake.StretchGrade(condition.Measure{ID: "length", Kind: "stretch_length",
			Value: max(0, a.Stretch.Percent), U: 1.96 * a.Stretch.SE, PullN: pull.N}); ok {
			a.Stretch.Grade = &g
		}
	}
	return a, nil
}

// add measures once more and records what came out, or a finding at its place.
func (b *photoBench) add(w http.ResponseWriter, r *http.Request) error {
	d, o, err := b.data(r)
	if err != nil {
		return err
	}
	ctx, id := r.Context(), d.Watch.ID
	var items []evidence.Item
	switch d.Mode {
	case photobench.Sizes:
		picks := photobench.SizesPicks(d.Form, subject(o))
		if len(d.Form.Problems) == 0 {
			items, err = b.shop.Intake.AddMeasured(ctx, id, o, picks, intake.Pull{}, r.FormValue("only"), d.By)
		}
	case photobench.Bracelet:
		picks, pull := photobench.BraceletPicks(d.Form, subject(o))
		if len(d.Form.Problems) == 0 {
			items, err = b.shop.Intake.AddMeasured(ctx, id, o, picks, pull, "", d.By)
		}
	case photobench.Dial:
		markers, merr := b.markers(ctx, id)
		if merr != nil {
			return merr
		}
		picks := photobench.DialPicks(d.Form, markers)
		if len(d.Form.Problems) == 0 {
			items, err = b.shop.Intake.AddPlots(ctx, id, o, picks, d.By)
		}
	case photobench.Finding:
		var f *evidence.Finding
		if f = photobench.FindingOf(d.Form, o.Item.ID, d.Width, d.Height); len(d.Form.Problems) == 0 {
			items, err = b.shop.Intake.Record(ctx, id, d.By, f)
		}
	default:
		return fmt.Errorf("bench %q: %w", d.Mode, shop.ErrNotFound)
	}
	var invalid *shop.Invalid
	if errors.As(err, &invalid) {
		d.Form.Problems, err = append(d.Form.Problems, invalid.Problems...), nil
	}
	if err := b.fault(d.Form, err); err != nil {
		return err
	}
	if len(d.Form.Problems) > 0 {
		return b.render(w, r, d)
	}
	q := again(r.Form)
	if d.Mode == photobench.Finding {
		q = url.Values{"do": {photobench.Finding}}
	}
	for _, it := range items {
		q.Add("added", string(it.ID))
	}
	http.Redirect(w, r, photobench.Path(string(id), d.Blob)+"?"+q.Encode(), http.StatusSeeOther)
	return nil
}

// again is the answer once more, without what belongs to one press of a button.
func again(form url.Values) url.Values {
	q := url.Values{}
	for name, v := range form {
		if name != "only" && name != "by" && name != "added" && name != "of" && len(v) > 0 && v[0] != "" {
			q.Set(name, v[0])
		}
	}
	return q
}

// undo withdraws what was just added and shows the answer again.
func (b *photoBench) undo(w http.ResponseWriter, r *http.Request) error {
	if err := readForm(r); err != nil {
		return err
	}
	id := shop.WatchID(r.PathValue("id"))
	var of []evidence.ID
	for _, x := range r.Form["of"] {
		of = append(of, evidence.ID(x))
	}
	if err := b.shop.Intake.WithdrawAll(r.Context(), id, of, "added by mistake", b.user(r.Context())); err != nil {
		return err
	}
	http.Redirect(w, r, photobench.Path(string(id), r.PathValue("blob"))+"?"+again(r.Form).Encode(),
		http.StatusSeeOther)
	return nil
}

// readForm reads the fields of a request.
func readForm(r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		return &shop.Invalid{What: "read the form", Problems: evidence.Problems{{Field: "form", Found: err.Error(),
			Want: "fields as a browser sends them"}}}
	}
	return nil
}
