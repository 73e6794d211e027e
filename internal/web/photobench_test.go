package web_test

import (
	"bytes"
	"fmt"
	"image"
	"image/jpeg"
	"math"
	"net/http"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"midcase/evidence"
	"midcase/internal/demo/draw"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
)

// benchOn takes a watch in with one picture and returns the address of its bench.
func (s *site) benchOn(view string, jpg []byte) (shop.WatchID, string) {
	s.t.Helper()
	w, err := s.shop.Intake.TakeIn(s.t.Context(), intake.Arrival{Maker: "Corvane", Reference: "KR-1"}, "tester")
	if err != nil {
		s.t.Fatal(err)
	}
	return w.ID, s.addPicture(w.ID, view, jpg)
}

func (s *site) addPicture(id shop.WatchID, view string, jpg []byte) string {
	s.t.Helper()
	it, err := s.shop.Intake.AddPhoto(s.t.Context(), id, view, "", bytes.NewReader(jpg), "tester")
	if err != nil {
		s.t.Fatal(err)
	}
	return watchPath(id) + "/photos/" + it.Data.(*evidence.Photo).Blob + "/bench"
}

// typed writes points as they are typed in.
func typed(ps ...draw.Point) string {
	var out []string
	for _, p := range ps {
		out = append(out, fmt.Sprintf("%.1f %.1f", p[0], p[1]))
	}
	return strings.Join(out, "; ")
}

// onRim are points of an ellipse.
func onRim(e draw.Ellipse, n int) string {
	var out []draw.Point
	for i := range n {
		s, c := math.Sincos(float64(i)/float64(n)*2*math.Pi + 0.4)
		a, b := math.Sincos(e.AngleDeg * math.Pi / 180)
		out = append(out, draw.Point{e.X + e.A*c*b - e.B*s*a, e.Y + e.A*c*a + e.B*s*b})
	}
	return typed(out...)
}

func (s *site) evidenceOf(id shop.WatchID) evidence.File {
	s.t.Helper()
	log, err := s.shop.Log(s.t.Context(), id)
	if err != nil {
		s.t.Fatal(err)
	}
	return evidence.Fold(log, s.shop.Now())
}

var benchWatch = draw.Watch{Kind: "time_only", MidCaseMM: 36, Seed: 2}

func frontPicture() ([]byte, draw.Truth) {
	shot := draw.Shot{WidthPx: 1000, HeightPx: 800, TargetMM: 60, TiltDeg: 8}
	return draw.JPEG(draw.Front(benchWatch, shot), 90), draw.TruthOf(benchWatch, shot)
}

