package shop

import (
	"fmt"
	"sync"
	"time"

	"midcase/money"
	"midcase/refbook"
)

// Stores is where the shop keeps things. All but Blobs are usually one database.
type Stores struct {
	Watches  WatchStore
	Sales    SaleStore
	Clients  ClientStore
	Opinions OpinionStore
	Settings SettingStore
	Blobs    BlobStore

	// Book may be nil: the book of such a shop cannot be edited.
	Book BookStore

	// Steps and Privacy may be nil: a shop without them keeps no movements, ledger or
	// offers, and cannot erase a client.
	Steps   StepStore
	Privacy PrivacyStore

	// Papers may be nil: a shop without it numbers and keeps no papers.
	Papers PaperStore
}

// Options are what a shop needs to be told.
type Options struct {
	Now      func() time.Time // the clock
	NewID    func(prefix string) string
	Currency money.Currency // in which the shop reckons; EUR where empty
	Name     string         // of the shop, for papers
}

// Shop is the service. It is safe for concurrent use.
type Shop struct {
	stores Stores
	opt    Options

	bookMu   sync.RWMutex
	book     *refbook.Book
	bookEdit sync.Mutex // held while the book is edited

	market marketCache
	briefs briefCache
	books  booksCache
	wanted wantsCache
	lists  listLooks

	searching  searchKeys
	keptMu     sync.Mutex // held while a list that is kept as a setting changes
	naming     nameCache
	times      timesCache
	worths     worthCache
	watchNames watchNames
	profits    profitCache
	rates      ratesCache
}

// New opens a shop on its stores and its reference book.
func New(stores Stores, book *refbook.Book, opt Options) (*Shop, error) {
	if opt.Now == nil || opt.NewID == nil {
		return nil, fmt.Errorf("shop: options Now and NewID must be given")
	}
	if opt.Currency == "" {
		opt.Currency = "EUR"
	}
	if opt.Name == "" {
		opt.Name = "Midcase"
	}
	s := &Shop{stores: stores, opt: opt, book: book}
	s.briefs.entries = map[WatchID]briefEntry{}
	return s, nil
}

// Book is the reference book in force. Callers do not change it.
func (s *Shop) Book() *refbook.Book {
	s.bookMu.RLock()
	defer s.bookMu.RUnlock()
	return s.book
}

// Now is the shop's clock.
func (s *Shop) Now() time.Time { return s.opt.Now() }

// Name is the shop's name.
func (s *Shop) Name() string { return s.opt.Name }

// Currency is the currency in which the shop reckons.
func (s *Shop) Currency() money.Currency { return s.opt.Currency }
