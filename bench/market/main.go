// Command market times and scores the price model on simulated markets whose truth
// is known, beside what other tools reach on the same file where they are
// installed.
//
//	go run ./bench/market [-n 3000,30000] [-seeds 1] [-shape all]
package main

import (
	"bytes"
	"flag"
	"fmt"
	"math"
	"os"
	"runtime/pprof"
	"sort"
	"strconv"
	"strings"
	"syscall"
	"time"

	"midcase/market"
)

// study is what the flags ask for.
type study struct {
	sizes, which, keep string
	seeds, workers     int
	peers              bool
}

func main() {
	var s study
	flag.StringVar(&s.sizes, "n", "3000,30000", "numbers of sales")
	flag.IntVar(&s.seeds, "seeds", 1, "seeds to average over")
	flag.StringVar(&s.which, "shape", "steep premium", `shape of the truth, or "all"`)
	flag.IntVar(&s.workers, "workers", 2, "workers of a fit")
	profile := flag.String("cpuprofile", "", "file for a processor profile")
	flag.StringVar(&s.keep, "keep", "", "folder in which to keep the files and the truth")
	flag.BoolVar(&s.peers, "peers", false, "time other tools where they are installed")
	file := flag.String("file", "", "a sales file to read, fit and value from, for times and memory alone")
	ahead := flag.Bool("forecast", false, "back-test worlds that move in other ways than the model's")
	flag.Parse()
	if *profile != "" {
		f, err := os.Create(*profile)
		if err == nil {
			err = pprof.StartCPUProfile(f)
		}
		if err != nil {
			stop(err)
		}
		defer pprof.StopCPUProfile()
	}
	err := error(nil)
	switch {
	case *file != "":
		err = timeFile(*file, s.workers)
	case *ahead:
		err = forecasts(s.seeds)
	default:
		err = s.table()
	}
	if err != nil {
		pprof.StopCPUProfile()
		stop(err)
	}
}

func stop(err error) {
	fmt.Fprintln(os.Stderr, "bench/market:", err)
	os.Exit(1)
}

