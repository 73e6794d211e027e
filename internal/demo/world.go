package demo

import (
	"fmt"
	"io/fs"

	"midcase/internal/shop"
	"midcase/refbook"
)

// World is the invented world with its truth.
type World struct {
	Seed    uint64
	Book    fs.FS // the reference book, one YAML file a maker
	Sales   []SaleRow
	Watches []Watch
	Clients []shop.Client
	Truth   map[string]Truth // by the watch file's name

	book *refbook.Book
}

// NewWorld makes the world of a seed: the same seed gives the same bytes.
func NewWorld(seed uint64) *World {
	files := Book()
	book, err := refbook.Load(files)
	if err != nil {
		panic(fmt.Sprintf("the embedded reference book: %v", err)) // a fault of the build, not of any input
	}
	w := &World{Seed: seed, Book: files, book: book, Truth: map[string]Truth{}}
	w.Sales = makeSales(seed, book)
	w.Clients = makeClients(seed)
	w.makeWatches()
	return w
}
