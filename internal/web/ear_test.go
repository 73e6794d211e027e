package web_test

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"mime/multipart"
	"net/http"
	"strings"
	"testing"

	"midcase/evidence"
	"midcase/internal/demo/sound"
	"midcase/internal/shop/intake"
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
	w, err := s.shop.Intake.TakeIn(t.Context(), intake.Arrival{Maker: "Corvane", Reference: "KR-1"}, "tester")
	if err != nil {
		t.Fatal(err)
	}
	path := watchPath(w.ID) + "/ear"
	p := s.page(path)
	if p.Find("form#ear-form input[type=file][name=sound]").Length() != 1 ||
		!strings.Contains(p.Find("section[aria-label='Latest recording']").Text(), "None yet") {
		t.Fatal("no form for a recording")
	}
	c, ok, err := s.shop.Intake.Calibre(t.Context(), w.ID)
	if err != nil {
		t.Fatal(err)
	}
	beats := 18000.0
	if ok {
		beats = float64(c.BeatsPerHour)
	}
	good := madeSound(t, sound.Record(sound.Watch{BeatsPerHour: beats, RateSecPerDay: -21, BeatErrorMS: 1.1},
		sound.Room{SNRdB: 15}, 8, 16000, 4))
	a := s.sendSound(path, good, map[string]string{"position": "9H", "lift_angle_deg": "50,5", "hours_since_wind": "1"})
	s.wantStatus(a, http.StatusSeeOther)
	p = s.page(a.Header.Get("Location"))
	text := squeeze(p.Find("section[aria-label='Latest recording']").Text())
	for _, want := range []string{"9 uppermost (9H)", "Rate−2", "Beat error1.", "lift angle of 50.5°",
		"half the 90 % range", "does not replace a watchmaker"} {
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
	if md := s.get(watchPath(w.ID) + "/report.md?annex=1"); !strings.Contains(md.body, "The sound of the movement") {
		t.Error("the report has no trace")
	}
}

