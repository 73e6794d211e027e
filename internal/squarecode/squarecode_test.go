package squarecode_test

import (
	"image"
	"image/color"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"midcase/internal/squarecode"
)

// Codes are read back by zbarimg, where it is installed.
func TestCodesAreReadBack(t *testing.T) {
	zbar, err := exec.LookPath("zbarimg")
	if err != nil {
		t.Skip("zbarimg is not installed (package zbar-tools)")
	}
	for _, text := range []string{"x", "https://shop.example/verify/R-2026-0001?head=12%3AabcDEF0%2F%2B%3D",
		"midcase paper V-2026-0012 head 48213:" + strings.Repeat("Ab3/", 11) + "="} {
		c, err := squarecode.Encode(text)
		if err != nil {
			t.Fatal(err)
		}
		const px = 6
		side := (c.Modules + 2*squarecode.Quiet) * px
		img := image.NewGray(image.Rect(0, 0, side, side))
		for i := range img.Pix {
			img.Pix[i] = 255
		}
		for _, r := range c.Runs {
			for x := (r.X + squarecode.Quiet) * px; x < (r.X+r.Length+squarecode.Quiet)*px; x++ {
				for y := (r.Y + squarecode.Quiet) * px; y < (r.Y+1+squarecode.Quiet)*px; y++ {
					img.SetGray(x, y, color.Gray{})
				}
			}
		}
		path := filepath.Join(t.TempDir(), "code.png")
		f, err := os.Create(path)
		if err != nil {
			t.Fatal(err)
		}
		if err := png.Encode(f, img); err != nil {
			t.Fatal(err)
		}
		f.Close()
		got, err := exec.Command(zbar, "--quiet", "--raw", path).Output()
		if err != nil || strings.TrimSpace(string(got)) != text {
			t.Errorf("read back %q (%v), want %q", got, err, text)
		}
	}
}

func TestNoCodeOfTooMuch(t *testing.T) {
	for _, text := range []string{"", strings.Repeat("long ", 2000)} {
		if c, err := squarecode.Encode(text); err == nil {
			t.Errorf("%d characters gave %d modules", len(text), c.Modules)
		}
	}
}

func TestPictureSaysWhatItIs(t *testing.T) {
	c, err := squarecode.Encode("x")
	if err != nil {
		t.Fatal(err)
	}
	if svg := c.SVG(`File "7" & <more>`); !strings.Contains(svg, `aria-label="File &quot;7&quot; &amp; &lt;more>"`) {
		t.Errorf("%.200s", svg)
	}
}
