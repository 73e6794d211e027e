package intake_test

import (
	"bytes"
	"errors"
	"math"
	"testing"

	"midcase/evidence"
	"midcase/internal/demo/draw"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/shoptest"
	"midcase/photo"
)

// What is read in a photo keeps the picks alone that give it again; taking it back
// takes all back.
func TestReadingsOfAPhoto(t *testing.T) {
	s := shoptest.New(t)
	ctx := t.Context()
	w, err := s.Intake.TakeIn(ctx, intake.Arrival{Maker: "Corvane", Reference: "KR-1"}, "Ines")
	if err != nil {
		t.Fatal(err)
	}
	watch, shot := draw.Watch{Kind: "time_only", MidCaseMM: 36, Seed: 2}, draw.Shot{WidthPx: 900, HeightPx: 720}
	tr := draw.TruthOf(watch, shot)
	it, err := s.Intake.AddPhoto(ctx, w.ID, "front", "", bytes.NewReader(draw.JPEG(draw.Front(watch, shot), 90)),
		"Ines")
	if err != nil {
		t.Fatal(err)
	}
	p, err := s.Intake.OpenPhoto(ctx, w.ID, it.Data.(*evidence.Photo).Blob)
	if err != nil {
		t.Fatal(err)
	}
	var rim []photo.Point
	for i := range 6 {
		sn, c := math.Sincos(float64(i))
		rim = append(rim, photo.Point{tr.MidCase.X + tr.MidCase.A*c, tr.MidCase.Y + tr.MidCase.B*sn})
	}
	a, b := photo.Point(tr.LugToLug[0][0]), photo.Point(tr.LugToLug[0][1])
	picks := photo.Picks{Scale: &photo.ScalePick{Kind: "points", A: &a, B: &b, MM: tr.Watch.LugToLugMM},
		Lengths: []photo.LengthPick{{Name: "lug_width", A: photo.Point(tr.LugWidth[0][0]),
			B: photo.Point(tr.LugWidth[0][1])}, {Name: "bevel of a lug", A: photo.Point{100, 100}, B: photo.Point{130,
			100}, AsPicked: true}},
		Circles: []photo.CirclePick{{Name: "mid_case_diameter", Through: rim}}}
	items, err := s.Intake.AddMeasured(ctx, w.ID, p, picks, intake.Pull{}, "", "Ines")
	if err != nil {
		t.Fatal(err)
	}
	if len(items) != 3 {
		t.Fatalf("%d items", len(items))
	}
	if r, ok := items[1].Data.(*evidence.Reading); !ok || r.What != "bevel of a lug" || r.LengthMM <= 0 ||
		r.Photo != it.ID {
		t.Errorf("a name that is no kind of dimension became %+v", items[1].Data)
	}
	var ids []evidence.ID
	for i, x := range items {
		ids = append(ids, x.ID)
		d, ok := x.Data.(*evidence.Dimension)
		if !ok {
			continue
		}
		again, err := photo.ReadPicks(d.Picks)
		if err != nil {
			t.Fatal(err)
		}
		m, err := photo.Measure(p.Image, again)
		if err != nil || len(m.Lengths)+len(m.Circles) > 2 {
			t.Fatalf("item %d: %v, %+v", i, err, again)
		}
		mm := 0.0
		if len(m.Lengths) > 0 {
			mm = m.Lengths[0].MM
		} else {
			mm = m.Circles[0].DiameterMM
		}
		if math.Abs(mm-d.MM) > 0.001 {
			t.Errorf("%s was %.3f mm and is %.3f when it is read again", d.What, d.MM, mm)
		}
	}
	if err := s.Intake.WithdrawAll(ctx, w.ID, ids, "added by mistake", "Ines"); err != nil {
		t.Fatal(err)
	}
	log, err := s.Log(ctx, w.ID)
	if err != nil {
		t.Fatal(err)
	}
	if f := evidence.Fold(log, s.Now()); len(evidence.All[*evidence.Dimension](f)) != 0 || len(f.Withdrawn) != 3 {
		t.Errorf("%d withdrawn", len(f.Withdrawn))
	}
}

func TestReadingsOfAPhotoRefused(t *testing.T) {
	s := shoptest.New(t)
	ctx := t.Context()
	w, err := s.Intake.TakeIn(ctx, intake.Arrival{Maker: "Corvane", Reference: "KR-1"}, "Ines")
	if err != nil {
		t.Fatal(err)
	}
	other, err := s.Intake.TakeIn(ctx, intake.Arrival{Maker: "Corvane", Reference: "KR-1"}, "Ines")
	if err != nil {
		t.Fatal(err)
	}
	it, err := s.Intake.AddPhoto(ctx, w.ID, "front", "", bytes.NewReader(draw.JPEG(draw.Front(draw.Watch{},
		draw.Shot{WidthPx: 300, HeightPx: 300}), 80)), "Ines")
	if err != nil {
		t.Fatal(err)
	}
	blob := it.Data.(*evidence.Photo).Blob
	if _, err := s.Intake.OpenPhoto(ctx, other.ID, blob); !errors.Is(err, shop.ErrNotFound) {
		t.Errorf("the picture of another watch: %v", err)
	}
	p, err := s.Intake.OpenPhoto(ctx, w.ID, blob)
	if err != nil {
		t.Fatal(err)
	}
	scale := &photo.ScalePick{Kind: "points", A: &photo.Point{10, 10}, B: &photo.Point{210, 10}, MM: 20}
	var invalid *shop.Invalid
	if _, err := s.Intake.AddMeasured(ctx, w.ID, p, photo.Picks{Scale: scale}, intake.Pull{}, "",
		"Ines"); !errors.As(err, &invalid) {
		t.Errorf("nothing to measure: %v", err)
	}
	pulled := photo.Picks{Scale: scale, Lengths: []photo.LengthPick{{Name: "bracelet_length_under_pull",
		A: photo.Point{10, 50}, B: photo.Point{200, 50}}}}
	if _, err := s.Intake.AddMeasured(ctx, w.ID, p, pulled, intake.Pull{}, "", "Ines"); !errors.As(err, &invalid) ||
		invalid.Problems[0].Field != "links" {
		t.Errorf("a pull without links: %v", err)
	}
	_, err = s.Intake.AddMeasured(ctx, w.ID, p, photo.Picks{Lengths: pulled.Lengths}, intake.Pull{Links: 3, N: 5}, "",
		"Ines")
	if q, ok := intake.AsPickProblem(err); !ok || q.Field != "scale" {
		t.Errorf("no scale: %v", err)
	}
	if log, _ := s.Log(ctx, w.ID); len(log.Evidence) != 1 {
		t.Errorf("%d items kept", len(log.Evidence))
	}
}
