package demo

import (
	"bytes"
	"testing"

	"midcase/evidence"
)

func TestWatchFilesAreValid(t *testing.T) {
	w := NewWorld(1)
	for _, x := range w.Watches {
		b, err := x.JSON()
		if err != nil {
			t.Fatal(err)
		}
		if _, err := evidence.ReadWatch(bytes.NewReader(b), x.File, worldDay); err != nil {
			t.Error(err)
		}
	}
	if err := w.WritePlain("/tmp/demo/out", nil); err != nil {
		t.Fatal(err)
	}
}
