package shop

import (
	"context"
	"iter"
	"time"

	"midcase/evidence"
	"midcase/internal/shop/ledger"
)

// StepStore keeps stock movements, ledger entries and showings. None is ever changed or
// taken away.
type StepStore interface {
	// KeepStep keeps all of a step or nothing. A watch's stale version is ErrConflict; an
	// id that is there already is ErrExists, and so is a second counter-entry or a second
	// undoing of the same thing. It sets the places (Seq) and returns the step as kept.
	KeepStep(ctx context.Context, step Step) (Step, error)
	// Movements returns the movements of a watch in the order of their keeping; those of
	// all watches where id is empty.
	Movements(ctx context.Context, id WatchID) ([]Movement, error)
	// MovementsWith returns the movements in which a client had a part, as a person or a holder.
	MovementsWith(ctx context.Context, client string) ([]Movement, error)
	// Entries walks the ledger in the order of keeping.
	Entries(ctx context.Context, f EntryFilter) iter.Seq2[ledger.Entry, error]
	// Showings returns the showings that pass the filter in the order of their keeping.
	Showings(ctx context.Context, f ShowingFilter) ([]Showing, error)
	// VerifyLedger errs where the ledger's entries are not what was once kept.
	VerifyLedger(ctx context.Context) error
}

// EntryFilter narrows a walk over the ledger. Zero fields do not narrow.
type EntryFilter struct {
	From  int64 // places from this one on
	ID    string
	Watch WatchID // in the entry or in a line of it
	Party string  // likewise
	Last  int     // only so many, the last ones
	Limit int     // at most so many
}

// ShowingFilter narrows a list of showings. Zero fields do not narrow.
type ShowingFilter struct {
	From   int64 // places from this one on
	Watch  WatchID
	Client string
}

// PrivacyStore is what a store does for the privacy of clients.
type PrivacyStore interface {
	// EraseClient keeps c, from which personal data were taken, over the version that
	// it was read at, and makes everything that was kept of the client before unreadable.
	EraseClient(ctx context.Context, c Client) (Client, error)
	// RedactItem takes the words of an item away for good and withdraws it: by is the withdrawal, which is added to the
	// log with the hash of the record as it was. Opinions on the watch go, too, since they quote them.
	RedactItem(ctx context.Context, id WatchID, of evidence.ID, by evidence.Item) error
	// RedactNote takes the note of a watch away for good, with those of its earlier versions.
	RedactNote(ctx context.Context, id WatchID, at time.Time) (Watch, error)
	// LogAccess notes who saw or changed client data. Accesses are only ever added.
	LogAccess(ctx context.Context, a Access) error
	// Accesses returns the accesses to a client in the order of their happening; to all
	// where client is empty.
	Accesses(ctx context.Context, client string) ([]Access, error)
}

// Access is one look at, or change of, client data.
type Access struct {
	At     time.Time `json:"at"`
	By     string    `json:"by"`
	Client string    `json:"client,omitempty"` // empty for a list of many
	What   string    `json:"what"`             // seen, listed, added, changed, exported, erased, matched
}
