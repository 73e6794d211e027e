package store

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// killed is the files of a store whose program was killed: what was acknowledged stands in the write-ahead log.
func killed(t *testing.T) (database, wal []byte) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "shop.db")
	s := openURL(t, path)
	if err := s.flush(t.Context()); err != nil {
		t.Fatal(err)
	}
	fill(t, s, 20)
	var err error
	if database, err = os.ReadFile(path); err != nil {
		t.Fatal(err)
	}
	if wal, err = os.ReadFile(path + "-wal"); err != nil {
		t.Fatal(err)
	}
	return database, wal
}

func lay(t *testing.T, database, wal []byte) (path string) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "shop.db")
	for name, b := range map[string][]byte{path: database, path + "-wal": wal} {
		if err := os.WriteFile(name, b, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return path
}

// Each bit of the write-ahead log counts: SQLite passes over all that follows a flipped one.
func TestBitFlipsOfTheWriteAheadLog(t *testing.T) {
	t.Parallel()
	database, wal := killed(t)
	random := rand.New(rand.NewPCG(3, 4))
	const flips = 60
	found := 0
	for range flips {
		at, bit := random.IntN(len(wal)), byte(1)<<random.IntN(8)
		wal[at] ^= bit
		c, err := OpenCopy(t.Context(), lay(t, database, wal))
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range findings(t, c) {
			if strings.Contains(f.Says, "write-ahead log") {
				found++
				break
			}
		}
		c.Close()
		wal[at] ^= bit
	}
	if found != flips {
		t.Errorf("%d of %d flips in %d bytes were found", found, flips, len(wal))
	}
}

// A program killed in the middle of a change leaves a log that is cut somewhere: nothing was acknowledged of
// what is missing.
func TestACutWriteAheadLogIsNoDamage(t *testing.T) {
	t.Parallel()
	database, wal := killed(t)
	random := rand.New(rand.NewPCG(5, 6))
	for range 20 {
		cut := random.IntN(len(wal))
		c, err := OpenCopy(t.Context(), lay(t, database, wal[:cut]))
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range findings(t, c) {
			t.Errorf("cut at %d of %d: %v", cut, len(wal), f)
		}
		c.Close()
	}
}

// A program that opens a shop with a damaged log keeps what is left of it, and goes on saying so.
func TestADamagedWriteAheadLogIsKept(t *testing.T) {
	t.Parallel()
	database, wal := killed(t)
	wal[len(wal)/2] ^= 4
	path := lay(t, database, wal)
	for range 2 {
		s := openURL(t, path)
		got, err := s.CheckLight(t.Context())
		if err != nil || len(got) != 1 || !strings.Contains(got[0].Says, "Record them again") {
			t.Errorf("%v, %v; want to be told of the damaged log", got, err)
		}
		if kept, err := os.ReadFile(path + damagedName + "-1"); err != nil || string(kept) != string(wal) {
			t.Errorf("the damaged log was not kept: %d bytes, %v", len(kept), err)
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
	}
}