// Sizes are measured, added with one press, and taken back with another.
func TestBenchMeasuresAndRecords(t *testing.T) {
	s := serveEmpty(t)
	jpg, tr := frontPicture()
	id, path := s.benchOn("front", jpg)
	want(t, s.page(path).Find("h1"), "Measure in a picture")
	q := url.Values{"do": {"sizes"}, "ask": {"1"}, "scale": {"square"}, "scale_at": {typed(tr.Target[:]...)},
		"scale_mm": {"60"},
		"what0":    {"mid_case_diameter"}, "at0": {onRim(tr.MidCase,
			7)}, "what1": {"lug_width"}, "at1": {typed(tr.LugWidth[0][:]...)}}
	p := s.page(path + "?" + q.Encode())
	rows := p.Find(".answered tbody tr")
	if rows.Length() != 2 || !strings.Contains(squeeze(rows.Text()), "mid-case diameter") {
		t.Fatalf("found %q", squeeze(p.Find(".answered").Text()))
	}
	if p.Find("#found [data-mark^=ellipse]").Length() != 1 || p.Find("#found [data-mark^=line]").Length() != 1 {
		t.Error("what was found is not there to be drawn")
	}
	q.Set("by", "Ines")
	a := s.post(path, q)
	s.wantStatus(a, http.StatusSeeOther)
	to := a.Header.Get("Location")
	p = s.page(to)
	want(t, p.Find(".notice"), "Added to the file: 2 items")
	dims := evidence.All[*evidence.Dimension](s.evidenceOf(id))
	if len(dims) != 2 {
		t.Fatalf("%d sizes on record", len(dims))
	}
	for _, d := range dims {
		truth := map[string]float64{"mid_case_diameter": 36, "lug_width": tr.Watch.LugWidthMM}[d.Data.What]
		if d.Data.PlusMinusMM <= 0 || d.Data.MM < truth-3*d.Data.PlusMinusMM-0.1 ||
			d.Data.MM > truth+3*d.Data.PlusMinusMM+0.1 {
			t.Errorf("%s: %.3f ± %.3f, want %.2f", d.Data.What, d.Data.MM, d.Data.PlusMinusMM, truth)
		}
		if d.Data.Photo == "" || !strings.Contains(string(d.Data.Picks), `"scale"`) || d.Item.By != "Ines" || !strings.HasPrefix(d.Data.Instrument, "picture") {
			t.Errorf("%+v by %s cannot be read again", d.Data, d.Item.By)
		}
	}
	want(t, s.page(watchPath(id)).Find("#measured + table"), "mid-case diameter")
	before := p.Find("nav + details a, .picside details a")
	if before.Length() != 2 {
		t.Errorf("%d readings to open again, want 2", before.Length())
	}
	before.Each(func(_ int, a elements) {
		again := s.page(a.AttrOr("href", ""))
		mm := strings.Fields(squeeze(again.Find(".answered tbody td").First().Text()))[0]
		v, err := strconv.ParseFloat(mm, 64)
		kept, _ := strconv.ParseFloat(regexp.MustCompile(`\d+\.\d+`).FindString(a.Text()), 64)
		if err != nil || math.Abs(v-kept) > 0.06 {
			t.Errorf("%q reads %s when it is read again", a.Text(), mm)
		}
	})
	undo := url.Values{"do": {"sizes"}}
	p.Find(".notice input[name=of]").Each(func(_ int, in elements) { undo.Add("of", in.AttrOr("value", "")) })
	s.wantStatus(s.post(path+"/undo", undo), http.StatusSeeOther)
	if n := len(evidence.All[*evidence.Dimension](s.evidenceOf(id))); n != 0 {
		t.Errorf("%d sizes after taking back", n)
	}
	q.Set("only", "length 0")
	s.wantStatus(s.post(path, q), http.StatusSeeOther)
	if dims := evidence.All[*evidence.Dimension](s.evidenceOf(id)); len(dims) != 1 || dims[0].Data.What != "lug_width" {
		t.Errorf("one figure was asked for; on record are %d", len(dims))
	}
}

// What cannot be measured is said next to its field; what was typed stays.
// What is found in a picture stands in the form as if it had been pointed at, is measured, and can be recorded.
func TestBenchFindsWithoutPicks(t *testing.T) {
	s := serveEmpty(t)
	w, err := s.shop.Intake.TakeIn(t.Context(), intake.Arrival{Maker: "Unheard", Reference: "Q 9"}, "tester")
	if err != nil {
		t.Fatal(err)
	}
	shot := draw.Shot{WidthPx: 1300, HeightPx: 1100, TargetMM: 60, TiltDeg: 3, NoiseSD: 1}
	path := s.addPicture(w.ID, "front", draw.JPEG(draw.Front(draw.Watch{Kind: "time_only", MidCaseMM: 36, Seed: 1}, shot), 90))
	link, ok := s.page(path).Find("a[href*='find=1']").Attr("href")
	if !ok {
		t.Fatal("the bench does not offer to find what is in the picture")
	}
	found := s.page(link)
	want(t, found.Find(".picform .notice"), "printed square: 9")
	for name, least := range map[string]int{"scale_at": 4, "at0": 2} {
		at := found.Find("[name='"+name+"']").AttrOr("value", "") + found.Find("[name='"+name+"']").Text()
		if n := strings.Count(at, ";") + 1; n < least {
			t.Errorf("%s has %q; want %d points at least", name, at, least)
		}
	}
	want(t, found.Find("main"), "mid-case")
	if found.Find(".picform form[method=post] button").Length() == 0 {
		t.Error("what was measured by proposals cannot be recorded")
	}

	blank := draw.JPEG(image.NewRGBA(image.Rect(0, 0, 300, 200)), 90)
	path = s.addPicture(w.ID, "front", blank)
	want(t, s.page(path+"?do=sizes&find=1").Find(".picform .notice"), "Nothing was found")
}

