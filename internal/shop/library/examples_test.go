package library_test

import (
	"bytes"
	"errors"
	"image"
	"image/color"
	"image/png"
	"math"
	"strings"
	"testing"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/examples"
	"midcase/internal/shop"
	"midcase/internal/shop/library"
	"midcase/internal/shop/rights"
	"midcase/internal/shop/shoptest"
)

func pictureOf(t *testing.T, light func(x, y int) uint8, side int) *bytes.Reader {
	t.Helper()
	img := image.NewGray(image.Rect(0, 0, side, side))
	for y := range side {
		for x := range side {
			img.SetGray(x, y, color.Gray{light(x*1000/side, y*1000/side)})
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return bytes.NewReader(b.Bytes())
}

func waves(x, y int) uint8 {
	return uint8(128 + 100*math.Sin(float64(x)/90)*math.Cos(float64(y)/70))
}

// The same watch is recognised by its number, a picture like another is asked about, what is withdrawn stays on record
// and no longer counts.
func TestSeenExamples(t *testing.T) {
	b, ctx := shoptest.New(t), t.Context()
	flat := shop.SeenExample{Maker: "corvane", Reference: "kr-1", Serial: "214 459", Place: "fair",
		Parts: map[evidence.Slot]string{evidence.Bezel: "bezel-flat"}}
	first, err := b.Library.AddExample(ctx, library.Seen{SeenExample: flat, File: pictureOf(t, waves, 400)}, "Ines")
	if err != nil || first.Maker != "Corvane" || first.Reference != "KR-1" || first.Picture == "" {
		t.Fatalf("kept %+v, %v", first, err)
	}
	if _, err := b.Library.AddExample(ctx, library.Seen{SeenExample: flat}, "Ines"); !isInvalid(err) ||
		!strings.Contains(err.Error(), "on record as “214 459”") {
		t.Errorf("the same number: %v", err)
	}
	other := flat
	other.Serial = "218 001"
	var alike *library.Alike
	if _, err := b.Library.AddExample(ctx, library.Seen{SeenExample: other, File: pictureOf(t, waves, 300)},
		"Ines"); !errors.As(err, &alike) || alike.Of.ID != first.ID {
		t.Fatalf("a like picture: %v", err)
	}
	other.Another = first.ID
	second, err := b.Library.AddExample(ctx, library.Seen{SeenExample: other, File: pictureOf(t, waves, 300)}, "Ines")
	if err != nil {
		t.Fatalf("a like picture of another watch: %v", err)
	}
	if _, err := b.Library.WithdrawExample(ctx, second.ID, " ", "Ines"); !isInvalid(err) {
		t.Errorf("withdrawn without a reason: %v", err)
	}
	if _, err := b.Library.WithdrawExample(ctx, second.ID, "it was the same watch", "Ines"); err != nil {
		t.Fatal(err)
	}
	if _, err := b.Library.WithdrawExample(ctx, second.ID, "again", "Ines"); !errors.Is(err, shop.ErrNotFound) {
		t.Errorf("withdrawn twice: %v", err)
	}
	left, err := b.Library.SeenExamples(ctx, "Corvane", "KR-1")
	if err != nil || len(left) != 1 || left[0].ID != first.ID {
		t.Errorf("left %+v, %v", left, err)
	}
	if _, err := b.Library.AddExample(rights.With(ctx, rights.Viewer), library.Seen{SeenExample: shop.SeenExample{
		Maker: "Corvane", Reference: "KR-1", Serial: "7", Parts: flat.Parts}}, "Vera"); err == nil {
		t.Error("who may only look added an example")
	}
}

// A table read twice adds nothing twice, also where an example has no number; two that say the same stay two.
func TestTableOfExamples(t *testing.T) {
	b, ctx := shoptest.New(t), t.Context()
	e := examples.Example{ID: "line 2", Maker: "Corvane", Reference: "KR-1", Made: edtf.MustParse("1964-05"),
		Parts: map[evidence.Slot]string{evidence.Bezel: "bezel-flat"}}
	numbered := e
	numbered.ID, numbered.Serial = "line 3", "214459"
	undated := e
	undated.ID, undated.Made = "line 4", edtf.Date{}
	table := []examples.Example{e, e, numbered, numbered, undated}
	got, err := b.Library.AddExamples(ctx, table, "Ines")
	if err != nil || len(got.Added) != 3 || len(got.KeptOut) != 2 {
		t.Fatalf("added %d, kept out %v, %v", len(got.Added), got.KeptOut, err)
	}
	got, err = b.Library.AddExamples(ctx, table, "Ines")
	if err != nil || len(got.Added) != 0 || len(got.KeptOut) != 5 {
		t.Errorf("read again: added %d, kept out %v, %v", len(got.Added), got.KeptOut, err)
	}
	all, err := b.Library.AllExamples(ctx, "Corvane", "KR-1")
	if err != nil || len(all) != 3 {
		t.Errorf("%d examples, %v", len(all), err)
	}
}
