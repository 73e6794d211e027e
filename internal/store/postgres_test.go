package store

import (
	"errors"
	"fmt"
	"os"
	"sync"
	"sync/atomic"
	"testing"

	"midcase/internal/storetest/pgtest"
)

// TestMain stops the PostgreSQL server at the end, if a test started one.
func TestMain(m *testing.M) {
	crashChild() // does not return in the process that TestCrash starts
	code := m.Run()
	if server.Cluster != nil {
		server.Stop()
	}
	os.Exit(code)
}

// server is one throw-away PostgreSQL server for all tests of the package.
var server struct {
	start sync.Once
	*pgtest.Cluster
	err       error
	databases atomic.Int64
	template  sync.Once
	from      string // the name of the template
	creating  sync.Mutex
}

// needPostgres starts the server. Without one the test is skipped, or fails where the
// environment has MIDCASE_TEST_POSTGRES=required.
func needPostgres(t *testing.T) {
	t.Helper()
	server.start.Do(func() { server.Cluster, server.err = pgtest.Start() })
	switch {
	case server.err == nil:
	case errors.Is(server.err, pgtest.ErrNone) && os.Getenv("MIDCASE_TEST_POSTGRES") != "required":
		t.Skipf("PostgreSQL NOT TESTED: %v", server.err)
	default:
		t.Fatalf("PostgreSQL: %v", server.err)
	}
}

// openPostgres opens a store in a database of its own, copied from one that was made
// once, which is quicker than making the tables each time.
func openPostgres(t *testing.T) *Store {
	t.Helper()
	server.template.Do(func() {
		server.from = "shop_empty"
		createDatabase(t, server.from, "template1")
		s, err := Open(t.Context(), postgresURL(server.from))
		if err != nil {
			t.Fatal(err)
		}
		s.Close()
	})
	name := fmt.Sprintf("shop_%d", server.databases.Add(1))
	createDatabase(t, name, server.from)
	return openURL(t, postgresURL(name))
}

// newDatabase makes a database without any tables.
func newDatabase(t *testing.T) string {
	t.Helper()
	name := fmt.Sprintf("shop_%d", server.databases.Add(1))
	createDatabase(t, name, "template1")
	return postgresURL(name)
}

func createDatabase(t *testing.T, name, template string) {
	t.Helper()
	server.creating.Lock() // two copies of one template at once disturb each other
	defer server.creating.Unlock()
	if err := server.Create(t.Context(), name, template); err != nil {
		t.Fatal(err)
	}
}

func postgresURL(database string) string { return server.URL(database) }
