package storetest

import (
	"context"
	"errors"
	"fmt"
	"testing"
	"time"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/market"
	"midcase/money"
)

// Stores is what a store of the shop's records must be able to do.
type Stores interface {
	shop.Records

	// CountWatches is how many watches pass the filter, whatever its limit and offset.
	CountWatches(ctx context.Context, f shop.Filter) (int, error)
	// CheckHead errs where the log does not begin with what this head stood for.
	CheckHead(ctx context.Context, size int64, root string) error
	// Verify errs where the log is not what was written.
	Verify(ctx context.Context) error
	// Rebuild makes every view anew from what cannot be changed.
	Rebuild(ctx context.Context) error
}

// Run tests the stores that open yields. Each call of open must give an empty one,
// and close it at the end of the test.
func Run(t *testing.T, open func(t *testing.T) Stores) {
	runAll(t, open, []suiteTest{
		{"CreateWatch", testCreateWatch},
		{"CreateWatchAllOrNone", testCreateWatchAllOrNone},
		{"FindWatch", testFindWatch},
		{"UpdateWatch", testUpdateWatch},
		{"FilterWatches", testFilterWatches},
		{"Append", testAppend},
		{"AppendEveryKind", testAppendEveryKind},
		{"Head", testHead},
		{"AddSales", testAddSales},
		{"SalesInOrder", testSalesInOrder},
		{"NewestSales", testNewestSales},
		{"SalesWhileChanging", testSalesWhileChanging},
		{"PricesExact", testPricesExact},
		{"Step", testStep},
		{"StepAllOrNone", testStepAllOrNone},
		{"OwnSale", testOwnSale},
		{"Ledger", testLedger},
		{"Showings", testShowings},
		{"Accesses", testAccesses},
		{"Clients", testClients},
		{"ClientsInOrder", testClientsInOrder},
		{"Opinions", testOpinions},
		{"Papers", testPapers},
		{"Examples", testExamples},
		{"Hooks", testHooks},
		{"Texts", testTexts},
		{"Links", testLinks},
		{"Settings", testSettings},
		{"Revision", testRevision},
		{"RevisionOfWhatFailed", testRevisionOfWhatFailed},
		{"FormOnce", testFormOnce},
		{"FormAnswer", testFormAnswer},
		{"Tries", testTries},
		{"SignIns", testSignIns},
		{"Sessions", testSessions},
		{"Credentials", testCredentials},
		{"Served", testServed},
		{"OddText", testOddText},
		{"ConcurrentAppend", testConcurrentAppend},
		{"ConcurrentUpdate", testConcurrentUpdate},
		{"CallerMemory", testCallerMemory},
		{"Cancelled", testCancelled},
		{"Rebuild", testRebuild},
	})
}

// RunClients tests what Run does of clients, for stores that keep them in another way.
func RunClients(t *testing.T, open func(t *testing.T) Stores) {
	runAll(t, open, []suiteTest{
		{"Clients", testClients},
		{"ClientsInOrder", testClientsInOrder},
		{"OddText", testOddText},
		{"CallerMemory", testCallerMemory},
		{"Rebuild", testRebuild},
	})
}

type suiteTest struct {
	name string
	run  func(*testing.T, Stores)
}

func runAll(t *testing.T, open func(t *testing.T) Stores, tests []suiteTest) {
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			test.run(t, open(t))
		})
	}
}

// day is the moment at which the tests take place.
var day = time.Date(2026, 3, 1, 10, 15, 0, 123456789, time.FixedZone("", 3600))

func newWatch(id string) shop.Watch {
	return shop.Watch{
		ID: shop.WatchID(id), Title: "Diver in steel", Maker: "Maker " + id, Reference: "R-" + id, Serial: "S " + id,
		State: shop.Offered, Place: "safe", Asked: money.MustParse("4250.50", "CHF"), Created: day, Changed: day,
	}
}

// seen is one item of evidence with the note as its text.
func seen(id, text string) evidence.Item {
	return evidence.Item{ID: evidence.ID(id), At: day, By: "Ada", Note: "loupe",
		Data: &evidence.Mark{What: evidence.MarkSerial, Slot: evidence.Case, Text: text}}
}

func newSale(id, date, price string) market.Sale {
	return market.Sale{ID: id, Date: date, Maker: "Maker", Reference: "R-1", Price: money.MustParse(price, "EUR")}
}

func create(t *testing.T, s Stores, w shop.Watch, items ...evidence.Item) shop.Watch {
	t.Helper()
	kept, err := s.CreateWatch(t.Context(), w, items...)
	if err != nil {
		t.Fatal(err)
	}
	return kept
}

// ok fails the test at once on an error.
func ok(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// must passes on a value and fails the test at once on its error.
func must[T any](v T, err error) func(t *testing.T) T {
	return func(t *testing.T) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

func wantErr(t *testing.T, what string, err, want error) {
	t.Helper()
	if !errors.Is(err, want) {
		t.Errorf("%s: error %v; want %v", what, err, want)
	}
}

func equal[T comparable](t *testing.T, what string, got, want T) {
	t.Helper()
	if got != want {
		t.Errorf("%s: got %v; want %v", what, got, want)
	}
}

// same compares values by how they print, times by their moment.
func same(t *testing.T, what string, got, want any) {
	t.Helper()
	if g, w := fmt.Sprintf("%+v", got), fmt.Sprintf("%+v", want); g != w {
		t.Errorf("%s:\n got %s\nwant %s", what, g, w)
	}
}

func allSales(t *testing.T, s Stores) []market.Sale {
	t.Helper()
	var out []market.Sale
	for sale, err := range s.Sales(t.Context()) {
		ok(t, err)
		out = append(out, sale)
	}
	return out
}
