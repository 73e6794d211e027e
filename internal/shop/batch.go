package shop

import (
	"context"
	"time"

	"midcase/evidence"
	"midcase/market"
	"midcase/money"
)

// Batch is what came in together from one file.
type Batch struct {
	ID       string        `json:"id"`
	As       string        `json:"as"` // sales, stock, clients or bank
	File     string        `json:"file"`
	SHA256   string        `json:"sha256"` // of the file
	At       time.Time     `json:"at"`
	By       string        `json:"by"`
	Sales    []string      `json:"sales,omitempty"`   // ids of what it added
	Watches  []WatchID     `json:"watches,omitempty"` // likewise
	Clients  []string      `json:"clients,omitempty"`
	Entries  []string      `json:"entries,omitempty"` // of a bank statement: what was booked
	Lines    []string      `json:"lines,omitempty"`   // likewise: the keys of its lines
	Repeated int           `json:"repeated"`          // rows that were there already
	KeptOut  []OutRow      `json:"kept_out,omitempty"`
	Says     []string      `json:"says,omitempty"` // what came in but not whole, with its line
	Undone   *Undone       `json:"undone,omitempty"`
	Changed  []WatchChange `json:"changed,omitempty"` // watches that were there, and say now what the file says

	// Unbooked are watches whose purchase waits for an exchange rate; Late are entries that
	// were made for such ones once the rate was known.
	Unbooked []WatchID          `json:"unbooked,omitempty"`
	Late     map[WatchID]string `json:"late,omitempty"`
}

// Added is how many records the batch brought of what its file lists. A stock list may
// bring sellers and past sales beside its watches.
func (b Batch) Added() int {
	switch b.As {
	case "stock":
		return len(b.Watches)
	case "sales":
		return len(b.Sales)
	case "bank":
		return len(b.Lines)
	}
	return len(b.Clients)
}

// Brings reports whether the batch adds or changes anything.
func (b Batch) Brings() bool { return b.Added() > 0 || len(b.Changed) > 0 }

// RowsOut counts the rows that did not come in, without those that wait for an answer.
func (b Batch) RowsOut() int { return b.lines(func(o OutRow) bool { return !o.Cell && !o.Waits }) }

// RowsWaiting counts the rows that wait for the answer to a question.
func (b Batch) RowsWaiting() int { return b.lines(func(o OutRow) bool { return o.Waits }) }

// CellsOut counts the cells that were left out of rows that came in.
func (b Batch) CellsOut() int {
	n := 0
	for _, o := range b.KeptOut {
		if o.Cell {
			n++
		}
	}
	return n
}

func (b Batch) lines(is func(OutRow) bool) int {
	lines := map[int]bool{}
	for _, o := range b.KeptOut {
		if is(o) {
			lines[o.Line] = true
		}
	}
	return len(lines)
}

// OutRow is a row or a cell of it that was kept out.
type OutRow struct {
	Line   int    `json:"line"`
	Field  string `json:"field"`
	Found  string `json:"found"`
	Reason string `json:"reason"`
	Cell   bool   `json:"cell,omitempty"`  // only the cell; its row came in, or was there already
	Waits  bool   `json:"waits,omitempty"` // its row comes in once a question is answered
	Odd    bool   `json:"odd,omitempty"`   // the book or another file makes it look wrong
	There  bool   `json:"there,omitempty"` // its watch is in the shop, which says otherwise
}

// WatchChange is a watch of the shop whose record a file changed.
type WatchChange struct {
	Watch        WatchID     `json:"watch"`
	Asking       money.Money `json:"asking,omitzero"` // as it is since
	AskingBefore money.Money `json:"asking_before,omitzero"`
	State        State       `json:"state"`
	StateBefore  State       `json:"state_before"`
}

// Undone says when a batch was taken back, and what stayed.
type Undone struct {
	At    time.Time `json:"at"`
	By    string    `json:"by"`
	Taken int       `json:"taken"`
	Kept  []Stayed  `json:"kept,omitempty"`
}

// Stayed is a record that was not taken back, because something later stands on it.
type Stayed struct {
	What string `json:"what"` // sale, watch or client
	ID   string `json:"id"`
	Name string `json:"name"`
	Why  string `json:"reason"`
}

// NewWatch is a watch that a step adds, with its first evidence.
type NewWatch struct {
	Watch Watch
	Items []evidence.Item
}

// Import is what a step adds or takes back from a file, beside movements and entries.
type Import struct {
	Batch    Batch // over the one with its id, where there is one
	Watches  []NewWatch
	Sales    []market.Sale
	Withdraw []string // ids of sales that go
	Clients  []Client

	// Written is told, while the step is written, how many watches and sales are; it may be nil.
	Written func(records int)
}

// BatchStore keeps batches. KeepStep writes them.
type BatchStore interface {
	// Batches lists the batch with an id, or all where it is empty, the latest first.
	Batches(ctx context.Context, id string) ([]Batch, error)
}
