package web

import (
	"bufio"
	"fmt"
	"net/http"
	"time"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/soundfile"
)

// play sends a kept recording, or the part of it that the browser asks for.
func (h *hearing) play(w http.ResponseWriter, r *http.Request) error {
	log, err := h.shop.Log(r.Context(), shop.WatchID(r.PathValue("id")))
	if err != nil {
		return err
	}
	for _, it := range log.Evidence {
		rec, ok := it.Data.(*evidence.Recording)
		if !ok || string(it.ID) != r.PathValue("item") {
			continue
		}
		f, err := h.shop.Intake.Sound(r.Context(), rec.Blob)
		if err != nil {
			return err
		}
		defer f.Close()
		first, _ := bufio.NewReaderSize(f, 64).Peek(36)
		kind, err := soundfile.KindOf(first)
		if err != nil {
			return fmt.Errorf("recording %s: %w", it.ID, err)
		}
		w.Header().Set("Content-Type", kind.MediaType())
		w.Header().Set("Cache-Control", "private, max-age=31536000, immutable")
		w.Header().Set("ETag", `"`+rec.Blob+`"`)
		http.ServeContent(w, r, "", time.Time{}, f)
		return nil
	}
	return fmt.Errorf("recording %s: %w", r.PathValue("item"), shop.ErrNotFound)
}
