package shop

import (
	"context"
	"errors"
	"io"
	"iter"
	"time"

	"midcase/evidence"
	"midcase/market"
)

// The few kinds of error that stores return, wrapped with what was asked. Each maps
// once to an HTTP status (internal/web) and an exit code (internal/cli).
var (
	ErrNotFound = errors.New("not found")
	ErrConflict = errors.New("changed by somebody else meanwhile")
	ErrExists   = errors.New("exists already")

	ErrAmbiguous = errors.New("more than one match")
	ErrTooLarge  = errors.New("too large")
	ErrDiskFull  = errors.New("the disk is full")
	ErrReplaced  = errors.New("the database file was deleted or replaced while it was in use; nothing was recorded: " +
		"put it back and start again")
	ErrOtherLog = errors.New("the log is not the one that was open; nothing was recorded")
	ErrDamaged  = errors.New("damaged") // what is kept is not what was put there
)

// notFound is ErrNotFound in words of its own.
type notFound struct{ says string }

// notFoundSays makes an ErrNotFound in words of its own.
func NotFound(says string) error { return &notFound{says} }

func (e *notFound) Error() string { return e.says }
func (e *notFound) Unwrap() error { return ErrNotFound }

// WatchStore keeps the stock list and the evidence log.
type WatchStore interface {
	// CreateWatch adds a watch with its first evidence in one transaction. It sets
	// Number to the next free one and Version to 1 and returns the watch as kept.
	CreateWatch(ctx context.Context, w Watch, items ...evidence.Item) (Watch, error)
	// Watch returns one watch, or ErrNotFound.
	Watch(ctx context.Context, id WatchID) (Watch, error)
	// FindWatch resolves an id, a file number (12 or #12) or a serial number, in this
	// order. A serial number that several watches carry is ErrAmbiguous.
	FindWatch(ctx context.Context, key string) (Watch, error)
	// Watches lists the watches that pass the filter, by file number.
	Watches(ctx context.Context, f Filter) ([]Watch, error)
	// UpdateWatch writes w over the version it was read at, or returns ErrConflict. The
	// file number and the time of creation stay as they are.
	UpdateWatch(ctx context.Context, w Watch) (Watch, error)
	// Append adds items to the watch's log, all or none. An id that this watch has
	// already is ErrExists.
	Append(ctx context.Context, id WatchID, items ...evidence.Item) error
	// Evidence returns the watch's items in the order of recording.
	Evidence(ctx context.Context, id WatchID) ([]evidence.Item, error)
	// ItemsOfReference returns the items of some kinds of all watches of a reference.
	ItemsOfReference(ctx context.Context, maker, reference string, kinds ...evidence.Kind) (map[WatchID][]evidence.Item,
		error)
	// ChangedWatches returns the watches changed since a cursor, and those of which evidence was
	// added. From the zero Cursor it is all watches.
	ChangedWatches(ctx context.Context, since Cursor) (changed []Watch, examined []WatchID, now Cursor, err error)
	// Head is the size of the evidence log and the root of its hash tree.
	Head(ctx context.Context) (size int64, root string, err error)
}

// Filter narrows a list of watches. Zero fields do not narrow.
type Filter struct {
	// Text is words that must all be found in title, maker, reference, serial, place or
	// note, without regard to case or accents.
	Text      string
	State     State
	Maker     string
	Reference string
	Limit     int
	Offset    int
}

// SaleStore keeps the market records.
type SaleStore interface {
	// AddSales adds the sales that are not there yet, by id, and says how many. Where there were any,
	// it notes in the same transaction when they were imported.
	AddSales(ctx context.Context, sales []market.Sale, at time.Time) (added int, err error)
	// SalesImported is when sales were last added; zero where never.
	SalesImported(ctx context.Context) (time.Time, error)
	// Sales walks all sales in a fixed order.
	Sales(ctx context.Context) iter.Seq2[market.Sale, error]
	// SalesAfter walks sales backwards in time from the one after a place, from the newest on where that is zero: those
	// at least that hold all the words somewhere.
	SalesAfter(ctx context.Context, after SalePlace, words []string) iter.Seq2[market.Sale, error]
	// SaleCount is the number of sales; it grows with every sale added.
	SaleCount(ctx context.Context) (int, error)
	// SalesThere tells which of the ids are those of sales on record.
	SalesThere(ctx context.Context, ids []string) (map[string]bool, error)
	// Sale returns one sale, or ErrNotFound.
	Sale(ctx context.Context, id string) (market.Sale, error)
}

// SalePlace is the place of a sale in the list of sales, the newest first.
type SalePlace struct{ Date, ID string }

// ClientStore keeps the clients.
type ClientStore interface {
	CreateClient(ctx context.Context, c Client) (Client, error)
	Client(ctx context.Context, id string) (Client, error)
	Clients(ctx context.Context) ([]Client, error)
	UpdateClient(ctx context.Context, c Client) (Client, error)
}

// OpinionStore keeps opinions that were formed.
type OpinionStore interface {
	KeepOpinion(ctx context.Context, o KeptOpinion) error
	// Opinions returns the kept opinions of a watch, latest first.
	Opinions(ctx context.Context, id WatchID) ([]KeptOpinion, error)
	// LatestOpinions returns of each watch the opinion kept last, without its text.
	LatestOpinions(ctx context.Context) ([]KeptOpinion, error)
}

// SettingStore keeps small settings as text by name.
type SettingStore interface {
	Setting(ctx context.Context, name string) (string, error) // ErrNotFound where never set
	SetSetting(ctx context.Context, name, value string) error
	// ReplaceSetting sets a setting that still is what it was, empty for one never set; else it is ErrConflict.
	ReplaceSetting(ctx context.Context, name, was, value string) error
}

// BlobStore keeps pictures and sound by the SHA-256 of their bytes, in hex.
type BlobStore interface {
	// Put stores what r yields, up to limit bytes (more is ErrTooLarge), and returns its
	// name. Storing the same bytes again changes nothing.
	Put(ctx context.Context, r io.Reader, limit int64) (sha string, size int64, err error)
	// Open returns the bytes, ErrNotFound, or ErrDamaged where they no longer have their name.
	Open(ctx context.Context, sha string) (io.ReadSeekCloser, error)
}
