package document

import (
	"bytes"
	"errors"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"midcase/evidence"
	"midcase/opinion"
	"midcase/say"
)

var update = flag.Bool("update", false, "write the golden files anew")

func TestMain(m *testing.M) {
	// A PDF takes some 50 ms of computing, so by default the property is tried on
	// fewer opinions than rapid's 100; -rapid.checks sets another number.
	if err := flag.Set("rapid.checks", "30"); err != nil {
		panic(err)
	}
	os.Exit(m.Run())
}

func fixtures(t testing.TB) map[string]Report {
	inside := rich(t)
	inside.ForShop = true
	short := rich(t)
	short.Annex = false
	return map[string]Report{"rich": rich(t), "short": short, "shop": inside,
		"extreme": extreme(t), "minimal": minimal()}
}

func pdfOf(t testing.TB, r Report) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := WritePDF(&b, r); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestRender writes the fixtures to the folder named by RENDER, for looking at.
func TestRender(t *testing.T) {
	dir := os.Getenv("RENDER")
	if dir == "" {
		t.Skip("set RENDER to a folder to get the fixtures as files")
	}
	for name, r := range fixtures(t) {
		if err := os.WriteFile(filepath.Join(dir, name+".pdf"), pdfOf(t, r), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	var b bytes.Buffer
	if err := WriteValuationPDF(&b, rich(t)); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "valuation.pdf"), b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}

func TestFontsParse(t *testing.T) {
	for f := serif; f <= wide; f++ {
		for _, r := range "Aaéø€±°Łß–×½³‰−“”" {
			if _, ok := f.advance(r); !ok {
				t.Errorf("font %s has no %q", faceFiles[f].family, r)
			}
		}
		if f < sans {
			continue
		}
		for _, r := range "0123456789" {
			zero, _ := f.advance('0')
			if w, _ := f.advance(r); w != zero {
				t.Errorf("font %s: figure %c is %g ems wide and 0 is %g: want figures of one width",
					faceFiles[f].family, r, w, zero)
			}
		}
	}
}

func TestSameReportSameBytes(t *testing.T) {
	for name, r := range fixtures(t) {
		if a, b := pdfOf(t, r), pdfOf(t, r); !bytes.Equal(a, b) {
			t.Errorf("%s: two PDFs of one report differ", name)
		}
	}
}

// text extracts a PDF's text with poppler, an independent reader.
func text(t *testing.T, pdf []byte) string {
	t.Helper()
	return textIn(t, pdf, "-raw")
}

// textIn is text in one of poppler's orders.
func textIn(t *testing.T, pdf []byte, order string) string {
	t.Helper()
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("SKIPPED: pdftotext (poppler-utils) is not installed, so the PDF was not read back")
	}
	cmd := exec.Command(tool, order, "-", "-")
	cmd.Stdin = bytes.NewReader(pdf)
	var out, complaints bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &complaints
	if err := cmd.Run(); err != nil || complaints.Len() > 0 {
		t.Fatalf("pdftotext: %v: %s", err, complaints.String())
	}
	return out.String()
}

var spaces = regexp.MustCompile(`[\s\x{a0}]+`)

func flat(s string) string { return spaces.ReplaceAllString(s, " ") }

func TestPDFSays(t *testing.T) {
	r := rich(t)
	got := text(t, pdfOf(t, r))
	for _, want := range []string{"Made between March 1967 and November 1969; hands probably replaced; worth 8,470 to 11,000 EUR at retail.",
		"Askelund Skerry KR-1", "8,500–11,000 EUR", "8,200–11,400 EUR", "probably replaced", "does not belong",
		"cannot tell", "33.82 ± 0.04", "not a licensed appraisal", "Anouk Ferrand", "nothing is certified",
		"register of lost watches", "The picture could not be read"} {
		if !strings.Contains(flat(got), flat(want)) {
			t.Errorf("the PDF does not say %q", want)
		}
	}
	for _, it := range r.Items {
		if !strings.Contains(got, string(it.ID)) {
			t.Errorf("evidence %s is not in the PDF", it.ID)
		}
	}
	pages := strings.Split(strings.TrimSuffix(got, "\f"), "\f")
	for i, p := range pages {
		want := regexp.MustCompile(`page ` + regexp.QuoteMeta(num(i+1)) + ` of ` + regexp.QuoteMeta(num(len(pages))))
		if !want.MatchString(p) {
			t.Errorf("page %d does not say %s", i+1, want)
		}
	}
}

// TestPagesRender has an independent reader draw every page.
func TestPagesRender(t *testing.T) {
	tool, err := exec.LookPath("pdftoppm")
	if err != nil {
		t.Skip("SKIPPED: pdftoppm (poppler-utils) is not installed, so no page was drawn")
	}
	for name, r := range fixtures(t) {
		dir := t.TempDir()
		cmd := exec.Command(tool, "-r", "12", "-png", "-", filepath.Join(dir, "page"))
		cmd.Stdin = bytes.NewReader(pdfOf(t, r))
		if out, err := cmd.CombinedOutput(); err != nil || len(out) > 0 {
			t.Errorf("%s: %v: %s", name, err, out)
		}
		if pages, _ := filepath.Glob(filepath.Join(dir, "*.png")); len(pages) < 3 {
			t.Errorf("%s: %d pages were drawn", name, len(pages))
		}
	}
}

