package shop

import (
	"context"
	"time"
)

// Link is an address by which one client looks at what is told of one watch, without signing in. What stands in the
// address is known to whoever has it alone: the shop keeps its hash.
type Link struct {
	ID       string    `json:"id"`
	Watch    WatchID   `json:"watch"`
	Client   string    `json:"client"`
	Language string    `json:"language"`
	By       string    `json:"by"`
	Made     time.Time `json:"made"`
	Until    string    `json:"until"`          // the last day on which it opens, such as 2027-03-01
	Ended    time.Time `json:"ended,omitzero"` // when it was taken back

	Views int         `json:"views"`          // how often it was opened
	Seen  []time.Time `json:"seen,omitempty"` // the last times, the latest last
}

// SeenKept is how many times of opening are kept of a link; the number of all of them is kept in any case.
const SeenKept = 50

// Opens reports whether the link opens at a time.
func (l Link) Opens(at time.Time) bool {
	return l.Ended.IsZero() && at.Format(time.DateOnly) <= l.Until
}

// LinkFilter narrows a list of links. Zero fields do not narrow.
type LinkFilter struct {
	Watch  WatchID
	Client string
}

// LinkStore keeps links under the hash of what stands in their address.
type LinkStore interface {
	KeepLink(ctx context.Context, l Link, hash string) error
	// Links returns those that pass the filter, the latest first.
	Links(ctx context.Context, f LinkFilter) ([]Link, error)
	// LinkOf returns the link of a hash, or ErrNotFound.
	LinkOf(ctx context.Context, hash string) (Link, error)
	// EndLink takes a link back; one that was taken back before stays as it was.
	EndLink(ctx context.Context, id string, at time.Time) (Link, error)
	// SeeLink counts that a link was opened.
	SeeLink(ctx context.Context, id string, at time.Time) error
	// DropLinks takes the links to a client away for good, with the record of their being opened.
	DropLinks(ctx context.Context, client string) error
}
