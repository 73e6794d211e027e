package photobench

import (
	"encoding/json"
	"math"
	"net/url"
	"slices"
	"testing"

	"midcase/evidence"
	"midcase/photo"
)

func TestParsePoints(t *testing.T) {
	for text, want := range map[string][]photo.Point{
		"": nil, "  ; ;\n": nil,
		"12 34":                         {{12, 34}},
		"12.5, 34.25; 1 2;":             {{12.5, 34.25}, {1, 2}},
		"1 2\n3 4\r\n5,6":               {{1, 2}, {3, 4}, {5, 6}},
		"1e2 -3":                        {{100, -3}},
		"412.5 300; 618 302.25; 1 1\t;": {{412.5, 300}, {618, 302.25}, {1, 1}},
	} {
		got, problem := ParsePoints(text)
		if problem != "" || !slices.Equal(got, want) {
			t.Errorf("%q: %v %s, want %v", text, got, problem, want)
		}
	}
	for _, text := range []string{"12", "1 2 3", "1,5 2,5", "a b", "1 2; x 3", "NaN 1", "1e9 1", "1 2;3"} {
		if got, problem := ParsePoints(text); problem == "" {
			t.Errorf("%q was read as %v", text, got)
		}
	}
}

// What is read is finite, and reads the same when it is written again.
func FuzzParsePoints(f *testing.F) {
	for _, s := range []string{"12 34; 5.5 6", "1,2\n3 4", ";;", "1e5 -2"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		got, problem := ParsePoints(s)
		if problem != "" {
			return
		}
		for _, p := range got {
			if math.IsNaN(p[0]+p[1]) || math.IsInf(p[0]+p[1], 0) {
				t.Fatalf("%q: %v", s, p)
			}
		}
		again, problem := ParsePoints(pointsText(got...))
		if problem != "" || !slices.Equal(again, got) {
			t.Fatalf("%q: %v and again %v %s", s, got, again, problem)
		}
	})
}

// Picked plots take the hour in whose direction they lie, whichever way twelve stands.
func TestPlotsTakeTheirHours(t *testing.T) {
	for _, turn := range []float64{0, 40, 180, 275} {
		at := func(hour, r float64) photo.Point {
			s, c := math.Sincos((hour*30 + turn) * math.Pi / 180)
			return photo.Point{500 + r*s, 500 - r*c}
		}
		var edge, plots []photo.Point
		for h := range 8 {
			edge = append(edge, at(1.5*float64(h), 400))
		}
		first := at(12, 300)
		plots = append(plots, first, photo.Point{first[0] + 20, first[1]})
		for _, h := range []float64{1, 4.1, 6.9, 11} {
			plots = append(plots, at(h, 300))
		}
		v := url.Values{"edge": {pointsText(edge...)}, "twelve": {pointsText(at(12, 390))},
			"plots": {pointsText(plots...)}}
		p := DialPicks(NewForm(v), nil)
		var hours []int
		for _, q := range p.Plots {
			hours = append(hours, q.Hour)
		}
		if !slices.Equal(hours, []int{12, 1, 4, 7, 11}) || math.Abs(p.Plots[0].RadiusPx-20) > 1e-6 {
			t.Errorf("turned by %g°: %v", turn, p.Plots)
		}
	}
}

// A form opened again from its picks gives the same picks.
func TestReopenGivesTheSamePicks(t *testing.T) {
	s := Subject{Photo: &evidence.Photo{}, Width: 1000, Height: 800}
	v := url.Values{"do": {Sizes}, "scale": {"circle"}, "scale_at": {"100 100; 200 110.5; 150 180"},
		"scale_mm": {"29.5"}, "scale_plus": {"0.1"}, "camera_mm": {"300"},
		"what0": {"lug_width"}, "at0": {"10 20; 300 21.5"}, "h0": {"3"}}
	f := NewForm(v)
	first := SizesPicks(f, s)
	if len(f.Problems) > 0 {
		t.Fatal(f.Problems)
	}
	kept := &evidence.Dimension{What: "lug_width", Picks: picksJSON(t, first)}
	again, ok := Reopen(kept)
	if !ok {
		t.Fatal("not opened")
	}
	second := SizesPicks(NewForm(again), s)
	if got, want := string(picksJSON(t, second)), string(kept.Picks); got != want {
		t.Errorf("%s\n%s", got, want)
	}
	for _, d := range []evidence.Data{&evidence.Dimension{What: "lug_width"}, &evidence.Reading{Picks: evidence.Picks(`{"plots":5}`)}, &evidence.Mark{}, &evidence.Dimension{What: "lug_width", Picks: evidence.Picks(`{}`)}} {
		if _, ok := Reopen(d); ok {
			t.Errorf("%+v was opened", d)
		}
	}
}

func picksJSON(t *testing.T, p photo.Picks) evidence.Picks {
	t.Helper()
	b, err := json.Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// A scale on record with the picture stands first, and needs no points.
func TestRecordedScale(t *testing.T) {
	g := SizesGroups(Known{Recorded: 0.05}, 1)
	if g[0].Fields[0].Options[0].Value != "recorded" || SizesGroups(Known{},
		1)[0].Fields[0].Options[0].Value != "square" {
		t.Errorf("%+v", g[0].Fields[0].Options)
	}
	f := NewForm(url.Values{"scale": {"recorded"}, "what0": {"lug_width"}, "at0": {"10 20; 300 21.5"}})
	p := SizesPicks(f, Subject{Photo: &evidence.Photo{MMPerPx: 0.05}, Width: 1000, Height: 800})
	if len(f.Problems) > 0 || p.Scale == nil || math.Abs(p.Scale.MM-50) > 1e-9 || p.Scale.PlusMM <= 0 {
		t.Errorf("%+v %v", p.Scale, f.Problems)
	}
	f = NewForm(url.Values{"scale": {"recorded"}, "what0": {"lug_width"}, "at0": {"10 20; 300 21.5"}})
	if SizesPicks(f, Subject{Photo: &evidence.Photo{}, Width: 1000, Height: 800}); len(f.Problems) == 0 ||
		f.Problems[0].Field != "scale" {
		t.Errorf("no scale on record: %v", f.Problems)
	}
}