func TestBenchRefuses(t *testing.T) {
	s := serveEmpty(t)
	jpg, tr := frontPicture()
	id, path := s.benchOn("front", jpg)
	square, rim := typed(tr.Target[:]...), onRim(tr.MidCase, 5)
	for name, c := range map[string]struct {
		q     url.Values
		field string
		says  string
	}{
		"nothing": {url.Values{"do": {"sizes"}}, "scale_mm", "Give "},
		"no scale": {url.Values{"do": {"sizes"}, "scale": {"square"}, "scale_at": {square}, "scale_mm": {"0"},
			"what0": {"lug_width"}, "at0": {"1 1; 50 50"}}, "scale_mm", "above 0"},
		"comma": {url.Values{"do": {"sizes"}, "scale": {"square"}, "scale_at": {square},
			"scale_mm": {"60,5"}, "what0": {"lug_width"}, "at0": {"1 1; 50 50"}}, "scale_mm", "decimal point"},
		"collinear": {url.Values{"do": {"sizes"}, "scale": {"circle"}, "scale_at": {"10 10; 60 60; 110 110"},
			"scale_mm": {"30"}, "what0": {"lug_width"}, "at0": {"1 1; 50 50"}}, "scale_at", "on a line"},
		"three corners": {url.Values{"do": {"sizes"}, "scale": {"square"}, "scale_at": {"1 1; 9 9; 4 8"},
			"scale_mm": {"60"}, "what0": {"lug_width"}, "at0": {"1 1; 50 50"}}, "scale_at", "3 points"},
		"outside": {url.Values{"do": {"sizes"}, "scale": {"square"}, "scale_at": {square}, "scale_mm": {"60"},
			"what0": {"lug_width"}, "at0": {"1 1; 5000 50"}}, "at0", "outside the picture"},
		"no name": {url.Values{"do": {"sizes"}, "scale": {"square"}, "scale_at": {square}, "scale_mm": {"60"},
			"at0": {rim}}, "what0", "what was measured"},
		"no numbers": {url.Values{"do": {"sizes"}, "scale": {"square"}, "scale_at": {square}, "scale_mm": {"60"},
			"what0": {"lug_width"}, "at0": {"here; there"}}, "at0", "x and y"},
		"height": {url.Values{"do": {"sizes"}, "scale": {"square"}, "scale_at": {square}, "scale_mm": {"60"},
			"what0": {"lug_width"}, "at0": {"1 1; 50 50"}, "h0": {"900"}}, "h0", "900"},
		"no dial": {url.Values{"do": {"dial"}}, "edge", "Give "},
		"twelve inside": {url.Values{"do": {"dial"}, "edge": {rim},
			"twelve": {fmt.Sprintf("%.0f %.0f", tr.MidCase.X, tr.MidCase.Y)}}, "twelve", "middle of the dial"},
		"no line": {url.Values{"do": {"bracelet"}, "scale": {"points"}, "scale_at": {"10 10; 200 10"},
			"scale_mm": {"20"}, "held": {"10 100"}, "free": {"300 120"}}, "level", "Give "},
		"no pull": {url.Values{"do": {"bracelet"}, "scale": {"points"}, "scale_at": {"10 10; 200 10"},
			"scale_mm": {"20"}, "pulled": {"10 100; 300 100"}}, "pull_n", "500 g"},
		"odd gaps":         {url.Values{"do": {"bracelet"}, "scale": {"points"}, "scale_at": {"10 10; 200 10"}, "scale_mm": {"20"}, "held": {"10 100"}, "free": {"300 120"}, "level": {"10 50; 300 50"}, "gaps": {"1 1; 2 2; 3 3"}}, "gaps", "two across each"},
		"square far out":   {url.Values{"do": {"listing"}, "square": {"2 2; 90 2"}}, "square", "inside"},
		"grey without end": {url.Values{"do": {"listing"}, "grey": {"20 20"}}, "grey", "1 point"},
	} {
		c.q.Set("ask", "1")
		a := s.get(path + "?" + c.q.Encode())
		s.wantStatus(a, http.StatusUnprocessableEntity)
		p := a.page(t)
		if says := squeeze(p.Find("#e-" + c.field).Text()); !strings.Contains(says, c.says) {
			t.Errorf("%s: at %s stands %q; want %q (page: %s)", name, c.field, says, c.says, a.words())
		}
		for f, v := range c.q {
			if in := p.Find("input#f-" + f); in.Length() > 0 && in.AttrOr("value", "") != v[0] {
				t.Errorf("%s: %s is lost", name, f)
			}
		}
		if c.q.Get("do") == "listing" {
			continue
		}
		s.wantStatus(s.post(path, c.q), http.StatusUnprocessableEntity)
	}
	if n := len(s.evidenceOf(id).Items); n != 1 {
		t.Errorf("%d items on record; want the picture alone", n)
	}
	s.wantStatus(s.get(strings.Replace(path, "/photos/", "/photos/0", 1)), http.StatusNotFound)
	s.wantStatus(s.get(path+"?do=paint"), http.StatusNotFound)
}

