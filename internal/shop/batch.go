package shop

import (
	"context"
	"time"

	"midcase/evidence"
	"midcase/market"
)

// Batch is what came in together from one file.
type Batch struct {
	ID       string    `json:"id"`
	As       string    `json:"as"` // sales, stock or clients
	File     string    `json:"file"`
	SHA256   string    `json:"sha256"` // of the file
	At       time.Time `json:"at"`
	By       string    `json:"by"`
	Sales    []string  `json:"sales,omitempty"`   // ids of what it added
	Watches  []WatchID `json:"watches,omitempty"` // likewise
	Clients  []string  `json:"clients,omitempty"`
	Repeated int       `json:"repeated"` // rows that were there already
	KeptOut  []OutRow  `json:"kept_out,omitempty"`
	Says     []string  `json:"says,omitempty"` // what came in but not whole, with its line
	Undone   *Undone   `json:"undone,omitempty"`
}

// Added is how many records the batch brought.
func (b Batch) Added() int { return len(b.Sales) + len(b.Watches) + len(b.Clients) }

// OutRow is a row or a cell of it that was kept out.
type OutRow struct {
	Line   int    `json:"line"`
	Field  string `json:"field"`
	Found  string `json:"found"`
	Reason string `json:"reason"`
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
}

// BatchStore keeps batches. KeepStep writes them.
type BatchStore interface {
	// Batches lists the batch with an id, or all where it is empty, the latest first.
	Batches(ctx context.Context, id string) ([]Batch, error)
}
