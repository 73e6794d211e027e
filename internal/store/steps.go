package store

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"iter"
	"slices"

	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
)

// KeepStep implements shop.StepStore: all of it goes in, in one transaction.
func (s *Store) KeepStep(ctx context.Context, step shop.Step) (shop.Step, error) {
	var kept shop.Step
	err := s.change(ctx, "keep step", func(tx *transaction) error {
		kept = shop.Step{}
		if step.Import != nil {
			if err := keepImport(ctx, tx, s, step.Import); err != nil {
				return fmt.Errorf("import: %w", err)
			}
		}
		for _, w := range step.Watches {
			k, err := updateWatch(ctx, tx, w)
			if err != nil {
				return fmt.Errorf("watch %s: %w", w.ID, err)
			}
			kept.Watches = append(kept.Watches, k)
		}
		for id, items := range step.Items {
			if err := needWatch(ctx, tx, id); err != nil {
				return fmt.Errorf("watch %s: %w", id, err)
			}
			if err := appendItems(ctx, tx, id, items); err != nil {
				return err
			}
		}
		if step.Sold != nil {
			if err := keepOwnSale(ctx, tx, *step.Sold); err != nil {
				return fmt.Errorf("own sale %s: %w", step.Sold.ID, err)
			}
		}
		var err error
		if kept.Movements, err = addMovements(ctx, tx, step.Movements); err != nil {
			return err
		}
		if kept.Entries, err = addEntries(ctx, tx, step.Entries); err != nil {
			return err
		}
		if kept.Showings, err = addShowings(ctx, tx, step.Showings); err != nil {
			return err
		}
		if len(step.Movements)+len(step.Entries) > 0 {
			if err := advance(ctx, tx, partLedger); err != nil {
				return err
			}
		}
		if len(step.Showings) > 0 {
			return advance(ctx, tx, partShowings)
		}
		return nil
	})
	if err != nil {
		return shop.Step{}, err
	}
	kept.Items = step.Items
	return kept, nil
}

// nextSeq is the place of the next record of a table.
func nextSeq(ctx context.Context, q querier, table string) (seq int64, err error) {
	err = q.QueryRowContext(ctx, `SELECT COALESCE(MAX(seq) + 1, 0) FROM `+table).Scan(&seq)
	return seq, err
}

// have reports whether a query counts anything.
func have(ctx context.Context, q querier, query string, args ...any) (bool, error) {
	var n int
	err := q.QueryRowContext(ctx, query, args...).Scan(&n)
	return n > 0, err
}

func addMovements(ctx context.Context, tx *transaction, all []shop.Movement) ([]shop.Movement, error) {
	var out []shop.Movement
	for _, m := range all {
		if err := checkKey("movement id", m.ID); err != nil {
			return nil, err
		}
		if err := needWatch(ctx, tx, m.Watch); err != nil {
			return nil, fmt.Errorf("movement %s: watch %s: %w", m.ID, m.Watch, err)
		}
		there, err := have(ctx, tx, `SELECT COUNT(*) FROM movements WHERE id = $1 OR (undoes <> '' AND undoes = $2)`, m.ID, plain(m.Undoes))
		if err != nil || there {
			return nil, fmt.Errorf("movement %s: %w", m.ID, errors.Join(err, existsIf(there)))
		}
		if m.Seq, err = nextSeq(ctx, tx, "movements"); err != nil {
			return nil, err
		}
		kept, doc, err := roundTrip(m)
		if err != nil {
			return nil, fmt.Errorf("movement %s: %w", m.ID, err)
		}
		if _, err := tx.ExecContext(ctx, `INSERT INTO movements (seq, id, watch, undoes, doc) VALUES ($1, $2, $3, $4, $5)`,
			m.Seq, m.ID, string(m.Watch), plain(m.Undoes), doc); err != nil {
			return nil, err
		}
		out = append(out, kept)
	}
	return out, nil
}

func existsIf(there bool) error {
	if there {
		return shop.ErrExists
	}
	return nil
}

// roundTrip is a record's JSON and the record as it will be read.
func roundTrip[T any](v T) (back T, doc string, err error) {
	b, err := json.Marshal(v)
	if err != nil {
		return back, "", err
	}
	err = json.Unmarshal(b, &back)
	return back, string(b), err
}

// entryHash chains an entry to the one before.
func entryHash(before, doc string) string {
	sum := sha256.Sum256([]byte(before + "\n" + doc))
	return hex.EncodeToString(sum[:])
}

