package intake

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"math"
	"slices"

	"midcase/condition"
	"midcase/evidence"
	"midcase/internal/picture"
	"midcase/internal/shop"
	"midcase/photo"
	"midcase/refbook"
)

// OpenedPhoto is a photo of a watch, opened for measuring.
type OpenedPhoto struct {
	Item  evidence.Item
	Photo *evidence.Photo
	Image image.Image // upright and in sRGB
	Seen  picture.Seen
}

// PhotoOf finds the photo in force of a watch by the SHA-256 of its bytes.
func (r *Room) PhotoOf(ctx context.Context, id shop.WatchID, blob string) (evidence.Item, *evidence.Photo, error) {
	log, err := r.shop.Log(ctx, id)
	if err != nil {
		return evidence.Item{}, nil, err
	}
	for _, p := range evidence.All[*evidence.Photo](evidence.Fold(log, r.shop.Now())) {
		if p.Data.Blob == blob {
			return p.Item, p.Data, nil
		}
	}
	return evidence.Item{}, nil, shop.NotFound(fmt.Sprintf("%s has no picture %q in force", log.Title, blob))
}

// OpenPhoto opens a photo of a watch for measuring: upright, its colour profile
// followed where it can be.
func (r *Room) OpenPhoto(ctx context.Context, id shop.WatchID, blob string) (OpenedPhoto, error) {
	it, p, err := r.PhotoOf(ctx, id, blob)
	if err != nil {
		return OpenedPhoto{}, err
	}
	b, err := r.shop.Picture(ctx, blob)
	if err != nil {
		return OpenedPhoto{}, err
	}
	img, seen, err := picture.View(ctx, b)
	if err != nil {
		return OpenedPhoto{}, fmt.Errorf("picture %s: %w", blob, err)
	}
	return OpenedPhoto{Item: it, Photo: p, Image: img, Seen: seen}, nil
}

// Pull says how a length of bracelet was pulled.
type Pull struct {
	Links int
	N     float64 // newton
}

const (
	addPhotoReading = "add what was read from a picture"
	droopSize       = "bracelet_droop"
	pulledSize      = "bracelet_length_under_pull"
	z95             = 1.959964
)

// AddMeasured measures in a photo by its picks and records each figure with its range,
// the photo and the picks from which it can be read again. A name that is a kind of
// dimension becomes a dimension, any other a reading. Picks that give no figure are a
// *photo.PickError; nothing is recorded then. only names the one figure to record, such
// as "length 0" or "circle 2"; empty is all.
func (r *Room) AddMeasured(ctx context.Context, id shop.WatchID, p OpenedPhoto, picks photo.Picks, pull Pull, only,
	by string) ([]evidence.Item, error) {
	m, err := photo.Measure(p.Image, picks)
	if err != nil {
		return nil, err
	}
	var all []evidence.Data
	wanted := func(kind string, i int) bool { return only == "" || only == fmt.Sprintf("%s %d", kind, i) }
	for i, f := range m.Lengths {
		if !wanted("length", i) {
			continue
		}
		part := picks.ForFigure()
		part.Lengths = []photo.LengthPick{picks.Lengths[i]}
		all = append(all, measuredData(p, m, part, f.Name, f.MM, f.SE, pull, middle(f.Ends[0], f.Ends[1])))
	}
	for i, f := range m.Circles {
		if !wanted("circle", i) {
			continue
		}
		part := picks.ForFigure()
		if len(part.Circles) > 0 { // they show the tilt; this one stands first
			part.Circles = slices.Delete(part.Circles, i, i+1)
		}
		part.Circles = append([]photo.CirclePick{picks.Circles[i]}, part.Circles...)
		all = append(all, measuredData(p, m, part, f.Name, f.DiameterMM, f.SE, pull, f.Centre))
	}
	if d := m.Droop; d != nil && wanted("droop", 0) {
		part := picks.ForFigure()
		part.Droop = picks.Droop
		dim := measuredData(p, m, part, droopSize, d.DroopMM, d.SE*d.FreeLengthMM, pull,
			picks.Droop.FreeEnd).(*evidence.Dimension)
		dim.FreeLengthMM, dim.Links = rounded(d.FreeLengthMM, 1), picks.Droop.Links
		all = append(all, dim)
	}
	if len(all) == 0 {
		return nil, shop.Refuse(addPhotoReading, "at0", "nothing to measure", "points of at least one size")
	}
	for _, d := range all {
		if dim, ok := d.(*evidence.Dimension); ok && dim.What == pulledSize && (pull.Links <= 0 || pull.N <= 0) {
			return nil, shop.Refuse(addPhotoReading, "links", "no links or no pull",
				"how many links were measured under which pull")
		}
	}
	return r.Record(ctx, id, by, all...)
}

