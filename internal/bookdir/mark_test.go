package bookdir_test

import (
	"os"
	"path/filepath"
	"testing"
	"testing/fstest"
	"time"

	"midcase/internal/bookdir"
)

func TestMarkChangesWithTheFiles(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(t.TempDir(), "book")
	d := bookdir.Open(dir)
	mark := func() string {
		t.Helper()
		m, err := d.Mark(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		return m
	}
	path := filepath.Join(dir, "corvane.yaml")
	put := func(text string, at time.Time) {
		t.Helper()
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		if err := os.Chtimes(path, at, at); err != nil {
			t.Fatal(err)
		}
	}
	if mark() != "" {
		t.Error("a folder that is not there has a mark")
	}
	if err := os.MkdirAll(filepath.Join(dir, "history"), 0o700); err != nil {
		t.Fatal(err)
	}
	moment, longAgo := time.Now(), time.Now().Add(-time.Hour)
	seen := map[string]string{"": "nothing"}
	for _, step := range []struct {
		name string
		make func()
		same bool
	}{
		{"a file is there", func() { put("one", moment) }, false},
		{"of the same size, within one tick of the clock", func() { put("two", moment) }, false},
		{"settled", func() { put("two", longAgo) }, false},
		{"read again", func() {}, true},
		{"a version is kept", func() { os.WriteFile(filepath.Join(dir, "history", "x.yaml"), []byte("x"), 0o600) },
			true},
		{"of the same size, later", func() { put("one", longAgo.Add(time.Minute)) }, false},
		{"a second file", func() { os.WriteFile(filepath.Join(dir, "b.yaml"), nil, 0o600) }, false},
		{"the first is gone", func() { os.Remove(path) }, false},
	} {
		before := mark()
		step.make()
		now := mark()
		if step.same != (now == before) {
			t.Errorf("%s: the mark stayed: %t; want %t", step.name, now == before, step.same)
		}
		if other, known := seen[now]; known && !step.same {
			t.Errorf("%s: the mark is that of %s", step.name, other)
		}
		seen[now] = step.name
	}
}

func TestFixedBookIsReadAndNeverWritten(t *testing.T) {
	t.Parallel()
	b := bookdir.Fixed(fstest.MapFS{"corvane.yaml": {Data: []byte("id: corvane")}, "notes.txt": {Data: []byte("no")}})
	files, err := b.Files(t.Context())
	if err != nil || len(files) != 1 || string(files["corvane.yaml"]) != "id: corvane" {
		t.Errorf("files %q, %v", files, err)
	}
	if _, err := b.Write(t.Context(), "corvane.yaml", "", []byte("x"), note); err == nil {
		t.Error("a fixed book was written to")
	}
	if files, err := bookdir.Fixed(nil).Files(t.Context()); err != nil || len(files) != 0 {
		t.Errorf("an empty book has files %q, %v", files, err)
	}
}
