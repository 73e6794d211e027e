package intake_test

import (
	"bytes"
	"errors"
	"math"
	"strings"
	"testing"

	"midcase/condition"
	"midcase/evidence"
	"midcase/internal/demo/draw"
	"midcase/internal/demo/sound"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/shoptest"
	"midcase/photo"
)

func TestRecorders(t *testing.T) {
	t.Parallel()
	b, ctx := shoptest.New(t), t.Context()
	usual := func() string {
		t.Helper()
		all, err := b.Intake.Recorders(ctx)
		if err != nil {
			t.Fatal(err)
		}
		var names []string
		for _, rec := range all {
			if rec.Usual {
				names = append(names, rec.Name)
			}
		}
		return strings.Join(names, ",")
	}
	for _, rec := range []intake.Recorder{{Name: "phone", PPM: 12, SE: 1}, {Name: "Bench", PPM: -3, SE: 0.5}} {
		if err := b.Intake.SetRecorder(ctx, rec); err != nil {
			t.Fatal(err)
		}
	}
	if got := usual(); got != "phone" {
		t.Errorf("usual %q; want the first", got)
	}
	if err := b.Intake.UsualRecorder(ctx, "bench"); err != nil || usual() != "Bench" {
		t.Errorf("usual %q, %v; want Bench", usual(), err)
	}
	if err := b.Intake.SetRecorder(ctx, intake.Recorder{Name: "bench", PPM: -2, SE: 0.5}); err != nil ||
		usual() != "bench" {
		t.Errorf("measured again: usual %q, %v", usual(), err)
	}
	for field, rec := range map[string]intake.Recorder{"recorder": {Name: intake.NoRecorder, SE: 1},
		"ppm": {Name: "x", PPM: math.NaN(), SE: 1}, "se": {Name: "x"}} {
		shoptest.Refused(t, b.Intake.SetRecorder(ctx, rec), field)
	}
	if err := b.Intake.ForgetRecorder(ctx, "PHONE"); err != nil {
		t.Fatal(err)
	}
	for _, err := range []error{b.Intake.ForgetRecorder(ctx, "phone"), b.Intake.UsualRecorder(ctx, "phone")} {
		if !errors.Is(err, shop.ErrNotFound) {
			t.Errorf("forgotten: %v", err)
		}
	}
	if all, err := b.Intake.Recorders(ctx); err != nil || len(all) != 1 || all[0].PPM != -2 ||
		all[0].Measured != "2026-03-02" {
		t.Errorf("left: %+v, %v", all, err)
	}
}

// A clock that was measured by a reference corrects the recordings that name it.
func TestMeasuredClockCorrects(t *testing.T) {
	t.Parallel()
	s, w := openShop(t)
	ctx := t.Context()
	var quartz bytes.Buffer
	if err := sound.WriteWAV(&quartz, sound.Quartz(40, 16000, -25, 20, 4), 16000, 16); err != nil {
		t.Fatal(err)
	}
	rec, _, err := s.Intake.MeasureRecorder(ctx, "phone", &quartz, 1, "Ines")
	if err != nil || math.Abs(rec.PPM-25) > 5 || rec.By != "Ines" {
		t.Fatalf("clock of the recorder: %+v, %v", rec, err)
	}
	_, _, err = s.Intake.MeasureRecorder(ctx, "phone", strings.NewReader("no sound"), 1, "Ines")
	shoptest.Refused(t, err, "sound")
	heard, err := s.Intake.AddRecording(ctx, w.ID, tick(t, sound.Watch{BeatsPerHour: 18000, RateSecPerDay: 14,
		AmplitudeDeg: 255, LiftAngleDeg: 49}), intake.Take{Position: "CH"}, "Ines")
	if err != nil {
		t.Fatal(err)
	}
	data := heard.Recording.Data.(*evidence.Recording)
	if data.Recorder != "phone" || data.ClockPPM != rec.PPM || !strings.Contains(strings.Join(heard.Says, "\n"),
		"clock of phone") {
		t.Errorf("recorded with %q at %g ppm: %v", data.Recorder, data.ClockPPM, heard.Says)
	}
	if rate := heard.Rate.Data.(*evidence.Rate); !strings.Contains(rate.Instrument, "clock of phone corrected") {
		t.Errorf("instrument %q", rate.Instrument)
	}
	_, err = s.Intake.AddRecording(ctx, w.ID, tick(t, sound.Watch{BeatsPerHour: 18000, RateSecPerDay: 14,
		AmplitudeDeg: 255, LiftAngleDeg: 49}), intake.Take{Position: "CH", Recorder: "tape"}, "Ines")
	shoptest.Refused(t, err, "recorder")
	f, err := s.Intake.Sound(ctx, data.Blob)
	if err != nil {
		t.Fatal(err)
	}
	f.Close()
	if _, err := s.Intake.Sound(ctx, strings.Repeat("0", 64)); !errors.Is(err, shop.ErrNotFound) {
		t.Errorf("a sound that is not kept: %v", err)
	}
	if again, err := s.Intake.HearAgain(ctx, data); err != nil ||
		math.Abs(again.Rate.Value-heard.Analysis.Rate.Value) > 1e-9 {
		t.Errorf("heard again: %v", err)
	}
}