// table prints a row for each shape, size and seed.
func (s study) table() error {
	fmt.Println("| shape | sales | seed | error % | truth's own | least possible | after the cut % | truth's own | coverage of 90 % | width hi/lo | premium RMSE, points | dof | fit, CPU s | reading, CPU s | passes |")
	fmt.Println("| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |")
	for _, sh := range shapes {
		if s.which != "all" && sh.Name != s.which {
			continue
		}
		for _, text := range strings.Split(s.sizes, ",") {
			n, err := strconv.Atoi(text)
			if err != nil {
				return fmt.Errorf("-n: %w", err)
			}
			for seed := 1; seed <= s.seeds; seed++ {
				if err := s.row(sh, n, seed); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

func (s study) row(sh shape, n, seed int) error {
	w := simulate(sh, n, uint64(seed))
	if s.keep != "" {
		if err := w.keep(s.keep); err != nil {
			return err
		}
	}
	r, err := run(w, s.workers)
	if err != nil {
		return err
	}
	fmt.Printf("| %s | %d | %d | %.2f | %.2f | %.2f | %.2f | %.2f | %.1f | %.3f | %.2f | %.2f | %.2f | %.2f | %d |\n",
		sh.Name, n, seed, r.err, r.own, w.bound(), r.later, r.ownLater, r.coverage, r.width, r.premium,
		r.dof, r.fit, r.read, r.passes)
	if s.peers {
		return runPeers(w)
	}
	return nil
}

// result is a row of the table.
type result struct {
	later, ownLater                                    float64 // of the sales after the cut
	err, own, coverage, width, premium, dof, fit, read float64
	passes                                             int
}

// cpu is the processor time that this process has used, in seconds.
func cpu() float64 {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		return math.NaN()
	}
	t := func(v syscall.Timeval) float64 { return float64(v.Sec) + float64(v.Usec)/1e6 }
	return t(u.Utime) + t(u.Stime)
}

func run(w *world, workers int) (result, error) {
	var train bytes.Buffer
	if err := w.writeCSV(&train, false); err != nil {
		return result{}, err
	}
	c0 := cpu()
	table, bad, err := market.ReadCSV(&train, "train.csv")
	if err != nil {
		return result{}, err
	}
	for _, e := range bad {
		if !e.Duplicate() {
			return result{}, e
		}
	}
	c1 := cpu()
	m, rep, err := market.Fit(table, market.Options{Workers: workers})
	if err != nil {
		return result{}, err
	}
	c2 := cpu()
	r := result{read: c1 - c0, fit: c2 - c1, dof: rep.DoF, passes: rep.Iterations}
	if err := r.score(w, m); err != nil {
		return r, err
	}
	r.premium, err = w.premiumError(m)
	return r, err
}

func (r *result) score(w *world, m *market.Model) error {
	var errs, own, width, later, ownLater []float64
	lastTrain := w.cut()
	covered, tested := 0.0, 0.0
	step := 1 + len(w.sales)/250000
	for i := 0; i < len(w.sales); i++ {
		s := &w.sales[i]
		if !s.test || i%step != 0 {
			continue
		}
		v, err := m.Predict(s.subject(), s.day, "")
		if err != nil {
			return err
		}
		errs = append(errs, 100*math.Abs(v.Median/s.price-1))
		own = append(own, 100*math.Abs(math.Exp(s.truth)/s.price-1))
		if !s.day.Before(lastTrain) {
			later, ownLater = append(later, errs[len(errs)-1]), append(ownLater, own[len(own)-1])
		}
		in := v.Interval[90]
		width = append(width, in[1]/in[0])
		tested++
		if s.price >= in[0] && s.price <= in[1] {
			covered++
		}
	}
	r.later, r.ownLater = median(later), median(ownLater)
	r.err, r.own, r.width, r.coverage = median(errs), median(own), median(width), 100*covered/tested
	return nil
}

func (s *sale) subject() market.Subject {
	c := channels[s.channel]
	out := market.Subject{
		Maker: fmt.Sprintf("Maker %c", 'A'+s.maker), Family: fmt.Sprintf("Family %02d", s.family),
		Reference: fmt.Sprintf("R%03d", s.ref),
		Metal:     metals[s.metal], Dial: dials[s.dial], Year: float64(s.year), Completeness: completeness[s.compl],
		Country: countries[s.country],
		Venue:   c[0], SaleBasis: c[1],
	}
	if s.cond == s.cond {
		out.Condition = &s.cond
	}
	if s.orig == s.orig {
		out.Originality = &s.orig
	}
	return out
}

// premiumError is the root mean square error of the premium of gold over steel, in
// points, its mean over time removed on the log scale where a metal belongs to a
// reference and its level cannot be told from theirs.
func (w *world) premiumError(m *market.Model) (float64, error) {
	p, err := m.Premium("metal", "gold18", "steel")
	if err != nil {
		return 0, err
	}
	q := make([]int, len(p))
	var shift float64
	for i, x := range p {
		var year, quarter int
		if _, err := fmt.Sscanf(x.Quarter, "%d-Q%d", &year, &quarter); err != nil {
			return 0, err
		}
		q[i] = (year-firstYear)*4 + quarter - 1
		shift += math.Log1p(x.Premium) - w.premium[1][min(q[i], quarters-1)]
	}
	shift /= float64(len(p))
	if w.MetalByRow {
		shift = 0
	}
	var ss float64
	for i, x := range p {
		d := 100 * (math.Exp(math.Log1p(x.Premium)-shift) - math.Exp(w.premium[1][min(q[i], quarters-1)]))
		ss += d * d
	}
	return math.Sqrt(ss / float64(len(p))), nil
}

// cut is the day from which all sales are held out.
func (w *world) cut() time.Time {
	var last time.Time
	for i := range w.sales {
		if s := &w.sales[i]; !s.test && s.day.After(last) {
			last = s.day
		}
	}
	return last
}

func median(x []float64) float64 {
	s := append([]float64(nil), x...)
	sort.Float64s(s)
	return s[len(s)/2]
}
