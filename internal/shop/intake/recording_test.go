package intake_test

import (
	"bytes"
	"context"
	"errors"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"midcase/evidence"
	"midcase/internal/demo/sound"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/shoptest"
	"midcase/timing"
)

const tickBook = `
schema: 1
id: alder
name: Alder
families:
  - {id: plain, name: Plain, kind: dress}
metals:
  - {id: steel, name: Steel}
calibres:
  - {id: A-7, beats_per_hour: 18000, lift_angle_deg: 49, winding: hand, made: "1950/1970", source: invented}
references:
  - {id: "100", family: plain, made: "1955/1965", metal: steel, calibres: [A-7], serial: [], source: invented}
`

// openShop opens a shop with one watch.
func openShop(t *testing.T) (*shoptest.Bench, shop.Watch) {
	t.Helper()
	b := shoptest.WithBook(t, fstest.MapFS{"alder.yaml": {Data: []byte(tickBook)}})
	return b, b.TakeIn(t, intake.Arrival{Maker: "Alder", Reference: "100"})
}

func tick(t *testing.T, w sound.Watch) *bytes.Reader {
	t.Helper()
	var b bytes.Buffer
	if err := sound.WriteWAV(&b, sound.Record(w, sound.Room{SNRdB: 16}, 8, 22050, 9), 22050, 16); err != nil {
		t.Fatal(err)
	}
	return bytes.NewReader(b.Bytes())
}

func TestAddRecording(t *testing.T) {
	ctx := context.Background()
	s, w := openShop(t)
	watch := sound.Watch{BeatsPerHour: 18000, RateSecPerDay: 14, AmplitudeDeg: 255, LiftAngleDeg: 49, BeatErrorMS: 0.7}
	h, err := s.Intake.AddRecording(ctx, w.ID, tick(t, watch), intake.Take{Position: "CH", HoursSinceWind: 1}, "Ada")
	if err != nil {
		t.Fatal(err)
	}
	rec, rate := h.Recording.Data.(*evidence.Recording), h.Rate.Data.(*evidence.Rate)
	if rate.Recording != h.Recording.ID || rec.BeatsPerHour != 18000 || rec.LiftAngleDeg != 49 ||
		rec.Position != "CH" || math.Abs(rec.Seconds-8) > 0.01 {
		t.Errorf("recorded %+v and %+v", rec, rate)
	}
	if math.Abs(rate.SecPerDay-14) > 1 || math.Abs(rate.AmplitudeDeg-255) > 8 || math.Abs(*rate.BeatErrorMS-0.7) > 0.1 ||
		rate.SecPerDaySE <= 0 {
		t.Errorf("read %+v", rate)
	}
	if got := strings.Join(h.Says,
		"; "); got != "beat rate 18000 from the book, calibre A-7; lift angle 49° from the book, calibre A-7" {
		t.Errorf("says %q", got)
	}
	log, err := s.Log(ctx, w.ID)
	if err != nil || len(log.Evidence) != 2 || s.BlobFiles(t) != 1 {
		t.Errorf("%d items and %d files kept, %v", len(log.Evidence), s.BlobFiles(t), err)
	}
	o, err := s.Opinion(ctx, w.ID, s.Now())
	if err != nil || !o.Running.Known || o.Running.Mean == nil || math.Abs(*o.Running.Mean-14) > 1 {
		t.Errorf("the opinion does not count it: %+v, %v", o.Running, err)
	}
	again, err := s.Intake.HearAgain(ctx, rec)
	if err != nil || len(again.Trace) < 35 || *again.Rate != (timing.Figure{Value: rate.SecPerDay,
		SE: rate.SecPerDaySE}) {
		t.Errorf("heard again: %v, %v", again.Rate, err)
	}
}

// A watch that beats otherwise than the book says is heard, and it is said.
func TestAddRecordingOfAnotherBeat(t *testing.T) {
	s, w := openShop(t)
	h, err := s.Intake.AddRecording(context.Background(), w.ID, tick(t, sound.Watch{BeatsPerHour: 21600}),
		intake.Take{Position: "6H"}, "Ada")
	if err != nil || h.Analysis.BeatsPerHour != 21600 || !strings.Contains(strings.Join(h.Says, " "),
		"beats 21600 an hour where the book says 18000") {
		t.Errorf("%v beats, says %q, %v", h.Analysis.BeatsPerHour, h.Says, err)
	}
}

func TestAddRecordingKeepsNothingOfABadSound(t *testing.T) {
	ctx := context.Background()
	s, w := openShop(t)
	good := tick(t, sound.Watch{})
	whole := make([]byte, good.Size())
	if _, err := good.ReadAt(whole, 0); err != nil {
		t.Fatal(err)
	}
	var talk bytes.Buffer
	if err := sound.WriteWAV(&talk, sound.Speech(8, 16000, 1), 16000, 16); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		b    []byte
		take intake.Take
		want string
	}{
		"empty":        {nil, intake.Take{Position: "CH"}, "the file is empty"},
		"text":         {[]byte("no sound at all, only words"), intake.Take{Position: "CH"}, "not a sound file"},
		"cut short":    {whole[:len(whole)/2], intake.Take{Position: "CH"}, "cut short"},
		"talk":         {talk.Bytes(), intake.Take{Position: "CH"}, "no watch heard"},
		"no position":  {whole, intake.Take{}, "position"},
		"odd position": {whole, intake.Take{Position: "up"}, "“up”"},
		"lift angle":   {whole, intake.Take{Position: "CH", LiftAngleDeg: 5}, "lift angle 5°"},
		"hours":        {whole, intake.Take{Position: "CH", HoursSinceWind: -1}, "hours_since_wind"},
	} {
		_, err := s.Intake.AddRecording(ctx, w.ID, bytes.NewReader(c.b), c.take, "Ada")
		var refused *shop.Invalid
		if !errors.As(err, &refused) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v; want a refusal with %q", name, err, c.want)
		}
	}
	if _, err := s.Intake.AddRecording(ctx, "w_none", bytes.NewReader(whole), intake.Take{Position: "CH"},
		"Ada"); !errors.Is(err, shop.ErrNotFound) {
		t.Errorf("no such watch: %v", err)
	}
	log, err := s.Log(ctx, w.ID)
	if err != nil || len(log.Evidence) != 0 || s.BlobFiles(t) != 0 {
		t.Errorf("%d items and %d files kept, %v", len(log.Evidence), s.BlobFiles(t), err)
	}
}
