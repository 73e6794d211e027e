package store

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"golang.org/x/mod/sumdb/tlog"

	"midcase/evidence"
)

// faultsShown bounds how many faults one error lists.
const faultsShown = 20

// Verify computes the whole hash tree anew from the items and compares it with the
// stored hashes. An error wraps ErrLogDamaged and says which records, counted from 0,
// were changed or are missing. Only a head kept elsewhere shows that items were cut
// off the end together with their hashes: see CheckHead.
func (s *Store) Verify(ctx context.Context) error {
	var faults []string
	err := s.snapshot(ctx, func(tx *transaction) (err error) {
		faults, err = logFaults(ctx, tx)
		return err
	})
	if err != nil {
		return fmt.Errorf("verify: %w", err)
	}
	if len(faults) == 0 {
		return nil
	}
	if more := len(faults) - faultsShown; more > 0 {
		faults = append(slices.Clip(faults[:faultsShown]), fmt.Sprintf("and %d more", more))
	}
	return fmt.Errorf("%w: %s", ErrLogDamaged, strings.Join(faults, "; "))
}

// logFaults lists what is wrong with the log, in its order.
func logFaults(ctx context.Context, tx *transaction) ([]string, error) {
	stored, err := loadHashes(ctx, tx)
	if err != nil {
		return nil, err
	}
	check := &logCheck{stored: stored}
	if err := check.items(ctx, tx); err != nil {
		return check.faults, err
	}
	check.tail()
	check.tree()
	return check.faults, nil
}

// loadHashes reads all stored hashes. What is missing or cannot be read is the zero
// hash, which no record has.
func loadHashes(ctx context.Context, tx *transaction) ([]tlog.Hash, error) {
	rows, err := tx.QueryContext(ctx, `SELECT n, hash FROM log_hashes WHERE n >= 0 ORDER BY n`)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []tlog.Hash
	for rows.Next() {
		var n int64
		var text string
		if err := rows.Scan(&n, &text); err != nil {
			return nil, err
		}
		const gap = 1 << 20 // a number far past the end is not a tree of ours
		if n > int64(len(out))+gap {
			break
		}
		for int64(len(out)) < n {
			out = append(out, tlog.Hash{})
		}
		h, err := tlog.ParseHash(text)
		if err != nil {
			h = tlog.Hash{}
		}
		out = append(out, h)
	}
	return out, rows.Err()
}

// logCheck compares items with stored hashes.
type logCheck struct {
	stored []tlog.Hash
	size   int64 // records seen or known to be missing
	faults []string

	// Records whose words were taken away, and the hashes that later withdrawals name, by watch and item.
	blank map[[2]string]blankRecord
}

// blankRecord is a record without its words, which holds where a later withdrawal names its hash.
type blankRecord struct {
	seq   int64
	names bool
}

func (c *logCheck) fault(format string, args ...any) {
	c.faults = append(c.faults, fmt.Sprintf(format, args...))
}

// leaf is the stored hash of a record, the zero hash where there is none.
func (c *logCheck) leaf(record int64) tlog.Hash {
	if i := tlog.StoredHashIndex(0, record); i < int64(len(c.stored)) {
		return c.stored[i]
	}
	return tlog.Hash{}
}

// items walks the log and compares each record with its hash.
func (c *logCheck) items(ctx context.Context, tx *transaction) error {
	rows, err := tx.QueryContext(ctx, `SELECT seq, watch, id, item FROM log ORDER BY seq`)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var seq int64
		var watch, id string
		var item []byte
		if err := rows.Scan(&seq, &watch, &id, &item); err != nil {
			return err
		}
		c.missing(c.size, seq)
		c.size = seq + 1
		if tlog.RecordHash(logRecord(watch, item)) == c.leaf(seq) {
			c.named(watch, item)
		} else if c.redacted(seq, watch, id, item) {
			continue
		} else {
			c.fault("record %d (item %s of watch %s) was changed", seq, id, watch)
			continue
		}
		var named struct {
			ID string `json:"id"`
		}
		if err := json.Unmarshal(item, &named); err != nil || named.ID != id {
			c.fault("record %d (item %s of watch %s) was changed: its item is %q", seq, id, watch, named.ID)
		}
	}
	if err := rows.Err(); err != nil {
		return err
	}
	for key, b := range c.blank {
		if !b.names {
			c.fault("record %d (item %s of watch %s) was changed: its words are gone, and no later withdrawal says so",
				b.seq, key[1], key[0])
		}
	}
	return nil
}

// redacted reports whether a record stands for one whose words were taken away, and notes it.
func (c *logCheck) redacted(seq int64, watch, id string, item []byte) bool {
	var it evidence.Item
	if json.Unmarshal(item, &it) != nil {
		return false
	}
	r, ok := it.Data.(*evidence.Redacted)
	if !ok || string(it.ID) != id || it.Note != "" || r.Hash != c.leaf(seq).String() {
		return false
	}
	if c.blank == nil {
		c.blank = map[[2]string]blankRecord{}
	}
	c.blank[[2]string{watch, id}] = blankRecord{seq: seq}
	return true
}

// named notes that a sound record is the withdrawal with which the words of an earlier one went.
func (c *logCheck) named(watch string, item []byte) {
	if len(c.blank) == 0 || !bytes.Contains(item, []byte(`"redacts"`)) {
		return
	}
	var it evidence.Item
	if json.Unmarshal(item, &it) != nil {
		return
	}
	w, ok := it.Data.(*evidence.Withdrawal)
	if !ok {
		return
	}
	key := [2]string{watch, string(w.Of)}
	if b, ok := c.blank[key]; ok && w.Redacts == c.leaf(b.seq).String() {
		b.names = true
		c.blank[key] = b
	}
}

func (c *logCheck) missing(from, to int64) {
	switch {
	case to == from+1:
		c.fault("record %d is missing", from)
	case to > from:
		c.fault("records %d to %d are missing", from, to-1)
	}
}

// tail finds records that were cut off the end and left their hashes behind.
func (c *logCheck) tail() {
	end := c.size
	for tlog.StoredHashIndex(0, end) < int64(len(c.stored)) {
		end++
	}
	c.missing(c.size, end)
	c.size = end
}

// tree recomputes the inner hashes from the stored hashes below each, so that one
// fault is told once, at the lowest place where it shows.
func (c *logCheck) tree() {
	count := tlog.StoredHashCount(c.size)
	for i := range count {
		level, n := tlog.SplitStoredHashIndex(i)
		if level == 0 {
			continue
		}
		first, last := n<<level, (n+1)<<level-1
		if i >= int64(len(c.stored)) {
			c.fault("the hash over records %d to %d is missing", first, last)
			continue
		}
		left := c.stored[tlog.StoredHashIndex(level-1, 2*n)]
		right := c.stored[tlog.StoredHashIndex(level-1, 2*n+1)]
		if tlog.NodeHash(left, right) != c.stored[i] {
			c.fault("records %d to %d, or a hash of theirs, were changed", first, last)
		}
	}
}
