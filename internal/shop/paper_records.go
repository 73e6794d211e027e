package shop

import (
	"context"
	"time"

	"midcase/money"
)

// PaperKind is a kind of paper that the shop makes.
type PaperKind string

// The kinds of papers. From the invoice on they are about a dealing and name the other side.
const (
	PaperReport         PaperKind = "report"
	PaperValuation      PaperKind = "valuation"
	PaperListing        PaperKind = "listing"
	PaperIdentification PaperKind = "identification"
	PaperTrace          PaperKind = "trace"
	PaperInvoice        PaperKind = "invoice"
	PaperCredit         PaperKind = "credit note"
	PaperMemo           PaperKind = "memo note"
	PaperPurchase       PaperKind = "purchase statement"
	PaperConsignment    PaperKind = "consignment note"
	PaperWork           PaperKind = "repair order"
	PaperPacking        PaperKind = "packing list"
	PaperSettlement     PaperKind = "settlement" // with the owner of a consigned watch
)

// PaperKinds lists the kinds in the order in which they are offered.
func PaperKinds() []PaperKind {
	return []PaperKind{PaperReport, PaperValuation, PaperListing, PaperIdentification, PaperTrace, PaperInvoice,
		PaperCredit, PaperMemo, PaperPurchase, PaperConsignment, PaperSettlement, PaperWork, PaperPacking}
}

// Personal says whether a paper names a client.
func (k PaperKind) Personal() bool {
	switch k {
	case PaperInvoice, PaperCredit, PaperMemo, PaperPurchase, PaperConsignment, PaperSettlement, PaperWork, PaperPacking:
		return true
	}
	return false
}

// Paper is a paper that the shop made and keeps: what it is and how to know it again.
// It says nothing about people but a client's id.
type Paper struct {
	Seq      int64       `json:"seq"` // its place among all papers, from 0; set by the store
	ID       string      `json:"id"`
	Kind     PaperKind   `json:"kind"`
	Series   string      `json:"series"`
	InSeries int         `json:"in_series"` // from 1, without a gap
	Number   string      `json:"number"`    // as printed
	Watch    WatchID     `json:"watch"`
	Title    string      `json:"title"`
	Day      string      `json:"day"` // on the paper, 2006-01-02
	At       time.Time   `json:"at"`
	By       string      `json:"by"`
	Client   string      `json:"client,omitempty"` // a client's id
	Step     string      `json:"step,omitempty"`   // id of the movement that it is about
	Entry    string      `json:"entry,omitempty"`  // id of the ledger's entry
	Cancels  string      `json:"cancels,omitempty"`
	Total    money.Money `json:"total,omitzero"`
	Files    []PaperFile `json:"files"`
	LogSize  int64       `json:"log_size"` // of the evidence log when it was made
	LogRoot  string      `json:"log_root,omitempty"`
}

// PaperFile is one file of a paper.
type PaperFile struct {
	Ending string `json:"ending"` // pdf, md, json, html
	SHA256 string `json:"sha256"`
	Size   int    `json:"size"`
	Kept   bool   `json:"kept"` // among the blobs; else it is printed again from what the paper says
}

// PaperFilter narrows a list of papers. Zero fields do not narrow.
type PaperFilter struct {
	Watch   WatchID
	Holding string // a text that must stand in the record, such as a number or the sum of a file
	Limit   int
}

// PaperStore keeps papers. None is ever changed or taken away.
type PaperStore interface {
	// LastPaper is the last number of a series; 0 where there is none.
	LastPaper(ctx context.Context, series string) (int, error)
	// KeepPaper adds a paper with what it says, which is encrypted with the key of its
	// client where there is one. A number that is not the next of its series is
	// ErrConflict. It sets Seq and returns the paper as kept.
	KeepPaper(ctx context.Context, p Paper, content string) (Paper, error)
	// Papers returns the papers that pass the filter, latest first.
	Papers(ctx context.Context, f PaperFilter) ([]Paper, error)
	// Paper returns one paper with what it says, or ErrNotFound. Of a client who was
	// erased the paper stays and what it says is empty.
	Paper(ctx context.Context, id string) (Paper, string, error)
}
