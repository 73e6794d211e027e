package shop

import (
	"context"
	"time"
)

// DoorStore keeps what is needed to tell who comes in.
type DoorStore interface {
	// TakeTry notes a try to sign in under the key of each limit, all of them or none. Where a limit has
	// no try left, none is noted and wait is how long until it has. Tries at once are counted one by one.
	TakeTry(ctx context.Context, id string, at time.Time, limits []TryLimit) (wait time.Duration, err error)
	// ForgetTries takes back a try, and all that stand under the keys.
	ForgetTries(ctx context.Context, id string, keys ...string) error
	// NoteSignIn adds to the record of who came in. Nothing is ever taken from it.
	NoteSignIn(ctx context.Context, s SignIn) error
	// SignIns returns the last ones, the latest first; all where last is 0.
	SignIns(ctx context.Context, last int) ([]SignIn, error)
	// Serve notes that a server answers for the shop until a time; the zero time ends it.
	Serve(ctx context.Context, id string, until time.Time) error
	// Served reports whether any server answers for the shop.
	Served(ctx context.Context, now time.Time) (bool, error)

	// KeepSession keeps what a browser's session holds until a time, under the hash of what the browser knows.
	KeepSession(ctx context.Context, hash string, data []byte, now, until time.Time) error
	// Session returns what is kept of a session that has not ended by now; ErrNotFound where there is none.
	Session(ctx context.Context, hash string, now time.Time) ([]byte, error)
	EndSession(ctx context.Context, hash string) error

	// KeepCredential adds a way in, or changes one of the same id.
	KeepCredential(ctx context.Context, c Credential) error
	// UseCredential writes data and use of a way in that is there; one that was dropped meanwhile stays dropped.
	UseCredential(ctx context.Context, c Credential) error
	// Credential returns one way in by its id, and Credentials those of a person, the oldest first.
	Credential(ctx context.Context, id string) (Credential, error)
	Credentials(ctx context.Context, person string) ([]Credential, error)
	// DropCredentials takes away one way in of a person, or all where id is empty.
	DropCredentials(ctx context.Context, person, id string) error
}

// Credential is a way in beside the password: a passkey, a code that changes, or a token for a program.
type Credential struct {
	ID     string // of a token the hash of what the program knows
	Person string
	Kind   string
	Name   string // how its owner knows it
	Data   string // what is needed to verify it
	Made   time.Time
	Used   time.Time // last; zero for never
}

// TryLimit is how many tries may stand under a key within a time.
type TryLimit struct {
	Key    string
	Most   int
	Within time.Duration
}

// SignIn is one thing that happened at the door.
type SignIn struct {
	At      time.Time `json:"at"`
	Name    string    `json:"name,omitempty"` // of the person; empty for one whom the shop does not know
	Address string    `json:"address,omitempty"`
	By      string    `json:"by,omitempty"` // who did it, where that was another person
	What    string    `json:"what"`
}
