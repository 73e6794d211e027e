package store

import (
	"context"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"math/bits"
	"strings"
	"testing"
	"time"

	"golang.org/x/mod/sumdb/tlog"

	"midcase/evidence"
	"midcase/internal/shop"
)

var day = time.Date(2026, 3, 1, 10, 15, 0, 0, time.UTC)

func item(id string) evidence.Item {
	return evidence.Item{ID: evidence.ID(id), At: day, By: "Ada", Data: &evidence.Claim{}}
}

// fill makes two watches and size records, ev_0 and so on, by turns.
func fill(t *testing.T, s *Store, size int) {
	t.Helper()
	ctx := t.Context()
	for _, id := range []shop.WatchID{"w_0", "w_1"} {
		if _, err := s.CreateWatch(ctx, shop.Watch{ID: id, Created: day, Changed: day}); err != nil {
			t.Fatal(err)
		}
	}
	fillLog(t, s, size)
}

func fillLog(t *testing.T, s *Store, size int) {
	t.Helper()
	for i := range size {
		if err := s.Append(t.Context(), shop.WatchID(fmt.Sprintf("w_%d", i%2)),
			item(fmt.Sprintf("ev_%d", i))); err != nil {
			t.Fatal(err)
		}
	}
}

// The Merkle tree hash as RFC 9162, section 2.1.1, defines it, word for word: the
// check of the library and of what we give it.
func merkleTreeHash(d [][]byte) [sha256.Size]byte {
	switch n := len(d); n {
	case 0:
		return sha256.Sum256(nil)
	case 1:
		return sha256.Sum256(append([]byte{0x00}, d[0]...))
	default:
		k := 1 << (bits.Len(uint(n-1)) - 1) // the largest power of two smaller than n
		left, right := merkleTreeHash(d[:k]), merkleTreeHash(d[k:])
		return sha256.Sum256(append(append([]byte{0x01}, left[:]...), right[:]...))
	}
}

// The leaves and roots are those of the public test of the Certificate Transparency
// reference implementation, from memory.
func TestMerkleTreeHashPublished(t *testing.T) {
	var d [][]byte
	for i, v := range []struct{ leaf, root string }{
		{"", "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d"},
		{"00", "fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125"},
		{"10", "aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77"},
		{"2021", "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7"},
		{"3031", "4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4"},
		{"40414243", "76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef"},
		{"5051525354555657", "ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c"},
		{"606162636465666768696a6b6c6d6e6f", "5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328"},
	} {
		leaf, err := hex.DecodeString(v.leaf)
		if err != nil {
			t.Fatal(err)
		}
		d = append(d, leaf)
		if root := merkleTreeHash(d); hex.EncodeToString(root[:]) != v.root {
			t.Errorf("root of %d leaves: %x; want %s", i+1, root, v.root)
		}
	}
}