func TestEarRefuses(t *testing.T) {
	s := serveEmpty(t)
	w, err := s.shop.Intake.TakeIn(t.Context(), intake.Arrival{Maker: "Corvane", Reference: "KR-1"}, "tester")
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
		"no file": {nil, map[string]string{"position": "CH"}, "Choose a WAV, FLAC or MP3 recording."},
		"no sound": {[]byte("<script>alert(1)</script> and more"), map[string]string{"position": "CH"},
			"Not a sound file"},
		"talk":       {talk, map[string]string{"position": "CH"}, "No watch heard"},
		"cut short":  {talk[:len(talk)/2], map[string]string{"position": "CH"}, "cut short"},
		"no number":  {talk, map[string]string{"position": "CH", "lift_angle_deg": "wide"}, "“wide” is not a number"},
		"lift angle": {talk, map[string]string{"position": "CH", "lift_angle_deg": "500"}, "500"},
		"position":   {talk, map[string]string{"position": "up"}, "up"},
	} {
		a := s.sendSound(path, c.file, c.fields)
		s.wantStatus(a, http.StatusUnprocessableEntity)
		p := a.page(t)
		if says := squeeze(p.Find(".error, .notice.wrong").Text()); !strings.Contains(says, c.want) {
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

// ticks is a reference of one short sound a second, heard by a recorder whose clock is
// fast by so many parts in a million.
func ticks(t *testing.T, seconds int, ppm float64) []byte {
	t.Helper()
	const rate = 16000
	pcm := make([]float32, seconds*rate)
	for k := range seconds {
		from := int((0.3 + float64(k)*(1+ppm*1e-6)) * rate)
		for i := 0; i < 160 && from+i < len(pcm); i++ {
			pcm[from+i] = float32(0.6 * math.Exp(-float64(i)/40) * math.Sin(2*math.Pi*3500*float64(i)/rate))
		}
	}
	noise := rand.New(rand.NewPCG(1, 2))
	for i := range pcm {
		pcm[i] += float32(0.002 * noise.NormFloat64())
	}
	return madeSound(t, pcm)
}

func TestRecorderClocks(t *testing.T) {
	s := serveEmpty(t)
	w, err := s.shop.Intake.TakeIn(t.Context(), intake.Arrival{Maker: "Corvane", Reference: "KR-1"}, "tester")
	if err != nil {
		t.Fatal(err)
	}
	const path = "/ear/clocks"
	if p := s.page(path); !strings.Contains(squeeze(p.Find("main").Text()), "± 1.7 s/day") ||
		p.Find("form").Length() < 2 {
		t.Error("the page does not say what stands for a clock that was not measured")
	}
	for name, c := range map[string]struct {
		file   []byte
		fields map[string]string
		want   string
	}{
		"no name": {ticks(t, 25, 30), map[string]string{"reference": "4"}, "Enter the name of the recorder."},
		"no file": {nil, map[string]string{"recorder": "bench"}, "Choose a WAV, FLAC or MP3 recording of a quartz watch"},
		"no ticks": {madeSound(t, sound.Speech(25, 16000, 4)), map[string]string{"recorder": "bench",
			"reference": "4"}, "no steady beat of one a second"},
		"too short": {ticks(t, 8, 0), map[string]string{"recorder": "bench"}, "at least 20 s"},
		"typed":     {nil, map[string]string{"recorder": "bench", "do": "type", "ppm": "a lot"}, "“a lot” is not a number"},
		"exact":     {nil, map[string]string{"recorder": "bench", "do": "type", "ppm": "4"}, "above 0"},
	} {
		a := s.sendSound(path, c.file, c.fields)
		s.wantStatus(a, http.StatusUnprocessableEntity)
		p := a.page(t)
		if says := squeeze(p.Find(".error, .notice.wrong").Text()); !strings.Contains(strings.ToLower(says),
			strings.ToLower(c.want)) {
			t.Errorf("%s: says %q; want %q", name, says, c.want)
		}
		if p.Find("input[name=recorder][value='"+c.fields["recorder"]+"']").Length() == 0 {
			t.Errorf("%s: the name that was typed is lost", name)
		}
	}
	a := s.sendSound(path, ticks(t, 30, 150), map[string]string{"recorder": "bench", "reference": "1",
		"watch": string(w.ID)})
	s.wantStatus(a, http.StatusSeeOther)
	all, err := s.shop.Intake.Recorders(t.Context())
	if err != nil || len(all) != 1 || !all[0].Usual || math.Abs(all[0].PPM-150) > 15 {
		t.Fatalf("%+v, %v; want the bench, fast by about 150", all, err)
	}
	s.wantStatus(s.sendSound(path, nil, map[string]string{"recorder": "telephone", "do": "type", "ppm": "-7,5",
		"half": "2"}), http.StatusSeeOther)
	s.wantStatus(s.sendSound(path, nil, map[string]string{"recorder": "telephone", "do": "usual"}), http.StatusSeeOther)
	p := s.page(path)
	if rows := p.Find("table tbody tr"); rows.Length() != 2 || !strings.Contains(squeeze(rows.Last().Text()),
		"telephone the usual one") {
		t.Errorf("the list reads %q", squeeze(rows.Text()))
	}

	// the usual recorder is offered and used
	ear := watchPath(w.ID) + "/ear"
	if v, _ := s.page(ear).Find("select#recorder option[selected]").Attr("value"); v != "telephone" {
		t.Errorf("offers %q; want the usual recorder", v)
	}
	tick := madeSound(t, sound.Record(sound.Watch{BeatsPerHour: 18000, RateSecPerDay: 0.5}, sound.Room{SNRdB: 20}, 8,
		16000, 4))
	a = s.sendSound(ear, tick, map[string]string{"position": "CH", "beats_per_hour": "18000", "recorder": "telephone"})
	s.wantStatus(a, http.StatusSeeOther)
	if text := squeeze(s.page(a.Header.Get("Location")).Find("section[aria-label='Latest recording']").Text()); !strings.Contains(text, "clock corrected by −7.5 ± 2.0 parts in a million") {
		t.Errorf("the rate does not say its clock: %q", text)
	}
	a = s.sendSound(ear, tick, map[string]string{"position": "FH", "beats_per_hour": "18000", "recorder": "none"})
	s.wantStatus(a, http.StatusSeeOther)
	text := squeeze(s.page(a.Header.Get("Location")).Find("section[aria-label='Latest recording']").Text())
	if !strings.Contains(text, "not corrected, ± 1.7 s/day") {
		t.Errorf("the rate does not say its clock: %q", text)
	}
	log, err := s.shop.Log(t.Context(), w.ID)
	if err != nil {
		t.Fatal(err)
	}
	var clocks []string
	for _, it := range log.Evidence {
		if r, ok := it.Data.(*evidence.Rate); ok {
			clocks = append(clocks, fmt.Sprintf("%s %.2f", r.Clock, r.ClockSE))
		}
	}
	if got := strings.Join(clocks, ", "); got != "telephone 0.11,  1.05" {
		t.Errorf("the rates bear the clocks %q", got)
	}
	s.wantStatus(s.sendSound(ear, tick, map[string]string{"position": "FH", "recorder": "unheard of"}),
		http.StatusUnprocessableEntity)
	s.wantStatus(s.sendSound(path, nil, map[string]string{"recorder": "telephone", "do": "forget"}),
		http.StatusSeeOther)
	s.wantStatus(s.sendSound(path, nil, map[string]string{"recorder": "telephone", "do": "forget"}),
		http.StatusNotFound)
}

func TestRecordingPlays(t *testing.T) {
	s := serveEmpty(t)
	w, err := s.shop.Intake.TakeIn(t.Context(), intake.Arrival{Maker: "Corvane", Reference: "KR-1"}, "tester")
	if err != nil {
		t.Fatal(err)
	}
	tick := madeSound(t, sound.Record(sound.Watch{BeatsPerHour: 18000}, sound.Room{SNRdB: 20}, 8, 16000, 4))
	a := s.sendSound(watchPath(w.ID)+"/ear", tick, map[string]string{"position": "CH", "beats_per_hour": "18000"})
	s.wantStatus(a, http.StatusSeeOther)
	src, ok := s.page(watchPath(w.ID) + "/ear").Find("audio[controls]").Attr("src")
	if !ok {
		t.Fatal("the page plays nothing")
	}
	r := s.request(http.MethodGet, src, nil)
	r.Header.Set("Range", "bytes=100-199")
	part := s.do(r)
	s.wantStatus(part, http.StatusPartialContent)
	if part.body != string(tick[100:200]) || part.Header.Get("Content-Type") != "audio/wav" {
		t.Errorf("the part asked for is %d bytes of %s", len(part.body), part.Header.Get("Content-Type"))
	}
	if whole := s.get(src); whole.body != string(tick) || whole.Header.Get("Accept-Ranges") != "bytes" {
		t.Error("the whole recording is not what was sent")
	}
	s.wantStatus(s.get(watchPath(w.ID)+"/recordings/ev_none"), http.StatusNotFound)
}

func TestBeforeAndAfterOnThePage(t *testing.T) {
	s := serveEmpty(t)
	w, err := s.shop.Intake.TakeIn(t.Context(), intake.Arrival{Maker: "Corvane", Reference: "KR-1"}, "tester")
	if err != nil {
		t.Fatal(err)
	}
	items := []evidence.Item{}
	for i, d := range []evidence.Data{
		&evidence.Rate{Position: "CH", SecPerDay: -20, SecPerDaySE: 0.3,
			AmplitudeDeg: 205}, &evidence.Rate{Position: "6H", SecPerDay: -41, SecPerDaySE: 0.3},
		&evidence.Work{What: "service", By: "the watchmaker"},
		&evidence.Rate{Position: "CH", SecPerDay: 5, SecPerDaySE: 0.3,
			AmplitudeDeg: 285}, &evidence.Rate{Position: "6H", SecPerDay: 1, SecPerDaySE: 0.3},
	} {
		items = append(items, evidence.Item{ID: evidence.ID(fmt.Sprintf("ev_%d", i)), At: now.AddDate(0, 0, i-20),
			By: "bench", Data: d})
	}
	if err := s.shop.Intake.Adopt(t.Context(), w.ID, items...); err != nil {
		t.Fatal(err)
	}
	ear := watchPath(w.ID) + "/ear"
	section := func(q string) string { return squeeze(s.page(ear + q).Find("section[aria-labelledby=change]").Text()) }
	for q, want := range map[string]string{"": "Before and after the service by the watchmaker",
		"?work=ev_2": "Before and after the service", "?since=2026-10-15": "Before 15 Oct 2026"} {
		text := section(q)
		for _, want := range []string{want, "−20.0 to +5.0", "+25.0 ± 0.7", "205 to 285", "+80 ± 7",
			"Mean while wound"} {
			if !strings.Contains(text, want) {
				t.Errorf("%q: no %q in %q", q, want, text)
			}
		}
	}
	if text := section("?since=2026-01-01"); !strings.Contains(text, "No position was timed both before and after that") {
		t.Errorf("before all readings: %q", text)
	}
	s.wantStatus(s.get(ear+"?since=yesterday"), http.StatusUnprocessableEntity)
	md := s.get(watchPath(w.ID) + "/report.md?annex=1").body
	for _, want := range []string{"before and after the service", "+25.0 ± 0.7"} {
		if !strings.Contains(strings.ToLower(strings.ReplaceAll(md, "\u00a0", " ")), want) {
			t.Errorf("no %q in the report", want)
		}
	}
}
