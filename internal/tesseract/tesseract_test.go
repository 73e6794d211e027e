package tesseract_test

import (
	"context"
	"errors"
	"fmt"
	"image"
	"image/color"
	"strings"
	"testing"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"

	"midcase/internal/tesseract"
)

// The table as tesseract 5.3 prints it (tesseract(1)).
const table = "level\tpage_num\tblock_num\tpar_num\tline_num\tword_num\tleft\ttop\twidth\theight\tconf\ttext\n" +
	"1\t1\t0\t0\t0\t0\t0\t0\t800\t300\t-1\t\n" +
	"5\t1\t1\t1\t1\t1\t20\t30\t180\t40\t95.88\tK-31\n" +
	"5\t1\t1\t1\t1\t2\t240\t30\t60\t40\t41.2\t\"No\n" +
	"5\t1\t2\t1\t1\t1\t20\t130\t180\t40\t-1\t26418\n"

func TestParse(t *testing.T) {
	lines, err := tesseract.Parse(strings.NewReader(table))
	if err != nil {
		t.Fatal(err)
	}
	want := "[[{K-31 0.9588 (20,30)-(200,70)} {\"No 0.41200000000000003 (240,30)-(300,70)}] [{26418 0 (20,130)-(200,170)}]]"
	if got := fmt.Sprint(lines); got != want {
		t.Errorf("%s, want %s", got, want)
	}
	_, err = tesseract.Parse(strings.NewReader(table + "5\t1\t2\t1\t1\t1\tx\t130\t180\t40\t-1\t26418\n"))
	if err == nil || !strings.Contains(err.Error(), "line 6: column 7") {
		t.Errorf("%v, want line and column", err)
	}
}

func TestRead(t *testing.T) {
	if !tesseract.Installed() {
		t.Setenv("PATH", "")
		_, err := tesseract.Read(context.Background(), image.NewGray(image.Rect(0, 0, 9, 9)))
		if !errors.Is(err, tesseract.ErrNotInstalled) {
			t.Errorf("%v, want that it is not installed", err)
		}
		t.Skip("tesseract is not installed here, so nothing can be read")
	}
	face, err := opentype.Parse(gobold.TTF)
	if err != nil {
		t.Fatal(err)
	}
	drawn, err := opentype.NewFace(face, &opentype.FaceOptions{Size: 60, DPI: 72})
	if err != nil {
		t.Fatal(err)
	}
	img := image.NewGray(image.Rect(0, 0, 500, 160))
	for i := range img.Pix {
		img.Pix[i] = 220
	}
	d := font.Drawer{Dst: img, Src: image.NewUniform(color.Gray{40}), Face: drawn, Dot: fixed.P(100, 100)}
	d.DrawString("26418")
	lines, err := tesseract.Read(context.Background(), img)
	if err != nil || len(lines) != 1 || lines[0][0].Text != "26418" || lines[0][0].Sure < 0.5 {
		t.Errorf("%v, %v, want 26418", lines, err)
	}
}

func ExampleParse() {
	lines, err := tesseract.Parse(strings.NewReader(table))
	fmt.Println(lines[0][0].Text, err)
	// Output: K-31 <nil>
}
