package bookdir_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"midcase/internal/bookdir"
	"midcase/internal/shop"
)

var note = shop.BookNote{At: time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC), By: "Ines", Why: "a card was found"}

func write(t *testing.T, d *bookdir.Dir, base, text string) error {
	t.Helper()
	_, err := d.Write(t.Context(), "corvane.yaml", base, []byte(text), note)
	return err
}

func TestVersionsStayAndNothingIsWrittenOverUnseen(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(t.TempDir(), "book")
	d := bookdir.Open(dir)
	if files, err := d.Files(t.Context()); err != nil || len(files) != 0 {
		t.Fatalf("a folder that is not there: %v, %v", files, err)
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(dir, "corvane.yaml")
	if err := os.WriteFile(path, []byte("by hand"), 0o640); err != nil {
		t.Fatal(err)
	}
	if err := write(t, d, "", "blind"); !errors.Is(err, shop.ErrConflict) {
		t.Errorf("written over unseen: %v", err)
	}
	if err := write(t, d, bookdir.Sum([]byte("by hand")), "first"); err != nil {
		t.Fatal(err)
	}
	if err := write(t, d, bookdir.Sum([]byte("by hand")), "late"); !errors.Is(err, shop.ErrConflict) {
		t.Errorf("the second of two windows: %v", err)
	}
	if err := os.WriteFile(path, []byte("by hand again"), 0o640); err != nil {
		t.Fatal(err)
	}
	if err := write(t, d, bookdir.Sum([]byte("by hand again")), "second"); err != nil {
		t.Fatal(err)
	}
	all, err := d.Versions(t.Context(), "corvane.yaml")
	if err != nil || len(all) != 4 {
		t.Fatalf("%d versions, %v", len(all), err)
	}
	for i, text := range []string{"by hand", "first", "by hand again", "second"} {
		got, v, err := d.Version(t.Context(), "corvane.yaml", i+1)
		if err != nil || string(got) != text || v.N != i+1 {
			t.Errorf("version %d: %q, %v", i+1, got, err)
		}
	}
	if all[3].By != "Ines" || all[3].Why != note.Why || !all[3].At.Equal(note.At) {
		t.Errorf("who and why: %+v", all[3])
	}
	if b, err := os.ReadFile(path); err != nil || string(b) != "second" {
		t.Errorf("the file: %q, %v", b, err)
	}
	if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o640 {
		t.Errorf("mode %v, %v; want the one that it had", info.Mode(), err)
	}
	if files, err := d.Files(t.Context()); err != nil || len(files) != 1 {
		t.Errorf("files %d, %v; the history is none of them", len(files), err)
	}
}

func TestNamesThatLeadElsewhere(t *testing.T) {
	t.Parallel()
	d := bookdir.Open(t.TempDir())
	for _, name := range []string{"", "../x.yaml", "a/b.yaml", "x.yml", ".yaml", "X.yaml",
		strings.Repeat("a", 80) + ".yaml"} {
		if _, err := d.Write(t.Context(), name, "", []byte("x"), note); !errors.Is(err, shop.ErrNotFound) {
			t.Errorf("%q: %v", name, err)
		}
		if _, err := d.Versions(t.Context(), name); !errors.Is(err, shop.ErrNotFound) {
			t.Errorf("%q: %v", name, err)
		}
	}
}

func TestAKeptTextThatWasChanged(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	d := bookdir.Open(dir)
	if err := write(t, d, "", "first"); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "history", "corvane.yaml", "00001.yaml"), []byte("other"),
		0o600); err != nil {
		t.Fatal(err)
	}
	if _, _, err := d.Version(t.Context(), "corvane.yaml", 1); err == nil {
		t.Error("a changed version was given out as kept")
	}
	if _, _, err := d.Version(t.Context(), "corvane.yaml", 2); !errors.Is(err, shop.ErrNotFound) {
		t.Errorf("a version that is not there: %v", err)
	}
}

// A writer that was killed while it wrote the line of a version leaves a torn line, which blocks no later
// edit and is not counted.
func TestATornLineBlocksNothing(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	d := bookdir.Open(dir)
	if err := write(t, d, "", "first"); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(dir, "history", "corvane.yaml", "versions.jsonl")
	f, err := os.OpenFile(path, os.O_APPEND|os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := f.WriteString(`{"n":2,"su`); err != nil {
		t.Fatal(err)
	}
	f.Close()
	if all, err := d.Versions(t.Context(), "corvane.yaml"); err != nil || len(all) != 1 {
		t.Errorf("%d versions, %v; want the whole one", len(all), err)
	}
	if err := write(t, d, bookdir.Sum([]byte("first")), "second"); err != nil {
		t.Fatal(err)
	}
	if all, err := d.Versions(t.Context(), "corvane.yaml"); err != nil || len(all) != 2 || all[1].N != 2 {
		t.Errorf("%v, %v; want two versions", all, err)
	}
	if faults, err := d.Check(t.Context()); err != nil || len(faults) > 0 {
		t.Errorf("%v, %v", faults, err)
	}
}

func TestCheckFindsAChangedVersion(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	d := bookdir.Open(dir)
	if err := write(t, d, "", "first"); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(dir, "history", "corvane.yaml", "00001.yaml")
	if err := os.WriteFile(path, []byte("firsu"), 0o600); err != nil {
		t.Fatal(err)
	}
	faults, err := d.Check(t.Context())
	if err != nil || len(faults) != 1 || faults[0].File != "corvane.yaml" ||
		!strings.Contains(faults[0].Says, "not what was kept") {
		t.Errorf("%v, %v", faults, err)
	}
}

func TestOneOfManyWriters(t *testing.T) {
	t.Parallel()
	d := bookdir.Open(t.TempDir())
	var wg sync.WaitGroup
	var mu sync.Mutex
	won := 0
	for range 8 {
		wg.Go(func() {
			_, err := d.Write(t.Context(), "corvane.yaml", "", []byte("x"), note)
			mu.Lock()
			defer mu.Unlock()
			if err == nil {
				won++
			} else if !errors.Is(err, shop.ErrConflict) {
				t.Error(err)
			}
		})
	}
	wg.Wait()
	if won != 1 {
		t.Errorf("%d writers of a new file won", won)
	}
}
