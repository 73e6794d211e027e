package main

import (
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"
)

// record is what everybody's requests took, by kind of page.
type record struct {
	mu     sync.Mutex
	took   map[string][]time.Duration
	errors []string
}

func (r *record) add(kind string, took time.Duration, err error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if err != nil {
		r.errors = append(r.errors, kind+": "+err.Error())
		return
	}
	if r.took == nil {
		r.took = map[string][]time.Duration{}
	}
	r.took[kind] = append(r.took[kind], took)
}

func (r *record) print(over time.Duration) {
	var kinds []string
	var all []time.Duration
	for kind, took := range r.took {
		kinds, all = append(kinds, kind), append(all, took...)
	}
	slices.Sort(kinds)
	fmt.Printf("%-12s %8s %8s %8s %8s %8s\n", "page", "number", "median", "95 %", "99 %", "longest")
	for _, kind := range kinds {
		line(kind, r.took[kind])
	}
	line("all", all)
	fmt.Printf("%.1f requests a second, %d errors\n", float64(len(all))/over.Seconds(), len(r.errors))
	if n := len(r.errors); n > 0 {
		fmt.Println(strings.Join(r.errors[:min(n, 10)], "\n"))
	}
}

func line(kind string, took []time.Duration) {
	if len(took) == 0 {
		return
	}
	slices.Sort(took)
	at := func(share float64) int64 { return took[min(len(took)-1, int(share*float64(len(took))))].Milliseconds() }
	fmt.Printf("%-12s %8d %6dms %6dms %6dms %6dms\n", kind, len(took), at(0.5), at(0.95), at(0.99), at(1))
}
