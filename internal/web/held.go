package web

import (
	"sync"
	"time"
)

// heldFile is a file between being read and being brought in. It is held in memory, never
// on disk, for the one who sent it; where the program stops meanwhile, it is chosen again.
type heldFile struct {
	token, name, by string
	bytes           []byte
	at              time.Time
}

// What is held at most: some files, some bytes of them together, some time.
const (
	maxHeld      = 8
	maxHeldBytes = 120 << 20
	longestHeld  = 30 * time.Minute
)

// heldFiles are the last few files, the oldest first.
type heldFiles struct {
	mu    sync.Mutex
	files []heldFile
}

func (h *heldFiles) keep(f heldFile) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.files = append(h.files, f)
	for len(h.files) > 1 && (len(h.files) > maxHeld || h.bytes() > maxHeldBytes) {
		h.files = h.files[1:]
	}
}

func (h *heldFiles) bytes() int {
	n := 0
	for _, f := range h.files {
		n += len(f.bytes)
	}
	return n
}

// find is the file that is held under a token for somebody; taken is true where it is to
// be held no longer.
func (h *heldFiles) find(token, by string, now time.Time, taken bool) (heldFile, bool) {
	h.mu.Lock()
	defer h.mu.Unlock()
	for i, f := range h.files {
		if f.token == token && f.by == by && now.Sub(f.at) < longestHeld {
			if taken {
				h.files = append(h.files[:i:i], h.files[i+1:]...)
			}
			return f, true
		}
	}
	return heldFile{}, false
}