func addEntries(ctx context.Context, tx *transaction, all []ledger.Entry) ([]ledger.Entry, error) {
	if len(all) == 0 {
		return nil, nil
	}
	seq, err := nextSeq(ctx, tx, "entries")
	if err != nil {
		return nil, err
	}
	hash := ""
	if seq > 0 {
		if err := tx.QueryRowContext(ctx, `SELECT hash FROM entries WHERE seq = $1`, seq-1).Scan(&hash); err != nil {
			return nil, err
		}
	}
	var out []ledger.Entry
	for _, e := range all {
		if err := checkNewEntry(ctx, tx, e); err != nil {
			return nil, fmt.Errorf("entry %s: %w", e.ID, err)
		}
		e.Seq = seq
		b, err := ledger.Pack(e)
		if err != nil {
			return nil, fmt.Errorf("entry %s: %w", e.ID, err)
		}
		kept, err := ledger.Unpack(b)
		if err != nil {
			return nil, fmt.Errorf("entry %s: %w", e.ID, err)
		}
		doc := string(b)
		hash = entryHash(hash, doc)
		if _, err := tx.ExecContext(ctx, `INSERT INTO entries (seq, id, day, reverses, doc, hash) VALUES ($1, $2, $3, $4, $5, $6)`,
			seq, e.ID, e.Day, e.Reverses, doc, hash); err != nil {
			return nil, err
		}
		for _, sub := range subjects(e) {
			if _, err := tx.ExecContext(ctx, `INSERT INTO entry_subjects (kind, subject, seq) VALUES ($1, $2, $3)`, sub[0], sub[1], seq); err != nil {
				return nil, err
			}
		}
		out = append(out, kept)
		seq++
	}
	return out, nil
}

// checkNewEntry refuses an entry that does not balance, is there already, or answers one
// that is not there or was answered.
func checkNewEntry(ctx context.Context, tx *transaction, e ledger.Entry) error {
	for _, x := range []struct{ field, text string }{{"id", e.ID}, {"watch", e.Watch}, {"party", e.Party},
		{"reverses", e.Reverses}} {
		if err := checkText(x.field, x.text); err != nil {
			return err
		}
	}
	if err := e.Check(); err != nil {
		return err
	}
	there, err := have(ctx, tx, `SELECT COUNT(*) FROM entries WHERE id = $1 OR (reverses <> '' AND reverses = $2)`, e.ID, e.Reverses)
	if err != nil || there {
		return errors.Join(err, existsIf(there))
	}
	if e.Reverses == "" {
		return nil
	}
	there, err = have(ctx, tx, `SELECT COUNT(*) FROM entries WHERE id = $1`, e.Reverses)
	if err == nil && !there {
		err = fmt.Errorf("reverses %s: %w", e.Reverses, shop.ErrNotFound)
	}
	return err
}

// subjects are the watches and clients that an entry is about, each once.
func subjects(e ledger.Entry) [][2]string {
	var out [][2]string
	add := func(kind, id string) {
		if s := [2]string{kind, id}; id != "" && !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	add("w", e.Watch)
	add("p", e.Party)
	for _, l := range e.Lines {
		add("w", l.Watch)
		add("p", l.Party)
	}
	return out
}

func addShowings(ctx context.Context, tx *transaction, all []shop.Showing) ([]shop.Showing, error) {
	var out []shop.Showing
	for _, v := range all {
		if err := checkKey("showing id", v.ID); err != nil {
			return nil, err
		}
		if err := needWatch(ctx, tx, v.Watch); err != nil {
			return nil, fmt.Errorf("showing %s: watch %s: %w", v.ID, v.Watch, err)
		}
		there, err := have(ctx, tx, `SELECT COUNT(*) FROM showings WHERE id = $1`, v.ID)
		if err != nil || there {
			return nil, fmt.Errorf("showing %s: %w", v.ID, errors.Join(err, existsIf(there)))
		}
		if v.Seq, err = nextSeq(ctx, tx, "showings"); err != nil {
			return nil, err
		}
		kept, doc, err := roundTrip(v)
		if err != nil {
			return nil, fmt.Errorf("showing %s: %w", v.ID, err)
		}
		if _, err := tx.ExecContext(ctx, `INSERT INTO showings (seq, id, watch, client, doc) VALUES ($1, $2, $3, $4, $5)`,
			v.Seq, v.ID, string(v.Watch), plain(v.Client), doc); err != nil {
			return nil, err
		}
		out = append(out, kept)
	}
	return out, nil
}

// Movements implements shop.StepStore.
func (s *Store) Movements(ctx context.Context, id shop.WatchID) ([]shop.Movement, error) {
	query, args := `SELECT doc FROM movements ORDER BY seq`, []any(nil)
	if id != "" {
		if err := needWatch(ctx, s.read, id); err != nil {
			return nil, fmt.Errorf("movements of watch %s: %w", id, err)
		}
		query, args = `SELECT doc FROM movements WHERE watch = $1 ORDER BY seq`, []any{string(id)}
	}
	return docs(ctx, s.read, "movements", readJSON[shop.Movement], query, args...)
}

// Showings implements shop.StepStore.
func (s *Store) Showings(ctx context.Context, f shop.ShowingFilter) ([]shop.Showing, error) {
	query, args := `SELECT doc FROM showings WHERE seq >= $1`, []any{f.From}
	if f.Watch != "" {
		args = append(args, plain(string(f.Watch)))
		query += fmt.Sprintf(` AND watch = $%d`, len(args))
	}
	if f.Client != "" {
		args = append(args, plain(f.Client))
		query += fmt.Sprintf(` AND client = $%d`, len(args))
	}
	return docs(ctx, s.read, "showings", readJSON[shop.Showing], query+` ORDER BY seq`, args...)
}

func readJSON[T any](doc []byte) (v T, err error) {
	err = json.Unmarshal(doc, &v)
	return v, err
}

// docs reads records kept as text.
func docs[T any](ctx context.Context, q querier, what string, read func([]byte) (T, error), query string,
	args ...any) ([]T, error) {
	rows, err := q.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", what, err)
	}
	defer rows.Close()
	var out []T
	for rows.Next() {
		var doc []byte
		if err := rows.Scan(&doc); err != nil {
			return nil, fmt.Errorf("%s: %w", what, err)
		}
		v, err := read(doc)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", what, err)
		}
		out = append(out, v)
	}
	if err := rows.Err(); err != nil {
		return nil, fmt.Errorf("%s: %w", what, err)
	}
	return out, nil
}

