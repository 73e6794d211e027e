package shop

import (
	"context"
	"time"
)

// HookStore keeps the addresses that hear of changes, how far they have heard, and what was sent to them.
type HookStore interface {
	KeepHook(ctx context.Context, h Hook) error
	// Hooks returns all, the oldest first.
	Hooks(ctx context.Context) ([]Hook, error)
	// DropHook takes one away with all that was to be sent to it; ErrNotFound where there is none.
	DropHook(ctx context.Context, id string) error
	// Heard is the place up to which changes were queued.
	Heard(ctx context.Context) (HookPlace, error)
	// QueueDeliveries adds deliveries and moves the place, both or neither. Where the place is no longer what it
	// was, another server has queued them: ErrConflict.
	QueueDeliveries(ctx context.Context, was, now HookPlace, all []Delivery) error
	// TakeDeliveries returns the deliveries that are due, the oldest first, and makes them due again only at another
	// time, so that no other server takes them meanwhile.
	TakeDeliveries(ctx context.Context, now, again time.Time, most int) ([]Delivery, error)
	// SettleDelivery writes what came of a try.
	SettleDelivery(ctx context.Context, d Delivery) error
	// Deliveries returns the last ones to an address, the latest first.
	Deliveries(ctx context.Context, hook string, last int) ([]Delivery, error)
}

// Hook is an address that hears of changes.
type Hook struct {
	ID     string    `json:"id"`
	URL    string    `json:"url"`
	Events []string  `json:"events"` // what it hears of
	Secret string    `json:"secret"` // with which deliveries are signed
	By     string    `json:"by"`
	Made   time.Time `json:"made"`
}

// HookPlace is how far changes were told: the places in the logs from which to read on.
type HookPlace struct {
	Cursor
	Entries int64
	Papers  int64
}

// Delivery is one message to an address.
type Delivery struct {
	ID    string    `json:"id"`
	Hook  string    `json:"hook"`
	Event string    `json:"event"`
	Body  string    `json:"body"`
	Made  time.Time `json:"made"`
	Due   time.Time `json:"due,omitzero"` // zero: delivered, or given up
	Done  time.Time `json:"done,omitzero"`
	Tries int       `json:"tries"`
	Says  string    `json:"says,omitempty"` // what came of the last try
}
