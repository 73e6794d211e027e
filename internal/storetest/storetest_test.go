package storetest_test

import (
	"testing"

	"midcase/internal/shop"
	"midcase/internal/storetest"
)

func TestMemory(t *testing.T) {
	storetest.RunBlobs(t, func(*testing.T) shop.BlobStore { return new(storetest.Memory) })
}
