// Command shop measures how long the pages of a large shop take to be made: thousands of
// watches and clients, with the market fitted to the sales of the invented world.
//
//	go run ./bench/shop -watches 20000 -clients 5000
//
// The shop is made in a folder and kept there, so that a second run begins at once.
package main

import (
	"cmp"
	"context"
	"flag"
	"fmt"
	"io"
	"log"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"runtime/pprof"
	"slices"
	"strings"
	"syscall"
	"time"

	"github.com/oklog/ulid/v2"

	"midcase/evidence"
	"midcase/internal/blobs"
	"midcase/internal/bookdir"
	"midcase/internal/demo"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/rooms"
	"midcase/internal/store"
	"midcase/internal/web"
	"midcase/money"
)

func main() {
	watches := flag.Int("watches", 20_000, "watches in the shop")
	clients := flag.Int("clients", 5_000, "clients, with two wants each")
	dir := flag.String("dir", filepath.Join(os.TempDir(), "midcase-bench-shop"),
		"folder of the shop, kept between runs")
	runs := flag.Int("runs", 15, "how often each page is asked for")
	only := flag.String("only", "", "only addresses with this text; matching: the matching alone")
	profile := flag.String("cpuprofile", "", "file to write a CPU profile to")
	flag.Parse()
	if *profile != "" {
		f, err := os.Create(*profile)
		if err != nil {
			log.Fatal(err)
		}
		if err := pprof.StartCPUProfile(f); err != nil {
			log.Fatal(err)
		}
		defer pprof.StopCPUProfile()
	}
	if err := run(context.Background(), *dir, *watches, *clients, *runs, *only); err != nil {
		log.Fatal(err)
	}
}

func run(ctx context.Context, dir string, watches, clients, runs int, only string) error {
	s, done, err := open(ctx, dir)
	if err != nil {
		return err
	}
	defer done()
	if err := fill(ctx, s, watches, clients); err != nil {
		return err
	}
	start := time.Now()
	if err := s.People.Warm(ctx); err != nil {
		return err
	}
	fmt.Printf("read ahead and market fitted in %d ms\n", time.Since(start).Milliseconds())
	if only == "" || only == "matching" {
		if err := matching(ctx, s); err != nil {
			return err
		}
	}
	return measure(web.New(s, web.Options{User: "bench"}), runs, only)
}

// matching times the matching of one watch with all clients, and of one client with the
// stock: for each the first time, when the watches' facts are formed, and again.
func matching(ctx context.Context, s *rooms.Shop) error {
	const n = 40
	for _, x := range []struct {
		what string
		do   func(i int) (int, error)
	}{
		{"one watch with all clients", func(i int) (int, error) {
			all, err := s.People.MatchWatch(ctx, shop.WatchID(fmt.Sprintf("w_b%06d", 200+37*i)))
			return len(all), err
		}},
		{"one client with the stock", func(i int) (int, error) {
			all, err := s.People.MatchWant(ctx, fmt.Sprintf("c_b%05d", 100+31*i))
			return len(all), err
		}},
	} {
		for _, time := range []string{"first", "again"} {
			used := cpuMS()
			times, found, err := each(n, x.do)
			if err != nil {
				return err
			}
			fmt.Printf("%s, %s time: middle %.1f ms, worst %.1f ms, CPU %.1f ms, %.0f matches\n", x.what, time,
				ms(times[n/2]), ms(times[n-1]), (cpuMS()-used)/n, float64(found)/n)
		}
	}
	return nil
}

// each does a thing n times and gives the times in order.
func each(n int, do func(i int) (int, error)) (times []time.Duration, found int, err error) {
	for i := range n {
		start := time.Now()
		got, err := do(i)
		if err != nil {
			return nil, 0, err
		}
		times = append(times, time.Since(start))
		found += got
	}
	slices.Sort(times)
	return times, found, nil
}

// cpuMS is the processor time that the process has used so far, its collector's too; it
// tells more than wall time where other work runs beside.
func cpuMS() float64 {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		return 0
	}
	return float64(u.Utime.Nano()+u.Stime.Nano()) / 1e6
}

func ms(d time.Duration) float64 { return float64(d.Microseconds()) / 1000 }

func open(ctx context.Context, dir string) (*rooms.Shop, func(), error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, nil, err
	}
	st, err := store.Open(ctx, "sqlite:"+filepath.Join(dir, "midcase.db"),
		store.WithClientKey(make([]byte, store.ClientKeyBytes)))
	if err != nil {
		return nil, nil, err
	}
	bl, err := blobs.Dir(filepath.Join(dir, "blobs"))
	if err != nil {
		return nil, nil, err
	}
	s, err := rooms.Open(ctx, shop.On(st, bl, bookdir.Fixed(demo.Book())),
		shop.Options{Now: time.Now, NewID: func(prefix string) string {
			return prefix + "_" + strings.ToLower(ulid.Make().String())
		}, Name: "Bench"})
	return s, func() { st.Close(); bl.Close() }, err
}

