// Command load serves a shop as it is served to others and has many people work in it at once, each with a browser of
// their own: they look at watches, search, ask the counter, record, and open clients, market and ledger.
//
//	midcase demo --dir shop --only-make
//	go run ./bench/load -midcase bin/midcase -shop shop -people 200 -for 5m
//
// Set MIDCASE_STORE=postgres://… for a shop on PostgreSQL. It prints what each kind of page took, errors, and what the
// server took of memory and processor. The shop is changed: use one that was made for this.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"log"
	"math/rand/v2"
	"os"
	"os/signal"
	"sync"
	"time"
)

func main() {
	o := options{}
	flag.StringVar(&o.midcase, "midcase", "bin/midcase", "the program")
	flag.StringVar(&o.shop, "shop", "", "folder of the shop")
	flag.StringVar(&o.name, "name", "load", "person whom everybody signs in as; added as an owner")
	flag.IntVar(&o.people, "people", 200, "people at work")
	flag.DurationVar(&o.length, "for", 5*time.Minute, "how long they work")
	flag.DurationVar(&o.pause, "pause", 10*time.Second, "what a person looks at a page for, on average")
	flag.Uint64Var(&o.seed, "seed", 1, "of what they do")
	flag.Parse()
	if o.shop == "" {
		log.Fatal("-shop: name the folder of a shop made for this")
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	if err := run(ctx, o); err != nil {
		log.Fatal(err)
	}
}

type options struct {
	midcase, shop, name string
	people              int
	length, pause       time.Duration
	seed                uint64
}

func run(ctx context.Context, o options) (err error) {
	s, err := serve(ctx, o)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, s.stop()) }()
	fmt.Printf("signing %d people in\n", o.people)
	people, err := s.signIn(ctx, o)
	if err != nil {
		return err
	}
	seen := &record{}
	start, began := s.usage(), time.Now()
	working, done := context.WithTimeout(ctx, o.length)
	defer done()
	var all sync.WaitGroup
	for i, p := range people {
		p.seen, p.rand, p.pause = seen, rand.New(rand.NewPCG(o.seed, uint64(i))), o.pause
		all.Go(func() { p.work(working) })
	}
	end := s.watch(working)
	all.Wait()
	took := time.Since(began)
	seen.print(took)
	fmt.Printf("server: %.0f MB at the start, at most %.0f, %.0f at the end; %.2f of a processor\n", start.mb, end.most,
		end.mb, (end.cpu-start.cpu)/took.Seconds())
	return nil
}
