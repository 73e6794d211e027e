package demo

import (
	"fmt"
	"runtime"
	"sync"
)

// runAll makes the files on all processors. The first failure stops the rest.
func runAll(jobs []file, progress func(done, total int)) error {
	return each(len(jobs), progress, func(i int) error { return jobs[i].run() })
}

// each does n pieces of work on all processors. The first failure stops the rest.
func each(n int, progress func(done, total int), do func(i int) error) error {
	var (
		mu    sync.Mutex
		next  int
		done  int
		first error
		wg    sync.WaitGroup
	)
	take := func() (int, bool) {
		mu.Lock()
		defer mu.Unlock()
		if first != nil || next == n {
			return 0, false
		}
		next++
		return next - 1, true
	}
	report := func(err error) {
		mu.Lock()
		defer mu.Unlock()
		if err != nil && first == nil {
			first = err
		}
		done++
		if progress != nil && err == nil {
			progress(done, n)
		}
	}
	for range min(runtime.GOMAXPROCS(0), n) {
		wg.Go(func() {
			for {
				i, ok := take()
				if !ok {
					return
				}
				report(do(i))
			}
		})
	}
	wg.Wait()
	return first
}

func (f file) run() error {
	b, err := f.make()
	if err == nil {
		err = write(f.path, b)
	}
	if err != nil {
		return fmt.Errorf("make %s: %w", f.path, err)
	}
	return nil
}
