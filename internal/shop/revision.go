package shop

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"maps"
	"slices"
	"sync"

	"midcase/refbook"
)

// Revision says how far each part of what the shop keeps has come. A count only grows, with each
// change of its part, so that two equal parts hold the same. What is held in memory names the parts
// that it follows from.
type Revision struct {
	Watches  int64 // records of watches
	Evidence int64
	Sales    int64
	Clients  int64
	Settings int64
	Ledger   int64 // movements and entries
	Showings int64
	Papers   int64
	Opinions int64 // opinions that were kept
	Examples int64 // watches seen elsewhere
	Texts    int64 // listings in the dealer's own words

	BookEdits int64  // of the reference book, through the program
	Book      string // sum of the texts of the book that is used
}

// RevisionStore counts the changes of each part, in the transaction of the change.
type RevisionStore interface {
	// Revision reads all counts at once. It leaves Book empty, which is no part of the store.
	Revision(ctx context.Context) (Revision, error)
	// EditBook runs an edit of the book's files while nobody else writes, in this program or
	// another one, and counts it if it did not fail.
	EditBook(ctx context.Context, edit func() error) error
	// ClockIsRight has the clock compared from now on with what it says now, not with what it said before.
	ClockIsRight(ctx context.Context) error
}

// pinned is the revision that a request has read, with the book that goes with it.
type pinned struct {
	mu   sync.Mutex
	of   *Shop // nil: not read yet
	rev  Revision
	book knownBook
}

type pinKey struct{}

// Pin returns a context within which the revision is read once, when it is first asked for, and
// again after each change that was made within it. A request or a command begins with it, so that
// all of its figures follow from one state of the book and the records.
func Pin(ctx context.Context) context.Context {
	return context.WithValue(ctx, pinKey{}, &pinned{})
}

// Changed makes a pinned context read it again. Stores call it after each change.
func Changed(ctx context.Context) {
	if h, ok := ctx.Value(pinKey{}).(*pinned); ok {
		h.mu.Lock()
		defer h.mu.Unlock()
		h.of = nil
	}
}

// Revision is how far the shop has come: what the context has pinned, else as it is now.
func (s *Shop) Revision(ctx context.Context) (Revision, error) {
	rev, _, err := s.revision(ctx)
	return rev, err
}

func (s *Shop) revision(ctx context.Context) (Revision, knownBook, error) {
	h, ok := ctx.Value(pinKey{}).(*pinned)
	if !ok {
		return s.readRevision(ctx)
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.of == s {
		return h.rev, h.book, nil
	}
	rev, book, err := s.readRevision(ctx)
	if err == nil {
		h.of, h.rev, h.book = s, rev, book
	}
	return rev, book, err
}

func (s *Shop) readRevision(ctx context.Context) (Revision, knownBook, error) {
	rev, err := s.stores.Revisions.Revision(ctx)
	if err != nil {
		return rev, knownBook{}, err
	}
	if err := s.learnFounding(ctx, rev.Settings); err != nil {
		return rev, knownBook{}, err
	}
	book, err := s.readBook(ctx, rev.BookEdits)
	rev.Book = book.sum
	return rev, book, err
}

// knownBook is the reference book as it was read last.
type knownBook struct {
	mark    string // of the folder, when it was read
	sum     string // of the texts from which book was made
	book    *refbook.Book
	problem error // why the texts that stand there now make no book
}

// readBook reads the book again where its files have changed. A book that does not load leaves the
// last good one.
func (s *Shop) readBook(ctx context.Context, edits int64) (knownBook, error) {
	s.bookMu.Lock()
	defer s.bookMu.Unlock()
	mark, err := s.stores.Book.Mark(ctx)
	if err != nil {
		return s.book, fmt.Errorf("reference book: %w", err)
	}
	mark = fmt.Sprintf("%d %s", edits, mark)
	if s.book.book != nil && s.book.mark == mark {
		return s.book, nil
	}
	files, err := s.stores.Book.Files(ctx)
	if err != nil {
		return s.book, fmt.Errorf("reference book: %w", err)
	}
	sum := sumOf(files)
	if s.book.book != nil && s.book.sum == sum {
		s.book.mark, s.book.problem = mark, nil
		return s.book, nil
	}
	book, err := loadBook(files)
	switch {
	case err == nil:
		s.book = knownBook{mark: mark, sum: sum, book: book}
	case s.book.book == nil:
		kept, ok := s.keptBook(ctx, files)
		if !ok {
			return s.book, err
		}
		s.book = knownBook{mark: mark, sum: "kept " + sum, book: kept, problem: err}
	default:
		s.book.mark, s.book.problem = mark, err
	}
	return s.book, nil
}

// keptBook is the book as it was kept last: of each file the newest version, of one that was never kept the text as it
// stands. ok is false where that does not load either.
func (s *Shop) keptBook(ctx context.Context, files map[string][]byte) (*refbook.Book, bool) {
	kept := map[string][]byte{}
	for name, text := range files {
		all, err := s.stores.Book.Versions(ctx, name)
		if err != nil {
			return nil, false
		}
		if kept[name] = text; len(all) > 0 {
			if kept[name], _, err = s.stores.Book.Version(ctx, name, all[len(all)-1].N); err != nil {
				return nil, false
			}
		}
	}
	book, err := loadBook(kept)
	return book, err == nil
}

// loadBook reads a book; one without files is empty.
func loadBook(files map[string][]byte) (*refbook.Book, error) {
	if len(files) == 0 {
		return refbook.New()
	}
	return refbook.LoadTexts(files)
}

// Book is the reference book. Callers do not change it. Where it cannot be read it is the last one
// that could; BookProblem says so.
func (s *Shop) Book(ctx context.Context) *refbook.Book {
	_, k, err := s.revision(ctx)
	if err == nil {
		return k.book
	}
	s.bookMu.Lock()
	defer s.bookMu.Unlock()
	return s.book.book
}

// BookProblem is why the files of the book, as they stand, are not used: the last book that was right
// is used in their place. It is nil where all is well.
func (s *Shop) BookProblem(ctx context.Context) error {
	_, k, err := s.revision(ctx)
	if err != nil {
		return err
	}
	return k.problem
}

// sumOf names texts: the SHA-256, in hex, of their names, lengths and bytes.
func sumOf(files map[string][]byte) string {
	h := sha256.New()
	for _, name := range slices.Sorted(maps.Keys(files)) {
		fmt.Fprintf(h, "%s %d\n", name, len(files[name]))
		h.Write(files[name])
	}
	return hex.EncodeToString(h.Sum(nil))
}
