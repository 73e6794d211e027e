package attack

import (
	"context"
	"database/sql"
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"testing"

	_ "modernc.org/sqlite" // to damage a database from outside

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/rooms"
	"midcase/internal/web"
)

// One row that cannot be read once made the stock page fail, and with it everything that begins there.
func TestABrokenRowSpoilsItsOwnLineOnly(t *testing.T) {
	for name, damage := range map[string]string{
		"no JSON":         `UPDATE watches SET doc = '{' WHERE id = ?`,
		"another's":       `UPDATE watches SET doc = replace(doc, '"number":1', '"number":99') WHERE id = ?`,
		"a day that none": `UPDATE watches SET doc = replace(doc, '"state"', '"acquired":"someday","state"') WHERE id = ?`,
		"its evidence":    `UPDATE log SET item = '{' WHERE watch = ?`,
	} {
		t.Run(name, func(t *testing.T) {
			s := serve(t)
			s.TakeIn(t, intake.Arrival{Maker: "Corvane", Reference: "KR-2", Place: "safe"})
			s.Record(t, s.watch, &evidence.Claim{About: "price", Text: "dear"})
			db, err := sql.Open("sqlite", filepath.Join(s.Dir, "shop.db"))
			if err != nil {
				t.Fatal(err)
			}
			defer db.Close()
			// A disk does not ask the triggers that keep a log from being changed.
			for _, table := range []string{"log", "watches"} {
				dropTriggers(t, db, table)
			}
			if _, err := db.ExecContext(t.Context(), damage, string(s.watch)); err != nil {
				t.Fatal(err)
			}
			other := s.Elsewhere(t) // a server that has read nothing yet
			srv := httptest.NewServer(web.New(other.Shop, web.Options{User: "Ines"}))
			defer srv.Close()
			s.url = srv.URL
			status, text := s.get("/")
			if status != http.StatusOK || !strings.Contains(text, "KR-2") {
				t.Errorf("stock page: status %d; want the other watch on it", status)
			}
			if status, _ := s.get("/stock.csv"); status != http.StatusOK {
				t.Errorf("stock as CSV: status %d", status)
			}
		})
	}
}

func dropTriggers(t *testing.T, db *sql.DB, table string) {
	t.Helper()
	rows, err := db.QueryContext(t.Context(), `SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name = ?`,
		table)
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	var names []string
	for rows.Next() {
		var name string
		if err := rows.Scan(&name); err != nil {
			t.Fatal(err)
		}
		names = append(names, name)
	}
	if err := rows.Err(); err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		if _, err := db.ExecContext(t.Context(), `DROP TRIGGER "`+name+`"`); err != nil {
			t.Fatal(err)
		}
	}
}

// down is a database that cannot be reached, with what a driver says of it.
type down struct{ shop.WatchStore }

var errDown = errors.New("failed to connect to `user=keeper database=shop`: 10.1.2.3:5432 (db.inner.example)")

func (down) ChangedWatches(context.Context, shop.Cursor) ([]shop.Watch, []shop.WatchID, shop.Cursor, error) {
	return nil, nil, shop.Cursor{}, errDown
}

func (down) Watch(context.Context, shop.WatchID) (shop.Watch, error) { return shop.Watch{}, errDown }

func (down) Evidence(context.Context, shop.WatchID) ([]evidence.Item, error) { return nil, errDown }

// With the database down, pages once told everybody its user, host and port.
func TestNobodyIsToldWhereTheDatabaseIs(t *testing.T) {
	s := serve(t)
	stores := s.Stores()
	stores.Watches = down{stores.Watches}
	broken, err := rooms.Open(t.Context(), stores, shop.Options{Now: s.Now, NewID: s.NewID})
	if err != nil {
		t.Fatal(err)
	}
	srv := httptest.NewServer(web.New(broken, web.Options{User: "Ines"}))
	defer srv.Close()
	for _, path := range []string{"/", s.path(""), "/stock.csv", "/api" + s.path("/opinion"),
		"/calendar"} {
		res, err := http.Get(srv.URL + path)
		if err != nil {
			t.Fatal(err)
		}
		b, _ := io.ReadAll(res.Body)
		res.Body.Close()
		if res.StatusCode < http.StatusInternalServerError {
			t.Errorf("GET %s: status %d; want an error", path, res.StatusCode)
		}
		for _, secret := range []string{"keeper", "10.1.2.3", "5432", "inner.example"} {
			if strings.Contains(string(b), secret) {
				t.Errorf("GET %s tells %q", path, secret)
			}
		}
	}
}
