// Command timing measures package timing on made recordings of random watches, whose
// truth is known, and prints the figures of docs/timing-study.md.
//
//	go run ./bench/timing            1,000 recordings with a watch, 500 without
//	go run ./bench/timing -share 10  a tenth of them
//	go run ./bench/timing -csv FILE  every recording's figures, too
package main

import (
	"encoding/csv"
	"flag"
	"fmt"
	"os"
	"runtime"
	"strconv"
	"sync"
)

func main() {
	share := flag.Int("share", 1, "make only one in so many recordings")
	workers := flag.Int("workers", runtime.NumCPU(), "recordings worked on at a time")
	only := flag.String("only", "", "run one part: rooms, none or speed")
	first := flag.Uint64("seed", 0, "add this to every seed: other watches, rooms and noises")
	match := flag.String("match", "", "only rooms with these words in their name")
	out := flag.String("csv", "", "write every recording's figures to this file")
	flag.Parse()
	if err := run(max(*share, 1), max(*workers, 1), *only, *match, *out, *first); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func run(share, workers int, only, match, out string, first uint64) error {
	if only == "" || only == "rooms" {
		results := hearWatches(share, workers, match, first)
		printRooms(os.Stdout, results)
		if out != "" {
			if err := writeCSV(out, results); err != nil {
				return err
			}
		}
	}
	if only == "" || only == "none" {
		printNone(os.Stdout, share, workers)
	}
	if only == "" || only == "speed" {
		return printSpeed(os.Stdout)
	}
	return nil
}

// each runs f for 0 to n-1 on some workers.
func each(n, workers int, f func(int)) {
	var wg sync.WaitGroup
	next := make(chan int)
	for range workers {
		wg.Go(func() {
			for i := range next {
				f(i)
			}
		})
	}
	for i := range n {
		next <- i
	}
	close(next)
	wg.Wait()
}

func writeCSV(path string, results []result) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	w := csv.NewWriter(f)
	num := func(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }
	w.Write([]string{"room", "seed", "beats", "heard", "right", "rate", "rate_got", "rate_se", "beat", "beat_got",
		"beat_se", "amp", "amp_got", "amp_se", "lift", "confidence", "snr"})
	for _, r := range results {
		w.Write([]string{r.room, strconv.FormatUint(r.seed, 10), num(r.watch.BeatsPerHour), strconv.FormatBool(r.heard),
			strconv.FormatBool(r.right),
			num(r.watch.RateSecPerDay), num(r.rate.Value), num(r.rate.SE), num(r.watch.BeatErrorMS), num(r.beat.Value),
			num(r.beat.SE),
			num(r.watch.AmplitudeDeg), num(r.amp.Value), num(r.amp.SE), num(r.watch.LiftAngleDeg),
			num(r.confidence), num(r.snr)})
	}
	w.Flush()
	if err := w.Error(); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}
