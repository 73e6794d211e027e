package main

import (
	"fmt"
	"io"
	"os"
	"runtime"
	"syscall"
	"time"

	"midcase/market"
)

// timeFile reads a file, fits it and values from it, and prints processor and wall
// seconds and the most memory that the process held.
func timeFile(name string, workers int) error {
	f, err := os.Open(name)
	if err != nil {
		return err
	}
	defer f.Close()
	size, err := f.Seek(0, io.SeekEnd)
	if err != nil {
		return err
	}
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return err
	}
	wall, used := time.Now(), cpu()
	lap := func(what string) {
		fmt.Printf("%-28s %6.2f s wall  %6.2f s CPU  %5d MB at most\n", what, time.Since(wall).Seconds(),
			cpu()-used, peakMB())
		wall, used = time.Now(), cpu()
	}
	start := wall
	table, bad, err := market.ReadCSV(f, name)
	if err != nil {
		return err
	}
	lap(fmt.Sprintf("read %d MB, %d sales", size>>20, table.Len()))
	m, rep, err := market.Fit(table, market.Options{Workers: workers})
	if err != nil {
		return err
	}
	lap(fmt.Sprintf("fit, %d passes", rep.Iterations))
	fmt.Printf("%-28s %6.2f s wall; %d rows rejected, degrees of freedom %.2f\n", "reading and fit",
		time.Since(start).Seconds(), len(bad), rep.DoF)
	const n = 50
	wall, used = time.Now(), cpu()
	for i := 0; i < n; i++ {
		s := table.At(i * table.Len() / n)
		_, err := m.Value(market.Subject{Maker: s.Maker, Family: s.Family, Reference: s.Reference, Metal: s.Metal,
			Dial: s.Dial, Condition: s.Condition}, time.Now(), market.Retail)
		if err != nil {
			return err
		}
	}
	fmt.Printf("%-28s %6.2f ms wall %6.2f ms CPU\n", "a value with comparables", 1000*time.Since(wall).Seconds()/n,
		1000*(cpu()-used)/n)
	wall, used = time.Now(), cpu()
	if err := m.Encode(io.Discard); err != nil {
		return err
	}
	lap("write the fit file")
	runtime.KeepAlive(m)
	return nil
}

func peakMB() int64 {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		return 0
	}
	return u.Maxrss >> 10
}
