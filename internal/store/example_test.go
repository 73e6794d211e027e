package store_test

import (
	"context"
	"fmt"
	"log"
	"os"
	"path/filepath"
	"time"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/store"
)

// A watch is taken in with its first evidence, found by its serial number, and the
// log proves that nothing was changed.
func Example() {
	ctx := context.Background()
	dir, err := os.MkdirTemp("", "shop")
	if err != nil {
		log.Fatal(err)
	}
	defer os.RemoveAll(dir)

	s, err := store.Open(ctx, "sqlite:"+filepath.Join(dir, "shop.db"))
	if err != nil {
		log.Fatal(err)
	}
	defer s.Close()

	at := time.Date(2026, 3, 1, 10, 15, 0, 0, time.UTC)
	serial := &evidence.Mark{What: evidence.MarkSerial, Slot: evidence.Case, Text: "A 100234"}
	_, err = s.CreateWatch(ctx,
		shop.Watch{ID: "w_1", Title: "Steel diver", Serial: "A 100234", State: shop.Offered, Created: at, Changed: at},
		evidence.Item{ID: "ev_1", At: at, By: "Ada", Data: serial})
	if err != nil {
		log.Fatal(err)
	}

	w, err := s.FindWatch(ctx, "a 100234")
	if err != nil {
		log.Fatal(err)
	}
	size, _, err := s.Head(ctx)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("#%d %s: %d item in the log, sound: %t\n", w.Number, w.Title, size, s.Verify(ctx) == nil)
	// Output: #1 Steel diver: 1 item in the log, sound: true
}