func measuredData(p OpenedPhoto, m photo.Measurement, picks photo.Picks, name string, mm, se float64, pull Pull,
	at photo.Point) evidence.Data {
	kept := keptPicks(picks)
	plus := roundedUp(z95*se, 3)
	if !slices.Contains(evidence.DimensionKinds(), name) {
		return &evidence.Reading{Photo: p.Item.ID, What: name, At: [2]float64{rounded(at[0], 1), rounded(at[1], 1)},
			LengthMM: rounded(mm, 3), PlusMinus: plus, Picks: kept}
	}
	d := &evidence.Dimension{What: name, MM: rounded(mm, 3), PlusMinusMM: plus,
		Instrument: "picture, scale from " + scaleWords(m.Scale.Kind), Photo: p.Item.ID, Picks: kept}
	if name == pulledSize {
		d.Links, d.PullN = pull.Links, pull.N
	}
	return d
}

func scaleWords(kind string) string {
	switch kind {
	case "square":
		return "a printed square"
	case "circle":
		return "a circle of known size"
	}
	return "two points of known distance"
}

// keptPicks writes picks as they are kept with a reading.
func keptPicks(p photo.Picks) evidence.Picks {
	b, err := json.Marshal(p)
	if err != nil { // numbers that JSON has none for; Measure has refused them before
		return nil
	}
	return b
}

// AddPlots reads the luminous plots and the ground of a dial and records each as a
// reading with the picks.
func (r *Room) AddPlots(ctx context.Context, id shop.WatchID, p OpenedPhoto, picks photo.Picks,
	by string) ([]evidence.Item, error) {
	read, err := photo.Plots(p.Image, picks)
	if err != nil {
		return nil, err
	}
	kept := keptPicks(picks)
	var all []evidence.Data
	add := func(slot evidence.Slot, what string, lab photo.Lab, se float64, at photo.Point, radius float64) {
		l := [3]float64{rounded(lab[0], 2), rounded(lab[1], 2), rounded(lab[2], 2)}
		all = append(all, &evidence.Reading{Photo: p.Item.ID, Slot: slot, What: what,
			At: [2]float64{rounded(at[0], 1), rounded(at[1], 1)}, RadiusPx: rounded(radius, 1), Lab: &l,
			PlusMinus: roundedUp(z95*se, 2), Picks: kept})
	}
	for _, f := range read.Plots {
		if f.Note.IsZero() {
			add(evidence.Dial, fmt.Sprintf("plot %d", f.Hour), f.Lab, f.SE, f.At, f.RadiusPx)
		}
	}
	for i, h := range read.Hands {
		add(evidence.Hands, h.Name+" hand", h.Lab, 0, picks.Hands[i].At, picks.Hands[i].RadiusPx)
	}
	if read.Dial != nil {
		add(evidence.Dial, "dial ground", read.Dial.Lab, 0, photo.Point{}, 0)
	}
	return r.Record(ctx, id, by, all...)
}

// StretchGrade is what the rubric makes of a measured bracelet alone: its droop, or
// its elongation under a pull in per cent.
func StretchGrade(m condition.Measure) (condition.SlotGrade, bool) {
	r, err := condition.Grade(condition.Input{Measures: []condition.Measure{m},
		Fitted: []string{string(evidence.Bracelet)}})
	if err != nil {
		return condition.SlotGrade{}, false
	}
	for _, g := range r.Slots {
		if g.Slot == string(evidence.Bracelet) && g.Known {
			return g, true
		}
	}
	return condition.SlotGrade{}, false
}

// FittedVariant is the version on record in a slot, and the book's entry for the
// reference; ref is nil where the book has none.
func (r *Room) FittedVariant(ctx context.Context, id shop.WatchID, slot evidence.Slot) (variant string,
	maker *refbook.Maker, ref *refbook.Reference, err error) {
	log, err := r.shop.Log(ctx, id)
	if err != nil {
		return "", nil, nil, err
	}
	maker, ref, _ = r.shop.Book(ctx).Reference(log.Maker, log.Reference)
	for _, f := range evidence.All[*evidence.Fitted](evidence.Fold(log, r.shop.Now())) {
		if f.Data.Slot == slot && !f.Data.Absent {
			return f.Data.Variant, maker, ref, nil
		}
	}
	return "", maker, ref, nil
}

// WithdrawAll takes back items that were just added, all or none.
func (r *Room) WithdrawAll(ctx context.Context, id shop.WatchID, of []evidence.ID, reason, by string) error {
	var all []evidence.Data
	for _, x := range of {
		all = append(all, &evidence.Withdrawal{Of: x, Reason: reason})
	}
	if len(all) == 0 {
		return nil
	}
	_, err := r.Record(ctx, id, by, all...)
	return err
}

// AsPickProblem turns a fault of the picks into a problem of the field that it names;
// ok is false for other errors.
func AsPickProblem(err error) (evidence.Problem, bool) {
	var p *photo.PickError
	if !errors.As(err, &p) {
		return evidence.Problem{}, false
	}
	return evidence.Problem{Field: p.Field, Found: p.Found, Want: p.Want}, true
}

func middle(a, b photo.Point) photo.Point { return photo.Point{(a[0] + b[0]) / 2, (a[1] + b[1]) / 2} }

func rounded(x float64, places int) float64 {
	k := math.Pow(10, float64(places))
	return math.Round(x*k) / k
}

// roundedUp never makes an uncertainty smaller.
func roundedUp(x float64, places int) float64 {
	k := math.Pow(10, float64(places))
	return math.Ceil(x*k-1e-9) / k
}
