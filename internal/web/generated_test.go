package web_test

import (
	"bytes"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// TestPagesAreGenerated makes all pages anew from their templates, in a folder of its
// own, and finds what is in the repository.
func TestPagesAreGenerated(t *testing.T) {
	if testing.Short() {
		t.Skip("builds the generator")
	}
	dir := t.TempDir()
	var made []string
	err := filepath.WalkDir("pages", func(path string, d fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(path, ".templ") {
			return err
		}
		b, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		to := filepath.Join(dir, path)
		if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
			return err
		}
		made = append(made, strings.TrimSuffix(path, ".templ")+"_templ.go")
		return os.WriteFile(to, b, 0o644)
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(made) < 10 {
		t.Fatalf("%d templates found", len(made))
	}
	if out, err := exec.Command("go", "tool", "templ", "generate", "-log-level", "error", "-path",
		dir).CombinedOutput(); err != nil {
		t.Fatalf("templ generate: %v\n%s", err, out)
	}
	for _, path := range made {
		want, err := os.ReadFile(filepath.Join(dir, path))
		if err != nil {
			t.Fatal(err)
		}
		got, err := os.ReadFile(path)
		if err != nil {
			t.Fatalf("%v; run make generate", err)
		}
		if !bytes.Equal(pathless(got), pathless(want)) {
			t.Errorf("%s is not what its template gives; run make generate", path)
		}
	}
}

// pathless leaves out the lines in which the generator names the file, whose folder
// differs.
func pathless(b []byte) []byte {
	var out [][]byte
	for _, line := range bytes.Split(b, []byte("\n")) {
		if at := bytes.Index(line, []byte("FileName: `")); at >= 0 {
			line = line[:at]
		}
		out = append(out, line)
	}
	return bytes.Join(out, []byte("\n"))
}
