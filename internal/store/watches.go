package store

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"midcase/evidence"
	"midcase/internal/shop"
)

// CreateWatch implements shop.WatchStore.
func (s *Store) CreateWatch(ctx context.Context, w shop.Watch, items ...evidence.Item) (shop.Watch, error) {
	var kept shop.Watch
	err := s.change(ctx, fmt.Sprintf("create watch %s", w.ID), func(tx *transaction) error {
		var err error
		kept, err = addWatch(ctx, tx, w, items)
		return err
	})
	if err != nil {
		return shop.Watch{}, err
	}
	return kept, nil
}

// addWatch adds a watch under the next file number, with its first evidence.
func addWatch(ctx context.Context, tx *transaction, w shop.Watch, items []evidence.Item) (kept shop.Watch, err error) {
	if err := checkKey("watch id", string(w.ID)); err != nil {
		return kept, err
	}
	if _, err := watchWhere(ctx, tx, `id = $1`, string(w.ID)); !errors.Is(err, shop.ErrNotFound) {
		return kept, orExists(err)
	}
	if err := tx.QueryRowContext(ctx, `SELECT COALESCE(MAX(number), 0) + 1 FROM watches`).Scan(&w.Number); err != nil {
		return kept, err
	}
	w.Version = 1
	if kept, err = keepWatch(ctx, tx, "", w); err != nil {
		return kept, err
	}
	return kept, appendItems(ctx, tx, w.ID, items)
}

// orExists is ErrExists where a look-up succeeded.
func orExists(err error) error {
	if err == nil {
		return shop.ErrExists
	}
	return err
}

// UpdateWatch implements shop.WatchStore. What stood before stays in the history.
func (s *Store) UpdateWatch(ctx context.Context, w shop.Watch) (shop.Watch, error) {
	var kept shop.Watch
	err := s.change(ctx, fmt.Sprintf("update watch %s", w.ID), func(tx *transaction) (err error) {
		kept, err = updateWatch(ctx, tx, w)
		return err
	})
	if err != nil {
		return shop.Watch{}, err
	}
	return kept, nil
}

// updateWatch writes w over the version that it was read at.
func updateWatch(ctx context.Context, tx *transaction, w shop.Watch) (shop.Watch, error) {
	var before string
	if err := tx.QueryRowContext(ctx, `SELECT doc FROM watches WHERE id = $1`, string(w.ID)).Scan(&before); err != nil {
		return shop.Watch{}, found(err)
	}
	old, err := readWatch(before)
	if err != nil {
		return shop.Watch{}, err
	}
	if old.Version != w.Version {
		return shop.Watch{}, fmt.Errorf("version %d, now %d: %w", w.Version, old.Version, shop.ErrConflict)
	}
	w.Version++
	w.Number, w.Created = old.Number, old.Created
	return keepWatch(ctx, tx, before, w)
}

// keepWatch writes the watch and its history and returns it as it will be read.
func keepWatch(ctx context.Context, tx *transaction, before string, w shop.Watch) (shop.Watch, error) {
	b, err := json.Marshal(w)
	if err != nil {
		return shop.Watch{}, err
	}
	doc := string(b)
	kept, err := readWatch(doc)
	if err != nil {
		return shop.Watch{}, err
	}
	if err := putWatch(ctx, tx, kept, doc); err != nil {
		return shop.Watch{}, err
	}
	if err := advance(ctx, tx, partWatches); err != nil {
		return shop.Watch{}, err
	}
	return kept, record(ctx, tx, SubjectWatch, string(w.ID), w.Version, w.Changed, before, doc)
}

// putWatch writes the row of the stock list that stands for w.
func putWatch(ctx context.Context, tx *transaction, w shop.Watch, doc string) error {
	search := searchKey(strings.Join([]string{w.Title, w.Maker, w.Reference, w.Serial, w.Place, w.Note}, "\n"))
	if err := checkText("state", string(w.State)); err != nil {
		return err
	}
	_, err := tx.ExecContext(ctx, `
		INSERT INTO watches (id, number, version, state, maker_key, reference_key, serial_key, search, doc)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)
		ON CONFLICT (id) DO UPDATE SET number = excluded.number, version = excluded.version, state = excluded.state,
			maker_key = excluded.maker_key, reference_key = excluded.reference_key, serial_key = excluded.serial_key,
			search = excluded.search, doc = excluded.doc`,
		string(w.ID), w.Number, w.Version, string(w.State), caseKey(w.Maker), caseKey(w.Reference), serialKey(w), search, doc)
	return err
}

// serialKey is the serial number by which a watch is found; none for a file that was taken back.
func serialKey(w shop.Watch) string {
	if w.State == shop.TakenBack {
		return ""
	}
	return caseKey(w.Serial)
}

func readWatch(doc string) (shop.Watch, error) {
	var w shop.Watch
	if err := json.Unmarshal([]byte(doc), &w); err != nil {
		return w, fmt.Errorf("%w: %w", shop.ErrDamaged, err)
	}
	return w, nil
}

// Watch implements shop.WatchStore.
func (s *Store) Watch(ctx context.Context, id shop.WatchID) (shop.Watch, error) {
	w, err := watchWhere(ctx, s.read, `id = $1`, plain(string(id)))
	if err != nil {
		return shop.Watch{}, fmt.Errorf("watch %s: %w", id, err)
	}
	return w, nil
}