func num(n int) string { return strings.TrimSpace(english.rounded(float64(n), 0)) }

// TestInsideStaysInside holds that what to pay, what is asked and what work cost
// are only on the shop's own copy.
func TestInsideStaysInside(t *testing.T) {
	secrets := []string{"6,900", "seven thousand", "7,000", "What to pay", "1,640"}
	r := rich(t)
	var md bytes.Buffer
	if err := WriteMarkdown(&md, r); err != nil {
		t.Fatal(err)
	}
	for _, s := range secrets {
		if strings.Contains(md.String(), s) {
			t.Errorf("a report for a buyer says %q", s)
		}
	}
	r.ForShop = true
	md.Reset()
	if err := WriteMarkdown(&md, r); err != nil {
		t.Fatal(err)
	}
	for _, s := range secrets {
		if !strings.Contains(md.String(), s) {
			t.Errorf("the shop's copy does not say %q", s)
		}
	}
}

func TestSentenceWithoutDeal(t *testing.T) {
	for _, c := range []struct {
		sentence string
		clauses  []opinion.Clause
		want     string
	}{
		{"Made in 1968; pay no more than 6,900 EUR", []opinion.Clause{{Section: "dating", Text: say.Verbatim("Made in 1968")}, {Section: "deal", Text: say.Verbatim("pay no more than 6,900 EUR")}}, "Made in 1968."},
		{"Made in 1968; worth a lot, and you should PAY NO MORE than 6,900.",
			[]opinion.Clause{{Section: "dating", Text: say.Verbatim("made in 1968")},
				{Section: "deal", Text: say.Verbatim("at most 6,900")}}, "Made in 1968."},
		{"Made in 1968.", nil, "Made in 1968."},
		{"", nil, "Nothing can be said yet."},
	} {
		w := newWriter(Report{Opinion: opinion.Opinion{Summary: opinion.Summary{Sentence: say.Verbatim(c.sentence),
			Clauses: c.clauses}}})
		if got := w.sentenceOfAll(); got != c.want {
			t.Errorf("sentence of %q: got %q, want %q", c.sentence, got, c.want)
		}
	}
}

func TestMarkdownGolden(t *testing.T) {
	for name, r := range fixtures(t) {
		var b bytes.Buffer
		if err := WriteMarkdown(&b, r); err != nil {
			t.Fatal(err)
		}
		golden(t, name+".md", b.Bytes())
	}
}

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s has changed; look at the difference and run go test -update if it is meant", path)
	}
}

// TestEmptySectionsSaySo holds that a report of nothing says what is missing.
func TestEmptySectionsSaySo(t *testing.T) {
	for _, s := range newWriter(minimal()).sections() {
		if strings.TrimSpace(s.finding) == "" {
			t.Errorf("section %s has no finding", s.id)
		}
	}
}

func TestReportIsNotChanged(t *testing.T) {
	r := rich(t)
	before := append([]opinion.Comparable(nil), r.Opinion.Value.Comparables...)
	items := append([]evidence.Item(nil), r.Items...)
	pdfOf(t, r)
	for i := range before {
		if before[i].Sale != r.Opinion.Value.Comparables[i].Sale {
			t.Fatal("writing the report put its comparables in another order")
		}
	}
	for i := range items {
		if items[i].ID != r.Items[i].ID {
			t.Fatal("writing the report put its evidence in another order")
		}
	}
}

type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, errors.New("disk full") }

func TestWriteErrorsAreTold(t *testing.T) {
	for name, write := range map[string]func() error{
		"PDF":      func() error { return WritePDF(failing{}, minimal()) },
		"Markdown": func() error { return WriteMarkdown(failing{}, minimal()) },
	} {
		if err := write(); err == nil || !strings.Contains(err.Error(), "disk full") {
			t.Errorf("%s: got error %v, want one that says disk full", name, err)
		}
	}
}

func BenchmarkReportSixPhotos(b *testing.B) {
	r := rich(b)
	big := jpegOf(b, disc(2400, 1800, white))
	for i := range 6 {
		if i < len(r.Photos) {
			r.Photos[i].Data = big
		} else {
			r.Photos = append(r.Photos, Photo{View: "detail", Data: big})
		}
	}
	for b.Loop() {
		pdfOf(b, r)
	}
}

// twentyPhotos is a report without its annex with twenty photos of a telephone, which are stored on their side.
func twentyPhotos(t testing.TB, w, h int) Report {
	r := rich(t)
	r.Annex, r.Photos = false, r.Photos[:1]
	one := onItsSide(jpegOf(t, disc(w, h, white)))
	r.Photos[0].Data = one
	for len(r.Photos) < 20 {
		r.Photos = append(r.Photos, Photo{View: "detail", Data: one})
	}
	return r
}

// onItsSide marks a JPEG as to be turned a quarter to the right (EXIF, orientation 6).
func onItsSide(b []byte) []byte {
	exif := "\xff\xe1\x00\x22Exif\x00\x00II*\x00\x08\x00\x00\x00\x01\x00\x12\x01\x03\x00\x01\x00\x00\x00\x06" +
		"\x00\x00\x00\x00\x00\x00\x00"
	return append(append(append([]byte(nil), b[:2]...), exif...), b[2:]...)
}

func BenchmarkReportTwentyPhotos(b *testing.B) {
	r := twentyPhotos(b, 2400, 1800)
	for b.Loop() {
		pdfOf(b, r)
	}
}
