package store

import (
	"path/filepath"
	"testing"

	"midcase/internal/storetest"
)

// engines runs the test on an empty store of each engine.
func engines(t *testing.T, run func(t *testing.T, open func(t *testing.T) *Store)) {
	t.Run("sqlite", func(t *testing.T) { run(t, openSQLite) })
	t.Run("postgres", func(t *testing.T) { needPostgres(t); run(t, openPostgres) })
}

func openSQLite(t *testing.T) *Store {
	t.Helper()
	return openURL(t, "sqlite:"+filepath.Join(t.TempDir(), "shop.db"))
}

func openURL(t *testing.T, url string) *Store {
	t.Helper()
	s, err := Open(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	return s
}

func TestConformance(t *testing.T) {
	t.Parallel()
	engines(t, func(t *testing.T, open func(t *testing.T) *Store) {
		storetest.Run(t, func(t *testing.T) storetest.Stores { return open(t) })
	})
}
