package cli

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"midcase/notes"
)

// Notes and note columns are read with the words of the shop that was named, and without them elsewhere.
func TestReadKnowsTheShopsWords(t *testing.T) {
	t.Setenv(storeURLVariable, "")
	t.Setenv(clientKeyVariable, "")
	book, err := filepath.Abs(filepath.Join("..", "..", "notes", "testdata", "book"))
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	var out bytes.Buffer
	a := &app{ctx: t.Context(), command: "read notes", out: &out, err: &out,
		now: func() time.Time { return time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC) }}
	s, err := a.openAt("shop", true)
	if err != nil {
		t.Fatal(err)
	}
	err = s.Intake.LearnWord(t.Context(), notes.Own{Say: "peppered", Term: "spotting"}, "Ines")
	s.close()
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{"note.txt": "dial peppered near 4",
		"list.csv": "Maker,Ref,Notes\nTarnholt,K-31,dial peppered near 4\n"} {
		if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for _, shop := range []string{"shop", ""} {
		a.shop = shop
		for what, read := range map[string]func(*app) error{
			"notes": readNotesCmd{File: "note.txt", Book: book, JSON: true}.Run,
			"table": readTableCmd{File: "list.csv", As: "stock", Book: book, JSON: true}.Run,
		} {
			out.Reset()
			if err := read(a); err != nil {
				t.Fatalf("%s: %v", what, err)
			}
			if got := strings.Contains(out.String(), `"spotting"`); got != (shop != "") {
				t.Errorf("%s, shop %q: spotting is %t\n%s", what, shop, got, out.String())
			}
		}
	}
}
