package store

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"midcase/evidence"
	"midcase/internal/shop"
)

var redactDay = time.Date(2026, 3, 1, 10, 0, 0, 0, time.UTC)

// namesSomebody is a store with a watch of which a claim, an opinion and the note name a person, and one beside it.
func namesSomebody(t *testing.T, s *Store) {
	t.Helper()
	ctx := t.Context()
	w, err := s.CreateWatch(ctx, shop.Watch{ID: "w_1", Maker: "Corvane", Reference: "KR-1", Created: redactDay,
		Changed: redactDay, Note: "ask Jorun Askvik"},
		evidence.Item{ID: "ev_1", At: redactDay, By: "Ada", Note: "heard of Jorun Askvik",
			Data: &evidence.Claim{About: "history", Text: "bought by Jorun Askvik in 1981"}},
		evidence.Item{ID: "ev_2", At: redactDay, By: "Ada", Data: &evidence.Claim{About: "price", Text: "a fair price"}})
	if err != nil {
		t.Fatal(err)
	}
	w.Note = "asked Jorun Askvik twice"
	if _, err := s.UpdateWatch(ctx, w); err != nil {
		t.Fatal(err)
	}
	err = s.KeepOpinion(ctx, shop.KeptOpinion{Watch: "w_1", AsOf: "2026-03-01", Formed: redactDay,
		JSON: []byte(`{"says":"bought by Jorun Askvik"}`)})
	if err != nil {
		t.Fatal(err)
	}
}

func by(id evidence.ID) evidence.Item {
	return evidence.Item{ID: id, At: redactDay, By: "Ada", Data: &evidence.Withdrawal{Reason: "it names somebody"}}
}

// An item whose words were taken away is nowhere, and the log still holds, also against the head that it had before.
func TestRedactItem(t *testing.T) {
	engines(t, func(t *testing.T, open func(t *testing.T) *Store) {
		s := open(t)
		ctx := t.Context()
		namesSomebody(t, s)
		size, root, err := s.Head(ctx)
		if err != nil {
			t.Fatal(err)
		}
		if err := s.RedactItem(ctx, "w_1", "ev_1", by("ev_3")); err != nil {
			t.Fatal(err)
		}
		if _, err := s.RedactNote(ctx, "w_1", redactDay); err != nil {
			t.Fatal(err)
		}
		if err := errors.Join(s.Verify(ctx), s.CheckHead(ctx, size, root)); err != nil {
			t.Errorf("the log does not hold: %v", err)
		}
		if found, err := s.Check(ctx); err != nil || len(found) > 0 {
			t.Errorf("check found %v, error %v", found, err)
		}
		items, err := s.Evidence(ctx, "w_1")
		if err != nil {
			t.Fatal(err)
		}
		f := evidence.Fold(evidence.Watch{Evidence: items}, redactDay)
		if len(f.Items) != 1 || len(f.Withdrawn) != 1 || f.Withdrawn[0].Item.Kind() != evidence.KindRedacted {
			t.Errorf("folded: %+v; want one claim, and one item without words", f)
		}
		wantNoTrace(t, s)
		if err := s.RedactItem(ctx, "w_1", "ev_1", by("ev_4")); err == nil || !strings.Contains(err.Error(), "before") {
			t.Errorf("redacted twice: %v", err)
		}
		if err := s.RedactItem(ctx, "w_1", "ev_3", by("ev_4")); err == nil {
			t.Error("a withdrawal was redacted, and what it withdrew would come back")
		}
		if err := s.RedactItem(ctx, "w_1", "ev_9", by("ev_4")); !errors.Is(err, shop.ErrNotFound) {
			t.Errorf("an item that is not there: %v", err)
		}
		if err := s.Rebuild(ctx); err != nil {
			t.Error(err)
		}
	})
}

// wantNoTrace looks for the name in every row, and on SQLite in every byte of the files.
func wantNoTrace(t *testing.T, s *Store) {
	t.Helper()
	tables, err := summedTables(t.Context(), s.dialect, s.read)
	if err != nil {
		t.Fatal(err)
	}
	for _, table := range append(tables, summed{name: "log"}) {
		rows, err := s.read.QueryContext(t.Context(), `SELECT * FROM `+quoted(table.name))
		if err != nil {
			t.Fatal(err)
		}
		names, _ := rows.Columns()
		for rows.Next() {
			row := make([]any, len(names))
			into := make([]any, len(names))
			for i := range row {
				into[i] = &row[i]
			}
			if err := rows.Scan(into...); err != nil {
				t.Fatal(err)
			}
			for i, v := range row {
				text, _ := v.(string)
				b, _ := v.([]byte)
				if strings.Contains(text+string(b), "Askvik") {
					t.Errorf("%s.%s still says %s%s", table.name, names[i], text, b)
				}
			}
		}
		rows.Close()
	}
	path, isFile := filePath(s.url)
	if !isFile {
		return
	}
	files, err := filepath.Glob(path + "*")
	if err != nil || len(files) == 0 {
		t.Fatalf("files %v, error %v", files, err)
	}
	for _, name := range files {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if bytes.Contains(b, []byte("Askvik")) {
			t.Errorf("%s still has the name in its bytes", filepath.Base(name))
		}
	}
}

// Words that are gone without a withdrawal that says so are damage, and so is evidence put in their place.
func TestWhatIsNoRedactionIsFound(t *testing.T) {
	engines(t, func(t *testing.T, open func(t *testing.T) *Store) {
		s := open(t)
		ctx := t.Context()
		namesSomebody(t, s)
		err := s.change(ctx, "forge", func(tx *transaction) error {
			_, stub, err := redacted(ctx, tx, "w_1", "ev_2")
			if err != nil {
				return err
			}
			b, err := writeItem(stub)
			if err != nil {
				return err
			}
			_, err = tx.ExecContext(ctx, `UPDATE log SET item = $1 WHERE id = 'ev_2'`, string(b))
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Verify(ctx); !errors.Is(err, ErrLogDamaged) || !strings.Contains(err.Error(), "ev_2") {
			t.Errorf("verify says %v; want ev_2 to be told", err)
		}
		err = s.change(ctx, "forge", func(tx *transaction) error {
			_, err := tx.ExecContext(ctx, `UPDATE log SET item = '{"id":"ev_1"}' WHERE id = 'ev_1'`)
			return err
		})
		if err == nil {
			t.Error("a record of the log was changed")
		}
		for _, q := range []string{`DELETE FROM log`, `DELETE FROM history`, `UPDATE opinions SET as_of = ''`,
			`UPDATE history SET doc_after = '{"note":"\\"redacted\\":\\""}'`} {
			err := s.change(ctx, "forge", func(tx *transaction) error {
				_, err := tx.ExecContext(ctx, q)
				return err
			})
			if err == nil {
				t.Errorf("taken: %s", q)
			}
		}
	})
}

// Opinions stay where nothing was redacted.
func TestOpinionsGoOnlyWithWords(t *testing.T) {
	engines(t, func(t *testing.T, open func(t *testing.T) *Store) {
		s := open(t)
		namesSomebody(t, s)
		err := s.change(t.Context(), "forge", func(tx *transaction) error {
			_, err := tx.ExecContext(t.Context(), `DELETE FROM opinions`)
			return err
		})
		if err == nil {
			t.Error("opinions were deleted of a watch of which nothing was redacted")
		}
	})
}