// watchWhere is the one watch that meets the condition. More than one is
// ErrAmbiguous.
func watchWhere(ctx context.Context, q querier, where string, arg any) (shop.Watch, error) {
	all, err := watchesWhere(ctx, q, `WHERE `+where+` ORDER BY number LIMIT 10`, arg)
	switch {
	case err != nil:
		return shop.Watch{}, err
	case len(all) == 0:
		return shop.Watch{}, shop.ErrNotFound
	case len(all) == 1:
		return all[0], nil
	}
	numbers := make([]string, len(all))
	for i, w := range all {
		numbers[i] = "#" + strconv.Itoa(w.Number)
	}
	return shop.Watch{}, fmt.Errorf("%w: name one of %s by its file number", shop.ErrAmbiguous,
		strings.Join(numbers, ", "))
}

func watchesWhere(ctx context.Context, q querier, tail string, args ...any) ([]shop.Watch, error) {
	return readWatches(ctx, q, func(_ shop.WatchID, _ int, doc string) (shop.Watch, error) { return readWatch(doc) }, tail,
		args...)
}

// listed reads a row of the stock list. One that cannot be read spoils its own line, not the list.
func listed(id shop.WatchID, number int, doc string) (shop.Watch, error) {
	w, err := readWatch(doc)
	if err == nil && (w.ID != id || w.Number != number) {
		err = fmt.Errorf("%w: it names another watch", shop.ErrDamaged)
	}
	if err != nil {
		return shop.Watch{ID: id, Number: number, Title: "damaged record", Damaged: err.Error()}, nil
	}
	return w, nil
}

func readWatches(ctx context.Context, q querier, read func(id shop.WatchID, number int, doc string) (shop.Watch, error),
	tail string, args ...any) ([]shop.Watch, error) {
	rows, err := q.QueryContext(ctx, `SELECT id, number, doc FROM watches `+tail, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []shop.Watch
	for rows.Next() {
		var id shop.WatchID
		var number int
		var doc string
		if err := rows.Scan(&id, &number, &doc); err != nil {
			return nil, err
		}
		w, err := read(id, number, doc)
		if err != nil {
			return nil, err
		}
		out = append(out, w)
	}
	return out, rows.Err()
}

// FindWatch implements shop.WatchStore. An id goes before a file number and that
// before a serial number; with a # it can only be a file number.
func (s *Store) FindWatch(ctx context.Context, key string) (shop.Watch, error) {
	w, err := s.findWatch(ctx, plain(key))
	if err != nil {
		return shop.Watch{}, fmt.Errorf("watch %q: %w", key, err)
	}
	return w, nil
}

func (s *Store) findWatch(ctx context.Context, key string) (shop.Watch, error) {
	if key == "" {
		return shop.Watch{}, shop.ErrNotFound
	}
	if digits, marked := strings.CutPrefix(key, "#"); marked {
		n, ok := fileNumber(strings.TrimSpace(digits))
		if !ok {
			return shop.Watch{}, shop.ErrNotFound
		}
		return watchWhere(ctx, s.read, `number = $1`, n)
	}
	w, err := watchWhere(ctx, s.read, `id = $1`, key)
	if !errors.Is(err, shop.ErrNotFound) {
		return w, err
	}
	// Leading zeros belong to a serial number: 0012 is not the watch with number 12.
	if n, ok := fileNumber(key); ok && key[0] != '0' {
		if w, err = watchWhere(ctx, s.read, `number = $1`, n); !errors.Is(err, shop.ErrNotFound) {
			return w, err
		}
	}
	return watchWhere(ctx, s.read, `serial_key = $1`, caseKey(key))
}

func fileNumber(s string) (int64, bool) {
	if s == "" || strings.Trim(s, "0123456789") != "" {
		return 0, false
	}
	n, err := strconv.ParseInt(s, 10, 64)
	return n, err == nil
}

// Watches implements shop.WatchStore. A limit of 0 is no limit.
func (s *Store) Watches(ctx context.Context, f shop.Filter) ([]shop.Watch, error) {
	where, args := conditions(f)
	limit := int64(f.Limit)
	if limit <= 0 {
		limit = math.MaxInt64
	}
	n := len(args)
	tail := fmt.Sprintf(`%s ORDER BY number LIMIT $%d OFFSET $%d`, where, n+1, n+2)
	out, err := watchesWhere(ctx, s.read, tail, append(args, limit, max(f.Offset, 0))...)
	if err != nil {
		return nil, fmt.Errorf("list watches: %w", err)
	}
	return out, nil
}

// CountWatches is how many watches pass the filter, whatever its limit and offset.
func (s *Store) CountWatches(ctx context.Context, f shop.Filter) (int, error) {
	where, args := conditions(f)
	var n int
	if err := s.read.QueryRowContext(ctx, `SELECT COUNT(*) FROM watches `+where, args...).Scan(&n); err != nil {
		return 0, fmt.Errorf("count watches: %w", err)
	}
	return n, nil
}

// conditions writes the filter as a WHERE clause with its arguments.
func conditions(f shop.Filter) (where string, args []any) {
	var all []string
	add := func(condition, arg string) {
		args = append(args, arg)
		all = append(all, fmt.Sprintf(condition, len(args)))
	}
	if f.State != "" {
		add(`state = $%d`, plain(string(f.State)))
	} else {
		add(`state <> $%d`, string(shop.TakenBack))
	}
	if key := caseKey(f.Maker); key != "" {
		add(`maker_key = $%d`, key)
	}
	if key := caseKey(f.Reference); key != "" {
		add(`reference_key = $%d`, key)
	}
	for _, word := range strings.Fields(searchKey(f.Text)) {
		add(`search LIKE $%d ESCAPE '\'`, likePattern(word))
	}
	if len(all) == 0 {
		return "", nil
	}
	return "WHERE " + strings.Join(all, " AND "), args
}
