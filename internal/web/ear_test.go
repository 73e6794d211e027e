package web_test

import (
	"bytes"
	"mime/multipart"
	"net/http"
	"strings"
	"testing"

	"midcase/internal/demo/sound"
	"midcase/internal/shop"
)

// sendSound posts the form of the page with a file.
func (s *site) sendSound(path string, file []byte, fields map[string]string) answer {
	s.t.Helper()
	var b bytes.Buffer
	form := multipart.NewWriter(&b)
	for name, v := range fields {
		form.WriteField(name, v)
	}
	if file != nil {
		part, err := form.CreateFormFile("sound", "tick.wav")
		if err != nil {
			s.t.Fatal(err)
		}
		part.Write(file)
	}
	if err := form.Close(); err != nil {
		s.t.Fatal(err)
	}
	r := s.request(http.MethodPost, path, &b)
	r.Header.Set("Content-Type", form.FormDataContentType())
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	return s.do(r)
}

func madeSound(t *testing.T, pcm []float32) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := sound.WriteWAV(&b, pcm, 16000, 16); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestEar(t *testing.T) {
	s := serveEmpty(t)
	w, err := s.shop.TakeIn(t.Context(), shop.Intake{Maker: "Corvane", Reference: "4410"}, "tester")
	if err != nil {
		t.Fatal(err)
	}
	path := watchPath(w.ID) + "/ear"
	p := s.page(path)
	if p.Find("form#ear-form input[type=file][name=sound]").Length() != 1 || !strings.Contains(p.Find("section[aria-label='Latest recording']").Text(), "None yet") {
		t.Fatal("no form for a recording")
	}
	c, ok, err := s.shop.Calibre(t.Context(), w.ID)
	if err != nil {
		t.Fatal(err)
	}
	beats := 18000.0
	if ok {
		beats = float64(c.BeatsPerHour)
	}
	good := madeSound(t, sound.Record(sound.Watch{BeatsPerHour: beats, RateSecPerDay: -21, BeatErrorMS: 1.1}, sound.Room{SNRdB: 15}, 8, 16000, 4))
	a := s.sendSound(path, good, map[string]string{"position": "9H", "lift_angle_deg": "50,5", "hours_since_wind": "1"})
	s.wantStatus(a, http.StatusSeeOther)
	p = s.page(a.Header.Get("Location"))
	text := squeeze(p.Find("section[aria-label='Latest recording']").Text())
	for _, want := range []string{"9 uppermost (9H)", "Rate−2", "Beat error1.", "lift angle of 50.5°", "half the 90 % range", "does not replace a watchmaker"} {
		if !strings.Contains(strings.ReplaceAll(text, " ", ""), strings.ReplaceAll(want, " ", "")) {
			t.Errorf("%q is not in %q", want, text)
		}
	}
	if p.Find("svg.trace path.even[d^=M]").Length() != 2 || p.Find("svg.trace path.odd[d^=M]").Length() != 2 {
		t.Error("no trace is drawn")
	}
	if p.Find("main style, main [style], main script:not([src])").Length() != 0 {
		t.Error("something stands inline")
	}
	if md := s.get(watchPath(w.ID) + "/report.md"); !strings.Contains(md.body, "The sound of the movement") {
		t.Error("the report has no trace")
	}
}

func TestEarRefuses(t *testing.T) {
	s := serveEmpty(t)
	w, err := s.shop.TakeIn(t.Context(), shop.Intake{Maker: "Corvane", Reference: "4410"}, "tester")
	if err != nil {
		t.Fatal(err)
	}
	path := watchPath(w.ID) + "/ear"
	talk := madeSound(t, sound.Speech(8, 16000, 4))
	for name, c := range map[string]struct {
		file   []byte
		fields map[string]string
		want   string
	}{
		"no file":    {nil, map[string]string{"position": "CH"}, "no sound file was chosen"},
		"no sound":   {[]byte("<script>alert(1)</script> and more"), map[string]string{"position": "CH"}, "not a sound file"},
		"talk":       {talk, map[string]string{"position": "CH"}, "no watch heard"},
		"cut short":  {talk[:len(talk)/2], map[string]string{"position": "CH"}, "cut short"},
		"no number":  {talk, map[string]string{"position": "CH", "lift_angle_deg": "wide"}, `"wide"`},
		"lift angle": {talk, map[string]string{"position": "CH", "lift_angle_deg": "500"}, "500"},
		"position":   {talk, map[string]string{"position": "up"}, "up"},
	} {
		a := s.sendSound(path, c.file, c.fields)
		s.wantStatus(a, http.StatusUnprocessableEntity)
		p := a.page(t)
		if says := squeeze(p.Find(".notice.wrong").Text()); !strings.Contains(says, c.want) {
			t.Errorf("%s: says %q; want %q", name, says, c.want)
		}
		if v, _ := p.Find("input[name=lift_angle_deg]").Attr("value"); v != c.fields["lift_angle_deg"] {
			t.Errorf("%s: what was typed is lost: %q", name, v)
		}
	}
	log, err := s.shop.Log(t.Context(), w.ID)
	if err != nil || len(log.Evidence) != 0 {
		t.Errorf("%d items kept, %v", len(log.Evidence), err)
	}
	s.wantStatus(s.get(watchPath("w_none")+"/ear"), http.StatusNotFound)
}
