package store

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"golang.org/x/mod/sumdb/tlog"

	"midcase/evidence"
	"midcase/internal/shop"
)

// redactions takes words away for good.
type redactions struct{ s *Store }

// RedactItem implements shop.PrivacyStore. The tree of the log keeps the hash of the record as it was, so that the log
// still holds; Verify asks for a later withdrawal that names this hash.
func (r redactions) RedactItem(ctx context.Context, id shop.WatchID, of evidence.ID, by evidence.Item) error {
	s := r.s
	err := s.change(ctx, fmt.Sprintf("redact item %s of watch %s", of, id), func(tx *transaction) error {
		seq, stub, err := redacted(ctx, tx, id, of)
		if err != nil {
			return err
		}
		by.Data = &evidence.Withdrawal{Of: of, Reason: reasonOf(by), Redacts: stub.Data.(*evidence.Redacted).Hash}
		if err := appendItems(ctx, tx, id, []evidence.Item{by}); err != nil {
			return err
		}
		b, err := writeItem(stub)
		if err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, `UPDATE log SET item = $1 WHERE seq = $2`, string(b), seq); err != nil {
			return err
		}
		// They quote what was said, and can be formed again.
		if _, err := tx.ExecContext(ctx, `DELETE FROM opinions WHERE watch = $1`, string(id)); err != nil {
			return err
		}
		return advance(ctx, tx, partOpinions)
	})
	if err != nil {
		return err
	}
	return sweep(ctx, s, "log", "opinions")
}

func reasonOf(it evidence.Item) string {
	w, _ := it.Data.(*evidence.Withdrawal)
	if w == nil {
		return ""
	}
	return w.Reason
}

// redacted is what takes the place of an item. One that is not what the tree says is left as it is.
func redacted(ctx context.Context, tx *transaction, id shop.WatchID, of evidence.ID) (seq int64, stub evidence.Item,
	err error) {
	var text []byte
	err = tx.QueryRowContext(ctx, `SELECT seq, item FROM log WHERE watch = $1 AND id = $2`, plain(string(id)),
		plain(string(of))).Scan(&seq, &text)
	if err != nil {
		return 0, stub, found(err)
	}
	if err := json.Unmarshal(text, &stub); err != nil {
		return 0, stub, fmt.Errorf("%w: %w", shop.ErrDamaged, err)
	}
	if why := evidence.Redactable(stub); why != "" {
		return 0, stub, fmt.Errorf("a %s cannot be redacted: %s", stub.Kind(), why)
	}
	kept, err := (&storedHashes{ctx: ctx, tx: tx}).ReadHashes([]int64{tlog.StoredHashIndex(0, seq)})
	if err != nil {
		return 0, stub, err
	}
	if tlog.RecordHash(logRecord(string(id), text)) != kept[0] {
		return 0, stub, fmt.Errorf("record %d: %w", seq, ErrLogDamaged)
	}
	stub.Data, stub.Note = &evidence.Redacted{Was: stub.Kind(), Hash: kept[0].String()}, ""
	return seq, stub, nil
}

// RedactNote implements shop.PrivacyStore: the note of a watch goes, out of the record and out of all its earlier
// versions, each of which is marked with the day.
func (r redactions) RedactNote(ctx context.Context, id shop.WatchID, at time.Time) (shop.Watch, error) {
	s := r.s
	var kept shop.Watch
	err := s.change(ctx, fmt.Sprintf("redact the note of watch %s", id), func(tx *transaction) error {
		var doc string
		if err := tx.QueryRowContext(ctx, `SELECT doc FROM watches WHERE id = $1`, string(id)).Scan(&doc); err != nil {
			return found(err)
		}
		w, err := readWatch(doc)
		if err != nil {
			return err
		}
		w.Note, w.Redacted, w.Changed = "", at, at
		if kept, err = updateWatch(ctx, tx, w); err != nil {
			return err
		}
		return redactHistory(ctx, tx, id, at)
	})
	if err != nil {
		return shop.Watch{}, err
	}
	return kept, sweep(ctx, s, "history", "watches")
}

// redactHistory takes the note out of every version of a watch. All are written alike, so that each still begins
// where the one before it ended.
func redactHistory(ctx context.Context, tx *transaction, id shop.WatchID, at time.Time) error {
	rows, err := tx.QueryContext(ctx, `SELECT seq, doc_before, doc_after FROM history WHERE subject = $1 AND id = $2`,
		SubjectWatch, string(id))
	if err != nil {
		return err
	}
	defer rows.Close()
	docs := map[int64][2]string{}
	for rows.Next() {
		var seq int64
		var d [2]string
		if err := rows.Scan(&seq, &d[0], &d[1]); err != nil {
			return err
		}
		for i := range d {
			if d[i], err = withoutNote(d[i], at); err != nil {
				return fmt.Errorf("history, row %d: %w", seq, err)
			}
		}
		docs[seq] = d
	}
	if err := errors.Join(rows.Err(), rows.Close()); err != nil {
		return err
	}
	for seq, d := range docs {
		if _, err := tx.ExecContext(ctx, `UPDATE history SET doc_before = $1, doc_after = $2 WHERE seq = $3`, d[0],
			d[1], seq); err != nil {
			return err
		}
	}
	return nil
}

func withoutNote(doc string, at time.Time) (string, error) {
	if doc == "" {
		return "", nil // before there was any
	}
	w, err := readWatch(doc)
	if err != nil {
		return "", err
	}
	w.Note, w.Redacted = "", at
	b, err := json.Marshal(w)
	return string(b), err
}

// sweep takes what was deleted off the disk, as far as the program can: out of SQLite's write-ahead log, and out of
// the tables' files on PostgreSQL, which are written anew. PostgreSQL's own write-ahead log is the server's.
func sweep(ctx context.Context, s *Store, tables ...string) error {
	if s.dialect.name == sqlite.name {
		return s.flush(ctx)
	}
	for _, name := range tables {
		if _, err := s.write.ExecContext(ctx, `VACUUM (FULL) `+quoted(name)); err != nil {
			return fmt.Errorf("it is done, but the server's file of table %s may still hold the words until the "+
				"server vacuums it: %w", name, err)
		}
	}
	return nil
}