// The plots are read and recorded with their picks; the repaired one is named.
func TestBenchReadsPlots(t *testing.T) {
	s := serveEmpty(t)
	w := draw.Watch{Kind: "diver", Seed: 2}
	for i := range w.Plots {
		w.Plots[i] = draw.Plot{Lab: draw.Lab{75, 4, 25}, Marker: true}
	}
	w.Plots[4].Lab = draw.Lab{80, 2, 16}
	shot := draw.Shot{WidthPx: 700}
	tr := draw.TruthOfDial(w, shot)
	id, path := s.benchOn("dial", draw.JPEG(draw.Dial(w, shot), 90))
	q := url.Values{"do": {"dial"}, "ask": {"1"}, "edge": {onRim(tr.Dial, 8)}, "twelve": {typed(tr.Twelve)}}
	p := s.page(path + "?" + q.Encode())
	want(t, p.Find(".answered h2"), "One plot unlike the others")
	want(t, p.Find(".answered tr.odd th"), "4")
	want(t, p.Find(".answered"), "may be radioactive")
	if p.Find("svg.plotmap circle.plot").Length() < 11 || p.Find("svg.plotmap circle.odd").Length() != 1 {
		t.Error("the map does not show the plots")
	}
	s.wantStatus(s.post(path, q), http.StatusSeeOther)
	readings := evidence.All[*evidence.Reading](s.evidenceOf(id))
	if len(readings) < 12 {
		t.Fatalf("%d readings", len(readings))
	}
	for _, r := range readings {
		if r.Data.Photo == "" || !strings.Contains(string(r.Data.Picks), `"dial"`) {
			t.Errorf("%+v cannot be read again", r.Data)
		}
	}
	other := s.addPicture(id, "dial", draw.JPEG(draw.Dial(benchWatch, shot), 90))
	beside := strings.Replace(path, "/bench", "/beside", 1)
	p = s.page(beside)
	if p.Find("main .photos a").Length() != 1 {
		t.Fatalf("found %q", squeeze(p.Find("main").Text()))
	}
	blob := strings.Split(other, "/")[4]
	t2 := draw.TruthOfDial(benchWatch, shot)
	q = url.Values{"ask": {"1"}, "with": {string(id) + "/" + blob}, "edge": {onRim(tr.Dial, 8)},
		"twelve": {typed(tr.Twelve)}, "edge_2": {onRim(t2.Dial, 8)}, "twelve_2": {typed(t2.Twelve)}, "dial_mm": {"29"}}
	p = s.page(beside + "?" + q.Encode())
	if p.Find("#laid img").Length() != 3 || p.Find("#laid tbody tr").Length() == 0 {
		t.Fatalf("found %q", squeeze(p.Find("#laid").Text()))
	}
	p.Find("#laid img").Each(func(_ int, img elements) {
		if _, err := jpeg.Decode(strings.NewReader(s.get(img.AttrOr("src", "")).body)); err != nil {
			t.Errorf("%s: %v", img.AttrOr("src", ""), err)
		}
	})
	q.Del("edge_2")
	a := s.get(beside + "?" + q.Encode())
	s.wantStatus(a, http.StatusUnprocessableEntity)
	want(t, a.page(t).Find("#e-edge_2"), "Give ")
	s.wantStatus(s.get(beside+"/upside.jpg?"+q.Encode()), http.StatusUnprocessableEntity)
}

// A finding is placed on the picture.
func TestBenchPlacesAFinding(t *testing.T) {
	s := serveEmpty(t)
	jpg, _ := frontPicture()
	id, path := s.benchOn("front", jpg)
	a := s.post(path, url.Values{"do": {"finding"}, "place": {"100 100; 5000 100"}, "slot": {"case"}})
	s.wantStatus(a, http.StatusUnprocessableEntity)
	p := a.page(t)
	want(t, p.Find("#e-term"), "Give ")
	want(t, p.Find("#e-severity"), "Give ")
	if p.Find("#f-slot option[selected]").AttrOr("value", "") != "case" {
		t.Error("the part is lost")
	}
	a = s.post(path, url.Values{"do": {"finding"}, "place": {"300 200; 330 240"}, "slot": {"case"},
		"term": {"scratches"}, "severity": {"2"}, "where": {"upper left lug"}})
	s.wantStatus(a, http.StatusSeeOther)
	f := evidence.All[*evidence.Finding](s.evidenceOf(id))
	if len(f) != 1 || f[0].Data.At != [2]float64{300, 200} || f[0].Data.RadiusPx != 50 || f[0].Data.Photo == "" {
		t.Errorf("%+v", f)
	}
	p = s.page(a.Header.Get("Location"))
	want(t, p.Find(".notice"), "1 item")
	want(t, p.Find("#picform .list"), "scratches")
	if mark := p.Find("#found [data-mark]").AttrOr("data-mark", ""); !strings.HasPrefix(mark,
		"ellipse 300.00 200.00 50.00") {
		t.Errorf("it is not drawn: %q", mark)
	}
	if md := s.get(watchPath(id) + "/report.md"); !strings.Contains(md.body, "data:image/jpeg;base64,") {
		t.Error("the report has no detail")
	}
}

