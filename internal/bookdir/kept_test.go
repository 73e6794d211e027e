package bookdir_test

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"midcase/internal/bookdir"
	"midcase/internal/shop"
)

// Any bit of a file that was kept is found, until whoever edited it says so; a file that is gone too.
func TestCheckFindsWhatWasChangedOutside(t *testing.T) {
	t.Parallel()
	ctx, dir := t.Context(), t.TempDir()
	path := filepath.Join(dir, "corvane.yaml")
	text := []byte(strings.Repeat("id: corvane\nname: Corvane\n# a remark\n", 20))
	put := func(b []byte) {
		t.Helper()
		if err := os.WriteFile(path, b, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	faults := func() []bookdir.Fault {
		t.Helper()
		out, err := bookdir.Open(dir).Check(ctx)
		if err != nil {
			t.Fatal(err)
		}
		return out
	}
	keep := func(changed bool) []string {
		t.Helper()
		note := shop.BookNote{At: time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC), By: "Ines"}
		out, err := bookdir.Open(dir).Keep(ctx, note, changed)
		if err != nil {
			t.Fatal(err)
		}
		return out
	}
	put(text)
	if got := keep(false); len(got) != 1 {
		t.Errorf("kept %v; want the one file", got)
	}
	if got := append(keep(false), keep(true)...); len(got) != 0 {
		t.Errorf("kept again: %v", got)
	}
	random := rand.New(rand.NewPCG(1, 2))
	for range 60 {
		b := append([]byte(nil), text...)
		at := random.IntN(len(b))
		b[at] ^= 1 << random.IntN(8)
		put(b)
		if got := faults(); len(got) != 1 || !strings.Contains(got[0].Says, "changed outside the program since 2026-03-02") {
			t.Errorf("byte %d: %v", at, got)
		}
	}
	put(append([]byte("id: corvane\nname: Another\n"), text[26:]...))
	if got := faults(); len(got) != 1 || !strings.Contains(got[0].Says, "from line 2 on") {
		t.Errorf("an edit by hand: %v", got)
	}
	if got := keep(false); len(got) != 0 || len(faults()) != 1 {
		t.Errorf("kept unasked: %v", got)
	}
	if got := keep(true); len(got) != 1 || len(faults()) != 0 {
		t.Errorf("kept: %v; then %v", got, faults())
	}
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	if got := faults(); len(got) != 1 || !strings.Contains(got[0].Says, "missing") {
		t.Errorf("a file that is gone: %v", got)
	}
}
