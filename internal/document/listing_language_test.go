package document

import (
	"bytes"
	"image"
	"image/jpeg"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// The sheet of a listing is in the language of its words all over, and bears its number and the code by which it is
// checked, which zbarimg reads back.
func TestListingSheetInEachLanguage(t *testing.T) {
	const code = "https://shop.example/verify/L-2026-0001?head=12:abc"
	english := []string{"Offered for sale", "subject to prior sale", "page 1 of", "Number", "check this paper"}
	for lang, words := range map[string][]string{
		"en": {"Offered for sale", "page 1 of", "Check this paper", "1. Front", "2. Movement"},
		"de": {"Zum Verkauf angeboten", "Zwischenverkauf", "Seite 1 von", "21. Februar 2026",
			"Dieses Papier prüfen", "1. Vorderseite", "2. Werk"},
		"fr": {"À vendre", "Sous réserve", "page 1 sur", "21 février 2026", "Vérifier ce document"},
		"it": {"In vendita", "Salvo venduto", "pagina 1 di", "21 febbraio 2026", "Verificare il documento"},
	} {
		l := richListing(t)
		l.Told.Language, l.Paper, l.Code = lang, "L-2026-0001", code
		var pdf bytes.Buffer
		photos := []Photo{{View: "movement", Data: blank(t, 40)}, {View: "front", Data: blank(t, 200)}}
		if err := WriteListingPDF(&pdf, l, photos, time.Date(2026, 2, 21, 0, 0, 0, 0, time.UTC)); err != nil {
			t.Fatal(err)
		}
		got := flat(strings.ReplaceAll(text(t, pdf.Bytes()), "\u00a0", " "))
		for _, w := range append(words, "L-2026-0001") {
			if !strings.Contains(got, w) {
				t.Errorf("%s: the sheet does not say %q", lang, w)
			}
		}
		for _, w := range english {
			if lang != "en" && strings.Contains(got, w) {
				t.Errorf("%s: the sheet says %q", lang, w)
			}
		}
		readsCode(t, pdf.Bytes(), code)
	}
}

// blank is a picture of one grey.
func blank(t *testing.T, grey uint8) []byte {
	t.Helper()
	img := image.NewGray(image.Rect(0, 0, 120, 90))
	for i := range img.Pix {
		img.Pix[i] = grey
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func readsCode(t *testing.T, pdf []byte, want string) {
	t.Helper()
	for _, tool := range []string{"pdftoppm", "zbarimg"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Skipf("SKIPPED: %s is not installed, so the code was not read back", tool)
		}
	}
	dir := t.TempDir()
	file := filepath.Join(dir, "sheet.pdf")
	if err := os.WriteFile(file, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	page := filepath.Join(dir, "page")
	render := exec.Command("pdftoppm", "-png", "-r", "200", "-l", "1", "-singlefile", file, page)
	if out, err := render.CombinedOutput(); err != nil {
		t.Fatalf("pdftoppm: %v: %s", err, out)
	}
	out, err := exec.Command("zbarimg", "-q", "--raw", page+".png").Output()
	if err != nil || strings.TrimSpace(string(out)) != want {
		t.Errorf("the code reads %q, %v; want %q", out, err, want)
	}
}