func TestHeadIsMerkleTreeHash(t *testing.T) {
	t.Parallel()
	engines(t, func(t *testing.T, open func(t *testing.T) *Store) {
		s := open(t)
		fill(t, s, 0)
		var d [][]byte
		for i := range 20 {
			one, watch := item(fmt.Sprintf("ev_%d", i)), fmt.Sprintf("w_%d", i%2)
			if err := s.Append(t.Context(), shop.WatchID(watch), one); err != nil {
				t.Fatal(err)
			}
			b, err := json.Marshal(one)
			if err != nil {
				t.Fatal(err)
			}
			d = append(d, []byte(watch+"\n"+string(b)))
			_, root, err := s.Head(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			if want := merkleTreeHash(d); root != base64.StdEncoding.EncodeToString(want[:]) {
				t.Fatalf("root of %d items: %s; want %x", i+1, root, want)
			}
		}
	})
}

func TestAppendOnly(t *testing.T) {
	t.Parallel()
	engines(t, func(t *testing.T, open func(t *testing.T) *Store) {
		s := open(t)
		fill(t, s, 5)
		if err := s.KeepOpinion(t.Context(), shop.KeptOpinion{Watch: "w_0", JSON: []byte("{}")}); err != nil {
			t.Fatal(err)
		}
		statements := []string{
			`UPDATE log SET item = '{}' WHERE seq = 2`, `UPDATE log SET seq = 9 WHERE seq = 4`, `DELETE FROM log WHERE seq = 4`, `DELETE FROM log`,
			`INSERT INTO log (seq, watch, id, item) VALUES (9, 'w_0', 'ev_9', '{}')`,
			`INSERT INTO log (seq, watch, id, item) VALUES (-1, 'w_0', 'ev_9', '{}')`,
			`INSERT INTO log (seq, watch, id, item) VALUES (2, 'w_0', 'ev_2', '{}') ON CONFLICT (seq) DO UPDATE SET item = excluded.item`,
			`UPDATE log_hashes SET hash = '' WHERE n = 2`, `DELETE FROM log_hashes`, `INSERT INTO log_hashes (n, hash) VALUES (99, '')`,
			`UPDATE history SET doc_after = '{}'`, `DELETE FROM history`, `UPDATE opinions SET as_of = ''`, `DELETE FROM opinions`,
		}
		if s.dialect.name == sqlite.name {
			statements = append(statements, `INSERT OR REPLACE INTO log (seq, watch, id, item) VALUES (2, 'w_0', 'ev_2', '{}')`,
				`REPLACE INTO log (seq, watch, id, item) VALUES (5, 'w_0', 'ev_2', '{}')`, `REPLACE INTO log_hashes (n, hash) VALUES (2, '')`,
				`UPDATE OR REPLACE log SET id = 'ev_2' WHERE seq = 4`, `REPLACE INTO history SELECT * FROM history`)
		} else {
			statements = append(statements, `TRUNCATE log`, `TRUNCATE watches CASCADE`, `TRUNCATE log_hashes`, `TRUNCATE history`, `TRUNCATE opinions`)
		}
		for _, statement := range statements {
			_, err := s.write.ExecContext(t.Context(), statement)
			if err == nil || !strings.Contains(err.Error(), "append-only") {
				t.Errorf("%s: error %v; want the trigger's", statement, err)
			}
		}
		if err := s.Verify(t.Context()); err != nil {
			t.Error(err)
		}
	})
}

// Who owns the database can take the triggers away. Verify then says what was done.
func TestVerifyNamesTheRecord(t *testing.T) {
	t.Parallel()
	// 13 records: the hashes 0 to 22; record 5 is hash 8, the hash over 4 and 5 is 9.
	cases := []struct {
		name, want string
		statements []string
	}{
		{"item", "record 5 (item ev_5 of watch w_1) was changed", []string{`UPDATE log SET item = REPLACE(item, 'Ada', 'Eve') WHERE seq = 5`}},
		{"item made equal in meaning", "record 5 (item ev_5 of watch w_1) was changed", []string{`UPDATE log SET item = item || ' ' WHERE seq = 5`}},
		{"watch", "record 5 (item ev_5 of watch w_0) was changed", []string{`UPDATE log SET watch = 'w_0' WHERE seq = 5`}},
		{"id", `record 5 (item ev_x of watch w_1) was changed: its item is "ev_5"`, []string{`UPDATE log SET id = 'ev_x' WHERE seq = 5`}},
		{"order", "record 3 (item ev_5 of watch w_1) was changed; record 5 (item ev_3 of watch w_1) was changed",
			[]string{
				`UPDATE log SET seq = 99 WHERE seq = 3`, `UPDATE log SET seq = 3 WHERE seq = 5`, `UPDATE log SET seq = 5 WHERE seq = 99`}},
		{"first gone", "record 0 is missing", []string{`DELETE FROM log WHERE seq = 0`}},
		{"one gone", "record 5 is missing", []string{`DELETE FROM log WHERE seq = 5`}},
		{"three gone", "records 4 to 6 are missing", []string{`DELETE FROM log WHERE seq IN (4, 5, 6)`}},
		{"last gone", "record 12 is missing", []string{`DELETE FROM log WHERE seq = 12`}},
		{"all gone", "records 0 to 12 are missing", []string{`DELETE FROM log`}},
		{"one put in", "record 13 (item ev_13 of watch w_0) was changed", []string{`INSERT INTO log (seq, watch, id, item) VALUES (13, 'w_0', 'ev_13', '{}')`}},
		{"hash of a record", "record 5 (item ev_5 of watch w_1) was changed; records 4 to 5, or a hash", []string{
			`UPDATE log_hashes SET hash = (SELECT hash FROM log_hashes WHERE n = 0) WHERE n = 8`}},
		{"inner hash", "records 4 to 5, or a hash of theirs, were changed; records 4 to 7, or", []string{
			`UPDATE log_hashes SET hash = (SELECT hash FROM log_hashes WHERE n = 0) WHERE n = 9`}},
		{"hash gone", "records 4 to 5, or a hash of theirs", []string{`DELETE FROM log_hashes WHERE n = 9`}},
		{"hash not a hash", "records 4 to 5, or a hash of theirs", []string{`UPDATE log_hashes SET hash = 'rubbish' WHERE n = 9`}},
		{"last hash gone", "record 12 (item ev_12 of watch w_0) was changed", []string{`DELETE FROM log_hashes WHERE n = 22`}},
		{"hashes gone", "record 0 (item ev_0 of watch w_0) was changed", []string{`DELETE FROM log_hashes`}},
	}
	engines(t, func(t *testing.T, open func(t *testing.T) *Store) {
		s := open(t)
		fill(t, s, 13)
		if err := s.Verify(t.Context()); err != nil {
			t.Fatal(err)
		}
		dropTriggers(t, s)
		for _, test := range cases {
			t.Run(test.name, func(t *testing.T) {
				execute(t, s, `DELETE FROM log`, `DELETE FROM log_hashes`)
				s.guard.size, s.guard.root = 0, "" // as a program opened anew: this one would refuse to go on
				fillLog(t, s, 13)
				if err := s.Verify(t.Context()); err != nil {
					t.Fatal(err)
				}
				execute(t, s, test.statements...)
				err := s.Verify(t.Context())
				if !errors.Is(err, ErrLogDamaged) || !strings.Contains(fmt.Sprint(err), test.want) {
					t.Errorf("verify: %v\nwant it to say: %s", err, test.want)
				}
			})
		}
	})
}

func execute(t *testing.T, s *Store, statements ...string) {
	t.Helper()
	for _, statement := range statements {
		if _, err := s.write.ExecContext(t.Context(), statement); err != nil {
			t.Fatalf("%s: %v", statement, err)
		}
	}
}

func dropTriggers(t *testing.T, s *Store) {
	t.Helper()
	statements := []string{`ALTER TABLE log DISABLE TRIGGER USER`, `ALTER TABLE log_hashes DISABLE TRIGGER USER`}
	if s.dialect.name == sqlite.name {
		statements = nil
		for _, trigger := range []string{"insert", "update", "delete"} {
			statements = append(statements, `DROP TRIGGER log_`+trigger, `DROP TRIGGER log_hashes_`+trigger)
		}
	}
	execute(t, s, statements...)
}

// A forger who also writes the hashes anew is found by a head kept elsewhere.
func TestCheckHeadFindsForgery(t *testing.T) {
	t.Parallel()
	engines(t, func(t *testing.T, open func(t *testing.T) *Store) {
		ctx := t.Context()
		s := open(t)
		fill(t, s, 13)
		size, root, err := s.Head(ctx)
		if err != nil {
			t.Fatal(err)
		}
		dropTriggers(t, s)
		if err := forge(ctx, s); err != nil {
			t.Fatal(err)
		}
		if err := s.Verify(ctx); err != nil {
			t.Fatalf("the forgery is not perfect: %v", err)
		}
		if err := s.CheckHead(ctx, size, root); !errors.Is(err, ErrLogDamaged) {
			t.Errorf("after a forgery: %v", err)
		}

		execute(t, s, `DELETE FROM log WHERE seq >= 8`, `DELETE FROM log_hashes WHERE n >= 15`)
		if err := s.Verify(ctx); err != nil {
			t.Fatalf("the cut is not clean: %v", err)
		}
		if err := s.CheckHead(ctx, size, root); !errors.Is(err, ErrLogDamaged) ||
			!strings.Contains(fmt.Sprint(err), "8 records, the head says 13") {
			t.Errorf("after a cut: %v", err)
		}
	})
}

// forge changes record 5 and writes all hashes anew.
func forge(ctx context.Context, s *Store) error {
	return s.change(ctx, "forge", func(tx *transaction) error {
		if _, err := tx.ExecContext(ctx, `UPDATE log SET item = REPLACE(item, 'Ada', 'Eve') WHERE seq = 5`); err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, `DELETE FROM log_hashes`); err != nil {
			return err
		}
		for n := range int64(13) {
			var watch, item string
			if err := tx.QueryRowContext(ctx, `SELECT watch, item FROM log WHERE seq = $1`, n).Scan(&watch, &item); err != nil {
				return err
			}
			hashes, err := tlog.StoredHashes(n, logRecord(watch, []byte(item)), &storedHashes{ctx: ctx, tx: tx})
			if err != nil {
				return err
			}
			for i, h := range hashes {
				_, err := tx.ExecContext(ctx, `INSERT INTO log_hashes (n, hash) VALUES ($1, $2)`, tlog.StoredHashIndex(0, n)+int64(i), h.String())
				if err != nil {
					return err
				}
			}
		}
		return nil
	})
}