// entriesAtOnce is how many entries are read before they are handed on, so that no
// connection is held while the caller works.
const entriesAtOnce = 2000

// Entries implements shop.StepStore.
func (s *Store) Entries(ctx context.Context, f shop.EntryFilter) iter.Seq2[ledger.Entry, error] {
	return func(yield func(ledger.Entry, error) bool) {
		from := max(f.From, 0)
		if f.Last > 0 {
			next, err := nextSeq(ctx, s.read, "entries")
			if err != nil {
				yield(ledger.Entry{}, fmt.Errorf("ledger: %w", err))
				return
			}
			from = max(from, next-int64(f.Last))
		}
		for {
			page, err := s.entriesFrom(ctx, f, from)
			if err != nil {
				yield(ledger.Entry{}, err)
				return
			}
			for _, e := range page {
				if !yield(e, nil) {
					return
				}
				from = e.Seq + 1
			}
			if len(page) < entriesAtOnce || f.Limit > 0 {
				return
			}
		}
	}
}

func (s *Store) entriesFrom(ctx context.Context, f shop.EntryFilter, from int64) ([]ledger.Entry, error) {
	query, args := `SELECT e.doc FROM entries e WHERE e.seq >= $1`, []any{from}
	and := func(condition, arg string) {
		args = append(args, arg)
		query += fmt.Sprintf(condition, len(args))
	}
	if f.ID != "" {
		and(` AND e.id = $%d`, plain(f.ID))
	}
	if f.Watch != "" {
		and(` AND e.seq IN (SELECT seq FROM entry_subjects WHERE kind = 'w' AND subject = $%d)`, plain(string(f.Watch)))
	}
	if f.Party != "" {
		and(` AND e.seq IN (SELECT seq FROM entry_subjects WHERE kind = 'p' AND subject = $%d)`, plain(f.Party))
	}
	most := entriesAtOnce
	if f.Limit > 0 {
		most = min(most, f.Limit)
	}
	args = append(args, most)
	return docs(ctx, s.read, "ledger", ledger.Unpack, query+fmt.Sprintf(` ORDER BY e.seq LIMIT $%d`, len(args)), args...)
}

// ErrLedgerDamaged is wrapped by VerifyLedger where an entry is not what was once kept.
var ErrLedgerDamaged = errors.New("ledger damaged")

// VerifyLedger implements shop.StepStore: it computes the chain of hashes anew, and
// holds that every entry balances.
func (s *Store) VerifyLedger(ctx context.Context) error {
	rows, err := s.read.QueryContext(ctx, `SELECT seq, doc, hash FROM entries ORDER BY seq`)
	if err != nil {
		return fmt.Errorf("verify ledger: %w", err)
	}
	defer rows.Close()
	before := ""
	for want := int64(0); rows.Next(); want++ {
		var seq int64
		var doc, hash string
		if err := rows.Scan(&seq, &doc, &hash); err != nil {
			return fmt.Errorf("verify ledger: %w", err)
		}
		if seq != want {
			return fmt.Errorf("%w: entry %d is missing", ErrLedgerDamaged, want)
		}
		if entryHash(before, doc) != hash {
			return fmt.Errorf("%w: entry %d was changed", ErrLedgerDamaged, seq)
		}
		before = hash
		e, err := ledger.Unpack([]byte(doc))
		if err != nil {
			return fmt.Errorf("%w: entry %d: %w", ErrLedgerDamaged, seq, err)
		}
		if err := e.Check(); err != nil {
			return fmt.Errorf("%w: entry %d: %w", ErrLedgerDamaged, seq, err)
		}
	}
	return rows.Err()
}
