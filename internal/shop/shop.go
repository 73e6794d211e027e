package shop

import (
	"context"
	"fmt"
	"reflect"
	"sync"
	"sync/atomic"
	"time"

	"midcase/internal/shop/memo"
	"midcase/money"
)

// Stores is where the shop keeps things. All are needed; all but Blobs and Book are usually one
// database.
type Stores struct {
	Watches   WatchStore
	Sales     SaleStore
	Clients   ClientStore
	Opinions  OpinionStore
	Settings  SettingStore
	Steps     StepStore
	Privacy   PrivacyStore
	Papers    PaperStore
	Revisions RevisionStore
	Forms     FormStore
	Doors     DoorStore
	Batches   BatchStore
	Examples  ExampleStore
	Hooks     HookStore
	Texts     TextStore
	Links     LinkStore
	Blobs     BlobStore
	Book      BookStore
}

// Records is a database that keeps all that is kept in one.
type Records interface {
	WatchStore
	SaleStore
	ClientStore
	OpinionStore
	SettingStore
	StepStore
	PrivacyStore
	PaperStore
	RevisionStore
	FormStore
	DoorStore
	BatchStore
	ExampleStore
	HookStore
	TextStore
	LinkStore
}

// On are the stores of a shop that keeps all its records in one database.
func On(db Records, blobs BlobStore, book BookStore) Stores {
	return Stores{db, db, db, db, db, db, db, db, db, db, db, db, db, db, db, db, blobs, book}
}

// missing names a store that is not there.
func (s Stores) missing() string {
	v := reflect.ValueOf(s)
	for i := range v.NumField() {
		if v.Field(i).IsNil() {
			return v.Type().Field(i).Name
		}
	}
	return ""
}

// Options are what a shop needs to be told.
type Options struct {
	Now      func() time.Time // the clock
	NewID    func(prefix string) string
	Currency money.Currency // of the books until the shop chooses; EUR where empty
	Name     string         // of the shop, until it has a letterhead
}

// Shop is the service. It is safe for concurrent use.
type Shop struct {
	stores Stores
	opt    Options

	bookMu sync.Mutex
	book   knownBook

	known   known
	founded atomic.Pointer[founded]
	keptMu  sync.Mutex // held while a list that is kept as a setting changes

	clients *memo.Cache[struct{}, int64, *knownClients]
	looks   *memo.Cache[[2]string, int64, struct{}] // when a user last looked at a list, in minutes
}

// New opens a shop on its stores and reads its reference book.
func New(ctx context.Context, stores Stores, opt Options) (*Shop, error) {
	if opt.Now == nil || opt.NewID == nil {
		return nil, fmt.Errorf("shop: options Now and NewID must be given")
	}
	if name := stores.missing(); name != "" {
		return nil, fmt.Errorf("shop: store %s must be given", name)
	}
	if opt.Currency == "" {
		opt.Currency = "EUR"
	}
	if opt.Name == "" {
		opt.Name = "Midcase"
	}
	s := &Shop{stores: guarded(checked(stores)), opt: opt, known: newKnown(),
		clients: memo.New[struct{}, int64, *knownClients](1), looks: memo.New[[2]string, int64, struct{}](1000)}
	if _, err := s.Revision(ctx); err != nil {
		return nil, err
	}
	return s, nil
}

// Stores is where the shop keeps things.
func (s *Shop) Stores() Stores { return s.stores }

// NewID makes an id that no other record has; it begins with prefix.
func (s *Shop) NewID(prefix string) string { return s.opt.NewID(prefix) }

// Now is the shop's clock.
func (s *Shop) Now() time.Time { return s.opt.Now() }

// Name is the shop's name.
func (s *Shop) Name() string {
	if f := s.founded.Load(); f != nil {
		return f.name
	}
	return s.opt.Name
}

// Currency is the base currency, in which the books are kept.
func (s *Shop) Currency() money.Currency {
	if f := s.founded.Load(); f != nil {
		return f.currency
	}
	return s.opt.Currency
}
