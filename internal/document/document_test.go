package document

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
)

func TestRender(t *testing.T) {
	dir := os.Getenv("RENDER")
	if dir == "" {
		t.Skip()
	}
	for name, r := range map[string]Report{"rich": rich(t), "extreme": extreme(t), "minimal": minimal()} {
		var b bytes.Buffer
		if err := WritePDF(&b, r); err != nil {
			t.Fatal(name, err)
		}
		os.WriteFile(filepath.Join(dir, name+".pdf"), b.Bytes(), 0o644)
		t.Log(name, b.Len())
	}
}