// fill brings the shop to its size: watches of the invented world over and over, each a file
// of its own with all evidence but pictures, sounds and comparisons.
func fill(ctx context.Context, s *rooms.Shop, watches, clients int) error {
	world := demo.NewWorld(1)
	have, err := s.Watches(ctx, shop.Filter{})
	if err != nil {
		return err
	}
	if len(have) == 0 {
		if err := world.Fill(ctx, s); err != nil {
			return err
		}
		if have, err = s.Watches(ctx, shop.Filter{}); err != nil {
			return err
		}
	}
	states := []shop.State{shop.Bought, shop.Listed, shop.Listed, shop.Listed, shop.Photographed, shop.Sold, shop.Sold,
		shop.Reserved, shop.OnMemo, shop.AtWorkshop}
	for i := len(have); i < watches; i++ {
		x := world.Watches[i%len(world.Watches)]
		in := intake.Arrival{ID: shop.WatchID(fmt.Sprintf("w_b%06d", i)), Maker: x.Evidence.Maker,
			Reference: x.Evidence.Reference, Serial: x.Serial, State: states[i%len(states)], Place: x.Place,
			Cost: x.Cost, Asking: x.Asking, Acquired: x.Acquired, Client: fmt.Sprintf("c_b%05d", i%max(1, clients))}
		for _, it := range x.Evidence.Evidence {
			switch it.Kind() {
			case evidence.KindPhoto, evidence.KindRecording: // no pictures and sounds here
			case evidence.KindComparison: // hundreds of copies were not all held beside the same few watches
			default:
				in.Evidence = append(in.Evidence, it)
			}
		}
		if _, err := s.Intake.TakeIn(ctx, in, "bench"); err != nil {
			return err
		}
		if i%1000 == 0 {
			fmt.Printf("%d watches\n", i)
		}
	}
	return fillClients(ctx, s, world, clients)
}

func fillClients(ctx context.Context, s *rooms.Shop, world *demo.World, clients int) error {
	have, err := s.People.All(ctx)
	if err != nil {
		return err
	}
	r := rand.New(rand.NewPCG(1, 2))
	for i := len(have); i < clients; i++ {
		c := shop.Client{ID: fmt.Sprintf("c_b%05d", i), Name: fmt.Sprintf("Client %05d", i),
			Email: fmt.Sprintf("client.%05d@mail.example", i), Country: "DE", Note: "met at a fair"}
		for range 2 {
			x := world.Watches[r.IntN(len(world.Watches))]
			w := shop.Want{Maker: x.Evidence.Maker, ConditionFloor: float64(r.IntN(8)),
				OriginalityFloor: float64(r.IntN(9)) / 10,
				Budget:           money.MustParse(fmt.Sprint(1500+500*r.IntN(40)), "EUR")}
			if r.IntN(4) > 0 {
				w.Reference = x.Evidence.Reference
			}
			c.Wants = append(c.Wants, w)
		}
		if _, err := s.People.Add(ctx, c); err != nil {
			return err
		}
	}
	return nil
}

// pages are the addresses that are measured.
func pages() []string {
	return []string{
		"/", "/?q=KR-1", "/?state=listed&sort=-value", "/stock.csv", "/watches/w_b000100", "/watches/w_b000101",
		"/watches/w_b000103", "/watches/w_b000100/matches", "/watches/w_b000777/matches", "/watches/w_b000100/life",
		"/watches/w_b000100/deal",
		"/clients", "/clients?q=KR-8", "/clients/c_b00100", "/clients/c_b00777", "/clients/c_b00100/change",
		"/clients/c_b00100/wants/new", "/clients/c_b00100/erase", "/clients.vcf", "/calendar", "/calendar.ics",
		"/ledger", "/documents", "/market", "/sales", "/book", "/settings", "/counter",
		"/counter?reference=Corvane+KR-1&condition=7",
	}
}

// measure asks for each page and prints the first, the middle and the worst time of the server,
// and the processor time of one.
func measure(h http.Handler, runs int, only string) error {
	fmt.Printf("%-46s %6s %9s %9s %9s %9s %9s\n", "page", "status", "first ms", "middle ms", "worst ms", "CPU ms", "kB")
	for _, path := range pages() {
		if !strings.Contains(path, only) {
			continue
		}
		var times []time.Duration
		status, size := 0, int64(0)
		used := 0.0 // after the first
		for i := range runs {
			if i == 1 {
				used = cpuMS()
			}
			rec := httptest.NewRecorder()
			start := time.Now()
			h.ServeHTTP(rec, httptest.NewRequest(http.MethodGet, "http://bench.example"+path, nil))
			times = append(times, time.Since(start))
			status = rec.Code
			size, _ = io.Copy(io.Discard, rec.Body)
		}
		used = (cpuMS() - used) / float64(runs-1)
		first := times[0]
		rest := slices.SortedFunc(slices.Values(times[1:]), cmp.Compare[time.Duration])
		fmt.Printf("%-46s %6d %9.1f %9.1f %9.1f %9.1f %9d\n", path, status, ms(first), ms(rest[len(rest)/2]),
			ms(rest[len(rest)-1]), used, size/1024)
	}
	return nil
}
