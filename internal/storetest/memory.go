package storetest

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"sync"

	"midcase/internal/shop"
)

// Memory is a blob store in memory, for tests. The zero Memory is empty and ready.
type Memory struct {
	mu    sync.Mutex
	blobs map[string][]byte
}

var _ shop.BlobStore = (*Memory)(nil)

// Put implements shop.BlobStore.
func (m *Memory) Put(ctx context.Context, r io.Reader, limit int64) (sha string, size int64, err error) {
	if limit < 0 {
		return "", 0, fmt.Errorf("put blob: limit %d bytes; want 0 or more", limit)
	}
	var b bytes.Buffer
	chunk := make([]byte, 32<<10)
	for {
		if err := ctx.Err(); err != nil {
			return "", 0, fmt.Errorf("put blob: %w", err)
		}
		n, err := r.Read(chunk)
		b.Write(chunk[:n])
		if int64(b.Len()) > limit {
			return "", 0, fmt.Errorf("put blob: %w: more than %d bytes", shop.ErrTooLarge, limit)
		}
		if err == io.EOF {
			break
		}
		if err != nil {
			return "", 0, fmt.Errorf("put blob: %w", err)
		}
	}
	sum := sha256.Sum256(b.Bytes())
	sha = hex.EncodeToString(sum[:])
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.blobs == nil {
		m.blobs = map[string][]byte{}
	}
	m.blobs[sha] = b.Bytes()
	return sha, int64(b.Len()), nil
}

// Open implements shop.BlobStore.
func (m *Memory) Open(ctx context.Context, sha string) (io.ReadSeekCloser, error) {
	if err := ctx.Err(); err != nil {
		return nil, fmt.Errorf("blob %q: %w", sha, err)
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	b, have := m.blobs[sha]
	if !have {
		return nil, fmt.Errorf("blob %q: %w", sha, shop.ErrNotFound)
	}
	return memoryFile{bytes.NewReader(b)}, nil
}

type memoryFile struct{ *bytes.Reader }

func (memoryFile) Close() error { return nil }