func TestCalibreAsMarkedFittedOrOnlyOne(t *testing.T) {
	t.Parallel()
	s, w := openShop(t)
	ctx := t.Context()
	if c, ok, err := s.Intake.Calibre(ctx, w.ID); err != nil || !ok || c.ID != "A-7" {
		t.Errorf("the only calibre of the reference: %s, %t, %v", c.ID, ok, err)
	}
	s.Record(t, w.ID, &evidence.Mark{What: evidence.MarkCalibre, Text: "B-9"})
	if c, ok, err := s.Intake.Calibre(ctx, w.ID); err != nil || ok {
		t.Errorf("marked with one that the book has not: %s, %t, %v", c.ID, ok, err)
	}
}

func TestReferenceExample(t *testing.T) {
	t.Parallel()
	b, ctx := shoptest.New(t), t.Context()
	if _, ok, err := b.Intake.ReferenceExample(ctx, "Corvane", "KR-1"); ok || err != nil {
		t.Errorf("none named: %t, %v", ok, err)
	}
	first, second := b.Offered(t), b.Offered(t)
	for _, id := range []shop.WatchID{first, second} {
		if w, err := b.Intake.SetReferenceExample(ctx, id); err != nil || w.ID != id {
			t.Fatal(w, err)
		}
	}
	if id, ok, err := b.Intake.ReferenceExample(ctx, " corvane", "kr-1 "); err != nil || !ok || id != second {
		t.Errorf("example %s, %t, %v; want %s", id, ok, err, second)
	}
	if _, err := b.Intake.SetReferenceExample(ctx, "w_none"); !errors.Is(err, shop.ErrNotFound) {
		t.Errorf("no such watch: %v", err)
	}
}

// The colours of a dial are recorded with the picks from which they can be read again.
func TestAddPlots(t *testing.T) {
	t.Parallel()
	b, ctx := shoptest.New(t), t.Context()
	id := b.Offered(t)
	w, shot := draw.Watch{Kind: "diver", Seed: 1}, draw.Shot{WidthPx: 600}
	for i := range w.Plots {
		w.Plots[i].Lab = draw.Lab{75, 4, 25}
	}
	it, err := b.Intake.AddPhoto(ctx, id, "dial", "", bytes.NewReader(draw.JPEG(draw.Dial(w, shot), 90)), "Ines")
	if err != nil {
		t.Fatal(err)
	}
	p, err := b.Intake.OpenPhoto(ctx, id, it.Data.(*evidence.Photo).Blob)
	if err != nil {
		t.Fatal(err)
	}
	truth := draw.TruthOfDial(w, shot)
	twelve, r, radius := photo.Point(truth.Twelve), truth.Dial, truth.Dial.A
	picks := photo.Picks{DialPicks: photo.DialPicks{Twelve: &twelve, Dial: &photo.DialPick{
		Through: []photo.Point{{r.X + radius, r.Y}, {r.X, r.Y + radius}, {r.X - radius, r.Y}, {r.X, r.Y - radius}}}}}
	items, err := b.Intake.AddPlots(ctx, id, p, picks, "Ines")
	if err != nil || len(items) < 6 {
		t.Fatalf("%d items, %v", len(items), err)
	}
	for _, x := range items {
		d := x.Data.(*evidence.Reading)
		if strings.HasPrefix(d.What, "plot ") && (d.Lab == nil || math.Abs(d.Lab[0]-75) > 6 || len(d.Picks) == 0 ||
			d.Photo != it.ID) {
			t.Errorf("%s: %v", d.What, d.Lab)
		}
	}
	if _, err := b.Intake.AddPlots(ctx, id, p, photo.Picks{}, "Ines"); err == nil {
		t.Error("no picks were taken")
	} else if problem, ok := intake.AsPickProblem(err); !ok || problem.Field == "" {
		t.Errorf("no picks: %v", err)
	}
}

func TestFittedVariantAndStretch(t *testing.T) {
	t.Parallel()
	b, ctx := shoptest.New(t), t.Context()
	id := b.Offered(t)
	variant, maker, ref, err := b.Intake.FittedVariant(ctx, id, evidence.Dial)
	if err != nil || variant != "" || maker == nil || ref == nil || ref.ID != "KR-1" {
		t.Fatalf("nothing fitted: %q, %v", variant, err)
	}
	v := ref.Slots[0]
	b.Record(t, id, &evidence.Fitted{Slot: v.Slot, Variant: v.Variants[0].ID})
	if variant, _, _, err = b.Intake.FittedVariant(ctx, id, v.Slot); err != nil || variant != v.Variants[0].ID {
		t.Errorf("fitted %q, %v; want %q", variant, err, v.Variants[0].ID)
	}
	if _, ok := intake.StretchGrade(condition.Measure{}); ok {
		t.Error("a grade of no measure")
	}
	sha, err := b.Intake.KeepBlob(ctx, []byte("a picture"))
	if err != nil {
		t.Fatal(err)
	}
	if got, err := b.Picture(ctx, sha); err != nil || string(got) != "a picture" {
		t.Errorf("kept %q, %v", got, err)
	}
}
