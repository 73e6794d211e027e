package web

import (
	"context"
	"crypto/rand"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"sync"
	"time"

	"midcase/internal/shop/intake"
)

// pictureDrop is pictures between being dropped and being kept: on disk, for the one who sent them, for a while.
type pictureDrop struct {
	mu     sync.Mutex
	by     string
	at     time.Time
	dir    string
	shots  []droppedShot
	files  map[string]bool // by name, size and day: what was sent, read or not
	broken []string
}

// read are the pictures read so far; more may come while they are looked at.
func (d *pictureDrop) read() []droppedShot {
	d.mu.Lock()
	defer d.mu.Unlock()
	return slices.Clone(d.shots)
}

// waiting are the places of the pictures that are not sorted yet.
func (d *pictureDrop) waiting() []int {
	var out []int
	for i, x := range d.read() {
		if !x.sorted {
			out = append(out, i)
		}
	}
	return out
}

func (d *pictureDrop) has(file string) bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.files[file]
}

// sorted notes that pictures were kept or left out, lets go of their bytes, and returns what their files were called.
func (d *pictureDrop) sorted(places []int) []string {
	d.mu.Lock()
	defer d.mu.Unlock()
	files := make([]string, 0, len(places))
	for _, i := range places {
		x := &d.shots[i]
		x.sorted = true
		files = append(files, x.sent)
		_ = os.Remove(x.file)
	}
	_ = d.note(sheetLine{Sorted: places}) // without it they would be asked about again, and be known as kept
	return files
}

type droppedShot struct {
	intake.Shot
	name, file string
	sent       string // name, size and day of the file it was sent from; empty where a form without a script sent it
	sorted     bool
}

const (
	mostShots = 5000           // how many pictures one sheet takes
	sheetHeld = 24 * time.Hour // for how long, after somebody last looked at it
)

// find is the sheet of a token, for the one who opened it.
func (s *contactSheets) find(r *http.Request, token string) (*pictureDrop, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.restore(r.Context())
	d, ok := s.all[token]
	if !ok || d.by != s.user(r.Context()) {
		return nil, false
	}
	d.at = s.shop.Now()
	return d, true
}

// last is the sheet with pictures on it that a person looked at last; nil where there is none.
func (s *contactSheets) last(r *http.Request) (token string, d *pictureDrop) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.restore(r.Context())
	for t, x := range s.all {
		if x.by == s.user(r.Context()) && s.shop.Now().Sub(x.at) <= sheetHeld && len(x.waiting()) > 0 &&
			(d == nil || x.at.After(d.at)) {
			token, d = t, x
		}
	}
	return token, d
}

// open makes a sheet and forgets those that nobody has looked at for a while.
func (s *contactSheets) open(r *http.Request) (string, *pictureDrop, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.restore(r.Context())
	for token, d := range s.all {
		if s.shop.Now().Sub(d.at) > sheetHeld {
			_ = os.RemoveAll(d.dir)
			delete(s.all, token)
		}
	}
	dir, err := os.MkdirTemp("", "midcase-pictures-")
	if err != nil {
		return "", nil, fmt.Errorf("pictures: %w", err)
	}
	token, d := rand.Text(), &pictureDrop{by: s.user(r.Context()), at: s.shop.Now(), dir: dir, files: map[string]bool{}}
	s.all[token] = d
	if err := s.keepSheets(r.Context(), ""); err != nil {
		return "", nil, err
	}
	go s.shop.Intake.LearnLooks(context.WithoutCancel(r.Context()))
	return token, d, nil
}

// close forgets a sheet.
func (s *contactSheets) close(ctx context.Context, token string, d *pictureDrop) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	delete(s.all, token)
	_ = os.RemoveAll(d.dir)
	return s.keepSheets(ctx, token)
}

// add reads one picture into a sheet. What cannot be read is named on the sheet and stops nothing.
func (s *contactSheets) add(ctx context.Context, d *pictureDrop, h *multipart.FileHeader, sent string) error {
	f, err := h.Open()
	if err != nil {
		return err
	}
	defer f.Close()
	s.read.Lock()
	defer s.read.Unlock()
	if sent != "" && d.has(sent) {
		return nil // sent again after an answer that got lost
	}
	b, err := io.ReadAll(f)
	if err != nil {
		return err
	}
	name := filepath.Base(h.Filename)
	shot, err := s.shop.Intake.LookAt(ctx, b)
	d.mu.Lock()
	defer d.mu.Unlock()
	switch {
	case err != nil && ctx.Err() != nil:
		return ctx.Err()
	case err != nil:
		d.broken = append(d.broken, name+": "+err.Error())
		d.files[sent] = true
		return d.note(sheetLine{Broken: name + ": " + err.Error(), Sent: sent})
	case len(d.shots) >= mostShots:
		d.broken = append(d.broken, fmt.Sprintf("%s: the sheet has %d pictures already", name, mostShots))
		return nil
	}
	file := filepath.Join(d.dir, strconv.Itoa(len(d.shots)))
	if err := os.WriteFile(file, b, 0o600); err != nil {
		return fmt.Errorf("pictures: %w", err)
	}
	x := droppedShot{Shot: shot, name: name, file: file, sent: sent}
	if err := d.noteShot(x); err != nil {
		return err
	}
	d.files[sent] = true
	d.shots = append(d.shots, x)
	return nil
}
