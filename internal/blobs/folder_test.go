package blobs

import (
	"testing"

	"midcase/internal/shop"
	"midcase/internal/storetest"
)

func openFolder(t *testing.T) *Folder {
	t.Helper()
	f, err := Dir(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	return f
}

func TestConformance(t *testing.T) {
	storetest.RunBlobs(t, func(t *testing.T) shop.BlobStore { return openFolder(t) })
}