// A picture for the listing is square, in the size asked for, without a note in the file.
func TestBenchMakesAListingPicture(t *testing.T) {
	s := serveEmpty(t)
	jpg, tr := frontPicture()
	_, path := s.benchOn("front", jpg)
	q := url.Values{"do": {"listing"}, "ask": {"1"}, "level": {typed(tr.Target[0], tr.Target[1])},
		"grey": {typed(draw.Point(tr.Grey[2].At), draw.Point{tr.Grey[2].At[0] + 8, tr.Grey[2].At[1]})}}
	p := s.page(path + "?" + q.Encode())
	want(t, p.Find(".answered"), "Neutral balance from the grey card")
	want(t, p.Find(".answered"), "Nothing was retouched")
	a := s.get(p.Find(".answered a[download]").First().AttrOr("href", ""))
	c, err := jpeg.DecodeConfig(strings.NewReader(a.body))
	if err != nil || c.Width != c.Height || c.Width > 800 {
		t.Errorf("%+v %v", c, err)
	}
	if !strings.HasPrefix(a.Header.Get("Content-Disposition"), "attachment") || strings.Contains(a.body, "Exif") {
		t.Error("no file to save, or with notes in it")
	}
	if b := s.get("/photo-target.pdf"); !strings.HasPrefix(b.body, "%PDF-") {
		t.Error("no square to print")
	}
}

// A bracelet is graded by its droop, recorded, and read again from its picks.
func TestBenchReadsABracelet(t *testing.T) {
	s := serveEmpty(t)
	shot := draw.Shot{WidthPx: 1000, HeightPx: 600}
	w := draw.Watch{Band: draw.Band{Kind: "riveted", DroopMM: 20}}
	tr := draw.TruthOfDroop(w, shot)
	id, path := s.benchOn("bracelet", draw.JPEG(draw.BraceletDroop(w, shot), 90))
	q := url.Values{"do": {"bracelet"}, "ask": {"1"}, "scale": {"points"}, "scale_at": {typed(tr.Level[:]...)},
		"scale_mm": {fmt.Sprintf("%.2f", tr.MMPerPx*(tr.Level[1][0]-tr.Level[0][0]))},
		"held":     {typed(tr.Held)}, "free": {typed(tr.FreeEnd)}, "level": {typed(tr.Level[:]...)}, "links": {"12"},
		"pulled": {typed(tr.Level[:]...)}, "pulled_links": {"12"}, "pull_n": {"4.9"}}
	p := s.page(path + "?" + q.Encode())
	want(t, p.Find(".answered"), "By the rubric, on this alone: grade")
	want(t, p.Find(".answered"), "mm a link")
	want(t, p.Find(".answered"), "12 links measure")
	a := s.post(path, q)
	s.wantStatus(a, http.StatusSeeOther)
	var droop *evidence.Dimension
	for _, d := range evidence.All[*evidence.Dimension](s.evidenceOf(id)) {
		if d.Data.What == "bracelet_droop" {
			droop = d.Data
		} else if d.Data.What != "bracelet_length_under_pull" || d.Data.PullN != 4.9 || d.Data.Links != 12 {
			t.Errorf("%+v", d.Data)
		}
	}
	if droop == nil || math.Abs(droop.MM-20) > 1 || math.Abs(droop.FreeLengthMM-tr.LengthMM) > 3 || droop.Links != 12 {
		t.Fatalf("%+v", droop)
	}
	again := s.page(a.Header.Get("Location")).Find(".picside details a")
	if again.Length() != 2 {
		t.Fatalf("%d to read again", again.Length())
	}
	again.Each(func(_ int, one elements) {
		want(t, s.page(one.AttrOr("href", "")).Find(".answered h2"), "How far it has stretched")
	})
	shown := s.get(strings.Replace(path, "/bench", "/shown.jpg", 1))
	if c, err := jpeg.DecodeConfig(strings.NewReader(shown.body)); err != nil || c.Width != 1000 {
		t.Errorf("%+v %v", c, err)
	}
}
