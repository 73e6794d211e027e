package library_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"midcase/internal/bookdir"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/rooms"
	"midcase/internal/shop/shoptest"
	"midcase/refbook"
)

func TestAnEditIsCheckedKeptAndUsed(t *testing.T) {
	b, ctx := shoptest.New(t), t.Context()
	files, err := b.Library.BookFiles(ctx)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(dir, name), text, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	stores := b.Stores()
	stores.Book = bookdir.Open(dir)
	s, err := rooms.Open(ctx, stores, shop.Options{Now: b.Clock.Now, NewID: b.NewID})
	if err != nil {
		t.Fatal(err)
	}
	const name = "corvane.yaml"
	was := files[name]
	if len(was) == 0 {
		t.Fatalf("the book has no %s", name)
	}
	now := append([]byte("# a card was seen\n"), was...)
	for _, c := range []struct {
		what, base, text, why string
		wrong                 func(error) bool
	}{
		{"no reason", bookdir.Sum(was), string(now), " ", isInvalid},
		{"a text that does not load", bookdir.Sum(was), "id: corvane\nreferences: 7\n", "a card was seen", isProblems},
		{"another maker under the file's name", bookdir.Sum(was),
			strings.Replace(string(was), "id: corvane", "id: other", 1), "a card was seen", isProblems},
		{"an older text", bookdir.Sum(now), string(now), "a card was seen", func(err error) bool {
			return errors.Is(err, shop.ErrConflict)
		}},
	} {
		if _, err := s.Library.SaveBookFile(ctx, name, c.base, []byte(c.text), c.why, "Ines"); !c.wrong(err) {
			t.Errorf("%s: %v", c.what, err)
		}
	}
	v, err := s.Library.SaveBookFile(ctx, name, bookdir.Sum(was), now, " a card was seen ", "Ines")
	if err != nil || v.By != "Ines" || v.Why != "a card was seen" || v.Sum != bookdir.Sum(now) {
		t.Fatalf("version %+v: %v", v, err)
	}
	all, err := s.Library.BookVersions(ctx, name)
	if err != nil || len(all) == 0 || all[len(all)-1].N != v.N {
		t.Fatalf("versions %+v: %v", all, err)
	}
	text, _, err := s.Library.BookVersion(ctx, name, v.N)
	if err != nil || string(text) != string(now) {
		t.Errorf("the kept version is not what was written: %v", err)
	}
	used, err := s.Library.BookFiles(ctx)
	if err != nil || string(used[name]) != string(now) {
		t.Errorf("the file is not what was written: %v", err)
	}
}

func TestTheEffectOfAChangedBook(t *testing.T) {
	b, ctx := shoptest.New(t), t.Context()
	for _, ref := range []string{"KR-1", "KR-2"} {
		if _, err := b.Intake.TakeIn(ctx, intake.Arrival{Maker: "Corvane", Reference: ref}, "Ines"); err != nil {
			t.Fatal(err)
		}
	}
	const name = "corvane.yaml"
	files, err := b.Library.BookFiles(ctx)
	if err != nil {
		t.Fatal(err)
	}
	same, err := b.Library.CheckBookFile(ctx, name, files[name])
	if err != nil {
		t.Fatal(err)
	}
	effects, looked, of, err := b.Library.BookEffects(ctx, "corvane", same)
	if err != nil || len(effects)+looked+of != 0 {
		t.Errorf("the same book: %d effects, %d of %d looked at: %v", len(effects), looked, of, err)
	}
	// One reference, of which the shop has one watch, was made from half a year later on.
	before, rest, _ := strings.Cut(string(files[name]), `- id: "KR-1"`)
	one, after, _ := strings.Cut(rest, `- id: "KR-2"`)
	later := before + `- id: "KR-1"` + strings.ReplaceAll(one, "1963-02/", "1963-08/") + `- id: "KR-2"` + after
	book, err := b.Library.CheckBookFile(ctx, name, []byte(later))
	if err != nil {
		t.Fatal(err)
	}
	effects, looked, of, err = b.Library.BookEffects(ctx, "corvane", book)
	if err != nil || looked != 1 || of != 1 || len(effects) != 1 {
		t.Fatalf("%d effects, %d of %d looked at: %v", len(effects), looked, of, err)
	}
	if e := effects[0]; e.Watch.Reference != "KR-1" || e.Before.Dating.EDTF >= e.Now.Dating.EDTF {
		t.Errorf("%s: %s, then %s", e.Watch.Title, e.Before.Dating.EDTF, e.Now.Dating.EDTF)
	}
	if b.Book(ctx) == book {
		t.Error("a book that was only checked is used")
	}
}

func isInvalid(err error) bool {
	var e *shop.Invalid
	return errors.As(err, &e)
}

func isProblems(err error) bool {
	var p refbook.Problems
	return errors.As(err, &p)
}
