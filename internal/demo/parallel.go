package demo

import (
	"fmt"
	"runtime"
	"sync"
)

// runAll makes the files on all processors. The first failure stops the rest.
func runAll(jobs []file, progress func(done, total int)) error {
	var (
		mu    sync.Mutex
		next  int
		done  int
		first error
		wg    sync.WaitGroup
	)
	take := func() (file, bool) {
		mu.Lock()
		defer mu.Unlock()
		if first != nil || next == len(jobs) {
			return file{}, false
		}
		next++
		return jobs[next-1], true
	}
	report := func(err error) {
		mu.Lock()
		defer mu.Unlock()
		if err != nil && first == nil {
			first = err
		}
		done++
		if progress != nil && err == nil {
			progress(done, len(jobs))
		}
	}
	for range min(runtime.GOMAXPROCS(0), len(jobs)) {
		wg.Go(func() {
			for {
				job, ok := take()
				if !ok {
					return
				}
				report(job.run())
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
