package intake_test

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"slices"
	"testing"

	"midcase/internal/shop/intake"
	"midcase/internal/shop/shoptest"
	"midcase/photo"
)

// shot is a picture in one of three manners, none like the other: a dark disc, a bright bar, a field of squares.
func shot(t *testing.T, manner, n int) []byte {
	t.Helper()
	const side = 240
	img := image.NewRGBA(image.Rect(0, 0, side, side))
	for y := range side {
		for x := range side {
			v := uint8(200 + n)
			dx, dy := x-side/2, y-side/2
			switch {
			case manner == 0 && dx*dx+dy*dy < (70+n)*(70+n):
				v = 30
			case manner == 1 && dx > -20-n && dx < 20+n:
				v = 250
			case manner == 1:
				v = 60
			case manner == 2 && (x/(12+n%4)+y/(12+n%4))%2 == 0:
				v = 90
			}
			img.Set(x, y, color.RGBA{v, v, uint8(max(0, int(v)-10*manner)), 255})
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// A picture of many is described before anything is kept; what is none is refused.
func TestAShotIsLookedAt(t *testing.T) {
	b := shoptest.New(t)
	s, err := b.Intake.LookAt(t.Context(), jpegOf(t, 900, 600))
	if err != nil || len(s.SHA) != 64 || s.Info.WidthPx != 900 || s.Info.HeightPx != 600 {
		t.Fatalf("%+v, %v", s.Info, err)
	}
	small, err := jpeg.DecodeConfig(bytes.NewReader(s.Small))
	if err != nil || small.Width != intake.ShotPx || small.Height >= small.Width {
		t.Errorf("the small one is %d x %d, %v", small.Width, small.Height, err)
	}
	if n := b.BlobFiles(t); n != 0 {
		t.Errorf("%d files were kept", n)
	}
	if _, err := b.Intake.LookAt(t.Context(), []byte("not a picture")); err == nil {
		t.Error("text was taken for a picture")
	}
}

// Views are told apart by the drawn pictures until the shop has sorted enough of its own, and by those from then on.
func TestViewsAreLearnedFromTheShopsOwn(t *testing.T) {
	b, ctx := shoptest.New(t), t.Context()
	id := b.Offered(t)
	if _, own, err := b.Intake.ViewModel(ctx); err != nil || own != 0 {
		t.Fatalf("a new shop learned from %d of its own, %v", own, err)
	}
	views := []string{"front", "back", "papers"}
	for n := range 8 {
		for manner, view := range views {
			if _, err := b.Intake.AddPhoto(ctx, id, view, "", bytes.NewReader(shot(t, manner, n)), "Ines"); err != nil {
				t.Fatal(err)
			}
		}
	}
	if _, own, err := b.Intake.ViewModel(ctx); err != nil || own != 0 {
		t.Errorf("learned from %d pictures nobody looked at yet, %v", own, err)
	}
	b.Intake.LearnLooks(ctx)
	m, own, err := b.Intake.ViewModel(ctx)
	if err != nil || own != 24 {
		t.Fatalf("learned from %d of 24, %v", own, err)
	}
	for manner, view := range views {
		fresh := shot(t, manner, 12)
		s, err := b.Intake.LookAt(ctx, fresh)
		if err != nil {
			t.Fatal(err)
		}
		if got, _ := m.Of(s.Look); got != view {
			t.Errorf("a picture as those called %s is taken for %s", view, got)
		}
		if has, err := b.Intake.HasPicture(ctx, id, s.SHA); err != nil || has {
			t.Errorf("the watch has a picture that it was never given: %t, %v", has, err)
		}
	}
	known, err := b.Intake.LookAt(ctx, shot(t, 0, 0))
	if err != nil {
		t.Fatal(err)
	}
	if has, err := b.Intake.HasPicture(ctx, id, known.SHA); err != nil || !has {
		t.Errorf("its own picture is not known: %t, %v", has, err)
	}
	if photo.DrawnViews() == m {
		t.Error("still the drawn ones")
	}
}

// The same folder can be chosen again: what was sorted is known by name, size and day.
func TestFilesAreRememberedAsSorted(t *testing.T) {
	b, ctx := shoptest.New(t), t.Context()
	files := []string{"IMG_1.jpg|1200|2026-01-01", "IMG_2.jpg|900|2026-01-01"}
	before := func(want ...bool) {
		t.Helper()
		if got, err := b.Intake.SortedBefore(ctx, files); err != nil || !slices.Equal(got, want) {
			t.Errorf("sorted before: %v, %v; want %v", got, err, want)
		}
	}
	before(false, false)
	if err := b.Intake.NoteSorted(ctx, []string{files[1], ""}); err != nil {
		t.Fatal(err)
	}
	before(false, true)
	var many []string
	for n := range 40_000 {
		many = append(many, fmt.Sprint(n))
	}
	if err := b.Intake.NoteSorted(ctx, many); err != nil {
		t.Fatal(err)
	}
	before(false, false) // the oldest marks are let go
}
