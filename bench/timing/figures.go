package main

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"runtime"
	"slices"
	"syscall"
	"text/tabwriter"
	"time"

	"midcase/internal/demo/sound"
	"midcase/internal/soundfile"
	"midcase/timing"
)

// z90 is how many standard errors half a 90 % range is.
const z90 = 1.645

// tally gathers the errors of one figure.
type tally struct {
	errors []float64
	held   int
}

func (t *tally) add(got timing.Figure, want float64) {
	e := math.Abs(got.Value - want)
	t.errors = append(t.errors, e)
	if e <= z90*got.SE {
		t.held++
	}
}

// at95 is the error that 95 of 100 stay under.
func (t *tally) at95() float64 {
	if len(t.errors) == 0 {
		return math.NaN()
	}
	s := slices.Sorted(slices.Values(t.errors))
	return s[min(len(s)-1, len(s)*95/100)]
}

func (t *tally) cover() string {
	if len(t.errors) == 0 {
		return "–"
	}
	return fmt.Sprintf("%.0f %%", 100*float64(t.held)/float64(len(t.errors)))
}

func printRooms(w io.Writer, results []result) {
	out := tabwriter.NewWriter(w, 0, 4, 2, ' ', 0)
	fmt.Fprintln(out, "ROOM\tN\tHEARD\tBEAT RATE RIGHT\tRATE s/d\tHELD\tBEAT ERROR ms\tHELD\tAMPLITUDE °\tHELD\tGIVEN")
	var names []string
	by := map[string][]result{}
	for _, r := range results {
		if by[r.room] == nil {
			names = append(names, r.room)
		}
		by[r.room] = append(by[r.room], r)
	}
	for _, name := range names {
		roomLine(out, name, by[name])
	}
	roomLine(out, "all", results)
	out.Flush()
	fmt.Fprintln(w, "Errors: 95 of 100 stay under. Held: 90 % ranges that hold the truth.")
	for _, r := range results {
		if r.err != nil {
			fmt.Fprintf(w, "%s %d: %v\n", r.room, r.seed, r.err)
		} else if !r.right {
			fmt.Fprintf(w, "%s %d: %v beats an hour not found (heard %v, confidence %v)\n", r.room, r.seed,
				r.watch.BeatsPerHour, r.heard, r.confidence)
		}
	}
}

func roomLine(out io.Writer, name string, rs []result) {
	heard, right := 0, 0
	var rate, beat, amp tally
	for _, r := range rs {
		if r.heard {
			heard++
		}
		if !r.right {
			continue
		}
		right++
		rate.add(r.rate, r.watch.RateSecPerDay)
		beat.add(r.beat, r.watch.BeatErrorMS)
		if r.hasAmp {
			amp.add(r.amp, r.watch.AmplitudeDeg)
		}
	}
	fmt.Fprintf(out, "%s\t%d\t%d\t%d\t%.2f\t%s\t%.3f\t%s\t%.1f\t%s\t%d\n", name, len(rs), heard, right, rate.at95(),
		rate.cover(), beat.at95(), beat.cover(), amp.at95(), amp.cover(), len(amp.errors))
}

// printNone counts the sounds without a watch in which one is heard.
func printNone(w io.Writer, share, workers int) {
	n := max(100/share, 1)
	for _, k := range []struct {
		name string
		make func(float64, int, uint64) []float32
	}{
		{"speech", sound.Speech}, {"hum", sound.Hum}, {"rain", sound.Rain}, {"silence", sound.Silence},
		{"quartz watch", func(s float64, rate int, seed uint64) []float32 {
			return sound.Quartz(s, rate, 0, 15, seed)
		}},
	} {
		heard := make([]bool, n)
		each(n, workers, func(i int) {
			a, err := timing.Analyse(k.make(20, 22050, uint64(i)+7000), 22050, timing.Options{})
			heard[i] = err != nil || a.Heard
		})
		wrong := 0
		for _, h := range heard {
			if h {
				wrong++
			}
		}
		fmt.Fprintf(w, "%s: a watch is heard in %d of %d recordings of 20 s\n", k.name, wrong, n)
	}
}

// printSpeed reads one made recording of 30 s and one of 30 min from WAV bytes, on one
// worker, and says how many times faster than it lasts and how much memory was live.
func printSpeed(w io.Writer) error {
	piece := sound.Record(sound.Watch{BeatsPerHour: 21600}, sound.Room{SNRdB: 10}, 30, 44100, 1)
	for _, times := range []int{1, 10, 60} {
		// full swings fit into 30 s, so that pieces join without a seam
		pcm := make([]float32, 0, times*len(piece))
		for range times {
			pcm = append(pcm, piece...)
		}
		var file bytes.Buffer
		if err := sound.WriteWAV(&file, pcm, 44100, 16); err != nil {
			return err
		}
		pcm = nil
		before := live()
		s, err := soundfile.Open(bytes.NewReader(file.Bytes()))
		if err != nil {
			return err
		}
		most := uint64(0)
		count := 0
		began := processor()
		var looked time.Duration
		blocks := func(yield func([]float32, error) bool) {
			for b, err := range s.Blocks() {
				if count++; count%100 == 50 {
					at := processor()
					most = max(most, live())
					looked += processor() - at
				}
				if !yield(b, err) {
					return
				}
			}
		}
		a, err := timing.AnalyseStream(blocks, s.Rate, timing.Options{})
		if err != nil {
			return err
		}
		took := processor() - began - looked
		fmt.Fprintf(w, "%.0f s of sound: %.2f s of processor time, %.0f times real time, %.0f MB held at most; %d beats\n", a.Seconds, took.Seconds(), a.Seconds/took.Seconds(), float64(most-min(before, most))/1e6, a.Beats)
	}
	return nil
}

// processor is the processor time that this program has used, which other programs on
// the machine do not lengthen as they do the time of day.
func processor() time.Duration {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// live is how many bytes are in use after a collection.
func live() uint64 {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.HeapAlloc
}
