package picture

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"image"
	"image/color"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"
)

// progressive is a progressive JPEG of one grey, with so many passes more than it needs: each refines nothing. It is
// written by hand from ITU-T T.81, since no encoder would.
func progressive(w, h, more int) []byte {
	var b bytes.Buffer
	segment := func(marker byte, body ...byte) {
		b.Write([]byte{0xff, marker})
		_ = binary.Write(&b, binary.BigEndian, uint16(len(body)+2))
		b.Write(body)
	}
	b.Write([]byte{0xff, 0xd8})
	segment(0xdb, append([]byte{0}, bytes.Repeat([]byte{16}, 64)...)...)
	segment(0xc2, 8, byte(h>>8), byte(h), byte(w>>8), byte(w), 1, 1, 0x11, 0)
	segment(0xc4, 0, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0)       // DC: the code 0 is "no difference"
	segment(0xc4, 0x10, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0xe0) // AC: the code 0 ends 2^14 blocks
	blocks := ((w + 7) / 8) * ((h + 7) / 8)
	segment(0xda, 1, 1, 0, 0, 0, 0)
	b.Write(make([]byte, (blocks+7)/8)) // a bit 0 for each block
	for range more {
		segment(0xda, 1, 1, 0, 1, 63, 0)
		// Each run is the code 0 and 14 bits that lengthen it.
		for left := blocks; left > 0; left -= 1 << 14 {
			b.Write([]byte{0, 0})
		}
		b.Write([]byte{0, 0, 0})
	}
	b.Write([]byte{0xff, 0xd9})
	return b.Bytes()
}

func TestHandMadeProgressiveIsRead(t *testing.T) {
	b := progressive(64, 64, 3)
	if h := headOfJPEG(b); !h.progressive || h.scans != 4 || h.samples != 100 {
		t.Errorf("head %+v", h)
	}
	if _, err := Check(context.Background(), b); err != nil {
		t.Errorf("a small one: %v", err)
	}
}

// Hundreds of passes over a large picture once took 38 seconds.
func TestManyPassesAreRefusedAtOnce(t *testing.T) {
	b := progressive(6000, 6000, 300)
	_, err := Check(context.Background(), b)
	if !errors.Is(err, ErrTooSlow) || !Faulty(err) {
		t.Errorf("error %v; want it refused as too slow", err)
	}
}

// Decoding ends soon after the one who waits for it has left.
func TestDecodingEndsWithItsContext(t *testing.T) {
	b := progressive(7000, 7000, mostScan-1)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Check(ctx, b); !errors.Is(err, context.Canceled) {
		t.Errorf("error %v; want that of the context", err)
	}
	limited, cancel := context.WithTimeout(context.Background(), 100*time.Millisecond)
	defer cancel()
	if _, err := Check(limited, b); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("error %v; want that of the context", err)
	}
}

func TestMemoryIsEstimatedFromTheHeader(t *testing.T) {
	deep := image.NewRGBA64(image.Rect(0, 0, 10, 10))
	for _, tt := range []struct {
		name string
		b    []byte
		want int64
	}{
		{"JPEG, colours at half size", asJPEG(t, quarters(100, 100)), 15_000},
		{"JPEG, grey", asJPEG(t, image.NewGray(image.Rect(0, 0, 100, 100))), 10_000},
		{"JPEG, progressive, grey", progressive(100, 100, 0), 50_000},
		{"PNG", asPNG(t, quarters(10, 10)), 400},
		{"PNG, 16 bits", asPNG(t, deep), 800},
		{"WebP", asWebP(t, quarters(10, 10)), 1200},
	} {
		info, err := Inspect(tt.b)
		if err != nil {
			t.Fatalf("%s: %v", tt.name, err)
		}
		if got, err := info.need(tt.b); got != tt.want || err != nil {
			t.Errorf("%s: %d bytes, error %v; want %d", tt.name, got, err, tt.want)
		}
	}
	if _, err := Check(context.Background(), progressive(9000, 6600, 60)); err != nil && !Faulty(err) {
		t.Errorf("a large one: %v", err)
	}
}

// Six large pictures at once once took 2.85 GB. The heap is looked at while they are read, one after the other.
func TestPicturesAtOnceStayWithinMemory(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds")
	}
	b := progressive(6000, 6000, 2) // 36 megapixels: 180 MB
	runtime.GC()
	var before runtime.MemStats
	runtime.ReadMemStats(&before)
	stop, peak := make(chan struct{}), make(chan uint64)
	go func() {
		var most uint64
		for {
			select {
			case <-stop:
				peak <- most
				return
			case <-time.After(5 * time.Millisecond):
				var m runtime.MemStats
				runtime.ReadMemStats(&m)
				most = max(most, m.HeapAlloc-min(m.HeapAlloc, before.HeapAlloc))
			}
		}
	}()
	var all sync.WaitGroup
	for range 6 {
		all.Go(func() {
			if _, _, err := Take(context.Background(), bytes.NewReader(b)); err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	close(stop)
	if most := <-peak; most > 450<<20 {
		t.Errorf("%d MB at the most for six at once; want no more than two of 180", most>>20)
	}
}

func TestWhoCannotWaitIsToldSo(t *testing.T) {
	release, err := reserve(context.Background(), budget)
	if err != nil {
		t.Fatal(err)
	}
	defer release()
	ctx, cancel := context.WithCancel(context.Background())
	time.AfterFunc(50*time.Millisecond, cancel)
	if _, err := reserve(ctx, 1); !errors.Is(err, context.Canceled) {
		t.Errorf("error %v; want that of whoever left", err)
	}
}

// What an encoder makes of a photograph in many passes is read: a picture of cjpeg's default script.
func TestProgressivePicturesOfEncodersAreRead(t *testing.T) {
	cjpeg, err := exec.LookPath("cjpeg")
	if err != nil {
		t.Skip("cjpeg is not installed")
	}
	in := filepath.Join(t.TempDir(), "in.ppm")
	img := quarters(300, 200)
	var b strings.Builder
	b.WriteString("P6 300 200 255\n")
	for y := range 200 {
		for x := range 300 {
			c := color.RGBAModel.Convert(img.At(x, y)).(color.RGBA)
			b.Write([]byte{c.R, c.G, c.B})
		}
	}
	if err := os.WriteFile(in, []byte(b.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.CommandContext(t.Context(), cjpeg, "-progressive", in).Output()
	if err != nil {
		t.Fatal(err)
	}
	h := headOfJPEG(out)
	if !h.progressive || h.scans < 5 || h.scans > mostScan || h.samples != 150 {
		t.Errorf("head %+v", h)
	}
	if _, err := Check(t.Context(), out); err != nil {
		t.Error(err)
	}
}
