// Command photo measures how well package photo reads drawn pictures whose truth is
// known. It prints the tables of docs/photo-study.md.
//
//	go run ./bench/photo -n 100 lengths plots odd overlay speed
package main

import (
	"flag"
	"fmt"
	"os"
	"slices"
)

var studies = map[string]func(n int, seed uint64, verbose bool){
	"find": finds, "lengths": lengths, "plots": plots, "odd": odd, "overlay": overlay, "speed": speed,
}

func main() {
	n := flag.Int("n", 100, "pictures of each kind")
	seed := flag.Uint64("seed", 1, "seed of the first picture")
	verbose := flag.Bool("v", false, "print each picture")
	flag.StringVar(&cache, "cache", "", "folder to keep drawn pictures in")
	flag.Parse()
	names := flag.Args()
	if len(names) == 0 {
		names = []string{"find", "lengths", "plots", "odd", "overlay", "speed"}
	}
	for _, name := range names {
		run, ok := studies[name]
		if !ok {
			fmt.Fprintf(os.Stderr, "photo: no study %q\n", name)
			os.Exit(2)
		}
		run(*n, *seed, *verbose)
	}
}

// quantile of values that need not be sorted.
func quantile(v []float64, p float64) float64 {
	if len(v) == 0 {
		return 0
	}
	s := slices.Clone(v)
	slices.Sort(s)
	return s[min(int(p*float64(len(s))), len(s)-1)]
}

func share(v []float64, below float64) float64 {
	n := 0
	for _, x := range v {
		if x <= below {
			n++
		}
	}
	return float64(n) / float64(max(1, len(v)))
}
