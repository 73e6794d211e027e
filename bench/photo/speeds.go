package main

import (
	"context"
	"fmt"
	"image"
	"image/color"
	"runtime"
	"runtime/debug"
	"syscall"
	"time"

	"midcase/internal/demo/draw"
	"midcase/internal/picture"
	"midcase/photo"
)

// speed times reading and judging whole files on one core and the memory they take.
func speed(_ int, seed uint64, _ bool) {
	runtime.GOMAXPROCS(1)
	fmt.Printf("\n| file | decode, ms | plots, ms | whole, ms | heap at its highest, MB |\n| --- | --- | --- | --- | --- |\n")
	for _, c := range []struct {
		name       string
		wide, tall int
	}{{"12 MP JPEG", 4000, 3000}, {"50 MP JPEG", 8192, 6144}} {
		d := newDealer(seed)
		w := d.plotted(0.5, -1, 0)
		s := draw.Shot{WidthPx: c.wide, HeightPx: c.tall, NoiseSD: 1, JPEGQuality: 85}
		var file []byte
		if c.wide > 5000 { // drawing 50 MP takes too much memory itself: enlarge
			small := draw.Shot{WidthPx: c.wide / 4, HeightPx: c.tall / 4, NoiseSD: 1}
			file = draw.JPEG(enlarged{draw.Dial(w, small), 4}, 85)
		} else {
			file = draw.JPEG(draw.Dial(w, s), 85)
		}
		tr := draw.TruthOfDial(w, s)
		picks := photo.Picks{DialPicks: d.dialPicks(tr, 2)}
		var decode, plots []float64
		peak := uint64(0)
		for range 5 {
			runtime.GC()
			debug.FreeOSMemory()
			t0 := cpu()
			img, _, err := picture.View(context.Background(), file)
			if err != nil {
				panic(err)
			}
			t1 := cpu()
			if _, err := photo.Plots(img, picks); err != nil {
				panic(err)
			}
			decode, plots = append(decode, ms(t1-t0)), append(plots, ms(cpu()-t1))
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			peak = max(peak, m.HeapSys-m.HeapReleased)
		}
		a, b := quantile(decode, 0.2), quantile(plots, 0.2)
		fmt.Printf("| %s | %.0f | %.0f | %.0f | %d |\n", c.name, a, b, a+b, peak>>20)
	}
}

// cpu is the processor time used so far: on one core, what the clock would show if
// nothing else ran.
func cpu() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

func ms(d time.Duration) float64 { return float64(d.Microseconds()) / 1000 }

// enlarged shows each pixel k times across and down.
type enlarged struct {
	image.Image
	k int
}

func (e enlarged) Bounds() image.Rectangle {
	b := e.Image.Bounds()
	return image.Rect(0, 0, b.Dx()*e.k, b.Dy()*e.k)
}

// At is the colour of an enlarged pixel.
func (e enlarged) At(x, y int) color.Color { return e.Image.At(x/e.k, y/e.k) }
