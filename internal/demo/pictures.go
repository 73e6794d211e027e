package demo

import (
	"fmt"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/internal/demo/draw"
)

// PhotoSpec says what one picture shows and how it was taken.
type PhotoSpec struct {
	File  string      // in the folder of pictures
	Item  evidence.ID // the photo item whose blob it is
	View  string      // as in evidence.PhotoViews
	Watch draw.Watch
	Shot  draw.Shot
}

// picturePx is the side of the square pictures.
const picturePx = 720

// rich is the number of watches from the front of the stock that are photographed
// from all sides; the others get one picture, so that the world is soon made.
const rich = 16

// Draw makes the picture as a JPEG: the same spec gives the same bytes.
func (p PhotoSpec) Draw() ([]byte, error) {
	b := draw.Encode(p.Watch, p.Shot)
	if len(b) == 0 {
		return nil, fmt.Errorf("picture %s could not be encoded", p.File)
	}
	return b, nil
}

// picture takes the photos. Parts that are worn or wrong show in them.
func (r *record) picture() {
	look := r.x.look(uint64(r.index + 1))
	views := []string{"front"}
	if r.index < rich {
		views = append(views, "dial", "back")
		if look.Band.Kind != "strap" {
			views = append(views, "bracelet")
		}
	}
	if r.index == 0 || r.x.drying || r.x.plan.has(WrongCalibre) {
		views = append(views, "movement")
	}
	if r.index < rich && r.x.plan.set != "watch" {
		views = append(views, "papers")
	}
	for i, v := range views {
		r.photo(v, look, i)
	}
}

func (r *record) photo(view string, look draw.Watch, n int) {
	s := r.s
	shot := draw.Shot{WidthPx: picturePx, HeightPx: picturePx, View: view, RollDeg: to(s.between(-6, 6), 0.1),
		TiltDeg: to(s.between(0, 4), 0.1), TiltAxisDeg: to(s.between(0, 180), 1),
		LightFalloff: to(s.between(0.1, 0.3), 0.01), NoiseSD: 1.5, BlurPx: 0.5, JPEGQuality: 88,
		Gloss: to(s.between(0, 0.5), 0.01)}
	if view == "front" {
		shot.Background = pick(s, "slate", "linen", "walnut")
	}
	photo := &evidence.Photo{Blob: fmt.Sprintf("%02d-%s-%s-%d-%s.jpg", r.index+1, r.x.maker.ID, slug(r.x.ref.ID), n+1,
		view), View: view,
		Taken: edtf.MustParse(r.at.Format("2006-01-02")), WidthPx: picturePx, HeightPx: picturePx,
		MediaType: "image/jpeg", Caption: captions[view]}
	switch view { // the scale was taken from a ruler beside the watch
	case "front":
		shot.MMPerPx = to(draw.TruthOf(look, shot).MMPerPx, 0.0001)
	case "dial":
		shot.MMPerPx = to(draw.TruthOfDial(look, shot).MMPerPx, 0.0001)
	}
	photo.MMPerPx = shot.MMPerPx
	id := r.add(owner, photo, "")
	r.shot[view] = id
	r.photos = append(r.photos, PhotoSpec{File: photo.Blob, Item: id, View: view, Watch: look, Shot: shot})
}

var captions = map[string]string{"front": "the watch from above", "dial": "dial, close up", "back": "case back",
	"bracelet": "bracelet laid out", "movement": "movement", "papers": "guarantee paper"}

// readings are colours of the plots read from the dial picture, where it was taken.
func (r *record) readings() {
	photo := r.shot["dial"]
	if photo == "" || !r.x.lumed() {
		return
	}
	var spec PhotoSpec
	for _, p := range r.photos {
		if p.Item == photo {
			spec = p
		}
	}
	for _, plot := range draw.TruthOfDial(spec.Watch, spec.Shot).Plots {
		lab := [3]float64(plot.Lab)
		for k := range lab {
			lab[k] = to(lab[k]+0.6*r.s.NormFloat64(), 0.1)
		}
		at := [2]float64{to(plot.At[0], 0.1), to(plot.At[1], 0.1)}
		r.add(owner, &evidence.Reading{Photo: photo, Slot: evidence.Dial, What: fmt.Sprintf("plot %d", plot.Hour),
			At: at, RadiusPx: to(0.8*plot.RadiusPx, 0.1), Lab: &lab, PlusMinus: 1}, "")
	}
}
