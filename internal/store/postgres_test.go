package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"sync/atomic"
	"testing"
	"time"
)

// TestMain stops the PostgreSQL server at the end, if a test started one.
func TestMain(m *testing.M) {
	crashChild() // does not return in the process that TestCrash starts
	code := m.Run()
	if server.stop != nil {
		server.stop()
	}
	os.Exit(code)
}

// server is one throw-away PostgreSQL server for all tests of the package.
var server struct {
	start     sync.Once
	socket    string // the folder of its socket
	stop      func()
	err       error
	databases atomic.Int64
	template  sync.Once
	from      string // the name of the template
	creating  sync.Mutex
}

var errNoPostgres = errors.New("no PostgreSQL server programs in PATH or /usr/lib/postgresql/*/bin")

// needPostgres starts the server. Without one the test is skipped, or fails where the
// environment has MIDCASE_TEST_POSTGRES=required.
func needPostgres(t *testing.T) {
	t.Helper()
	server.start.Do(func() { server.err = startPostgres() })
	switch {
	case server.err == nil:
	case errors.Is(server.err, errNoPostgres) && os.Getenv("MIDCASE_TEST_POSTGRES") != "required":
		t.Skipf("PostgreSQL NOT TESTED: %v", server.err)
	default:
		t.Fatalf("PostgreSQL: %v", server.err)
	}
}

// openPostgres opens a store in a database of its own, copied from one that was made
// once, which is quicker than making the tables each time.
func openPostgres(t *testing.T) *Store {
	t.Helper()
	server.template.Do(func() {
		server.from = "shop_empty"
		createDatabase(t, server.from, "template1")
		s, err := Open(t.Context(), postgresURL(server.from))
		if err != nil {
			t.Fatal(err)
		}
		s.Close()
	})
	name := fmt.Sprintf("shop_%d", server.databases.Add(1))
	createDatabase(t, name, server.from)
	return openURL(t, postgresURL(name))
}

// newDatabase makes a database without any tables.
func newDatabase(t *testing.T) string {
	t.Helper()
	name := fmt.Sprintf("shop_%d", server.databases.Add(1))
	createDatabase(t, name, "template1")
	return postgresURL(name)
}

func createDatabase(t *testing.T, name, template string) {
	t.Helper()
	server.creating.Lock() // two copies of one template at once disturb each other
	defer server.creating.Unlock()
	db, err := sql.Open("pgx", postgresURL("postgres"))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if _, err := db.ExecContext(t.Context(), "CREATE DATABASE "+name+" TEMPLATE "+template); err != nil {
		t.Fatal(err)
	}
}

func postgresURL(database string) string {
	u := url.URL{Scheme: "postgres", User: url.User("midcase"), Path: "/" + database,
		RawQuery: url.Values{"host": {server.socket}, "sslmode": {"disable"}}.Encode()}
	return u.String()
}

// startPostgres makes a cluster in a temporary folder and runs it on a socket there.
func startPostgres() (err error) {
	bin, err := postgresBin()
	if err != nil {
		return err
	}
	dir, err := os.MkdirTemp("/tmp", "pg") // a socket's path must be short
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			os.RemoveAll(dir)
		}
	}()
	data := filepath.Join(dir, "data")
	// As root, the server's programs refuse to run: be the user that the package made.
	var as []string
	if os.Geteuid() == 0 {
		as = []string{"runuser", "-u", "postgres", "--"}
		if out, err := exec.Command("chown", "postgres", dir).CombinedOutput(); err != nil {
			return fmt.Errorf("chown: %w: %s", err, out)
		}
	}
	initdb := append(as[:len(as):len(as)], filepath.Join(bin, "initdb"), "-D", data, "-U", "midcase", "-A", "trust",
		"-E", "UTF8", "--no-sync", "--no-instructions")
	// A language whose order of text is not that of the bytes, to prove that ours is.
	icu := append(initdb[:len(initdb):len(initdb)], "--locale=C.UTF-8", "--locale-provider=icu", "--icu-locale=en")
	if _, err := run(dir, icu); err != nil {
		os.RemoveAll(data)
		if out, err := run(dir, append(initdb, "--locale=C.UTF-8")); err != nil {
			return fmt.Errorf("initdb: %w: %s", err, out)
		}
	}
	// The shell ends the server and clears up when this process ends, however it ends,
	// since that closes its input.
	script := `d=$PWD; "$0" "$@" & p=$!; read line; kill -INT $p; wait $p; cd /; rm -rf "$d"`
	command := append(as, "sh", "-c", script, filepath.Join(bin, "postgres"), "-D", data, "-k", dir,
		"-c", "listen_addresses=", "-c", "fsync=off", "-c", "max_connections=300", "-c", "shared_buffers=32MB")
	return servePostgres(dir, command)
}

func servePostgres(dir string, command []string) error {
	cmd := exec.Command(command[0], command[1:]...)
	cmd.Dir = dir
	input, err := cmd.StdinPipe()
	if err != nil {
		return err
	}
	log, err := os.Create(filepath.Join(dir, "server.log"))
	if err != nil {
		return err
	}
	defer log.Close()
	cmd.Stdout, cmd.Stderr = log, log
	if err := cmd.Start(); err != nil {
		return err
	}
	server.socket = dir
	server.stop = func() {
		input.Close()
		cmd.Wait()
		os.RemoveAll(dir)
	}
	if err := awaitPostgres(); err != nil {
		out, _ := os.ReadFile(log.Name())
		return fmt.Errorf("%w: %s", err, out)
	}
	return nil
}

func awaitPostgres() error {
	db, err := sql.Open("pgx", postgresURL("postgres"))
	if err != nil {
		return err
	}
	defer db.Close()
	for range 200 {
		if err = db.PingContext(context.Background()); err == nil {
			return nil
		}
		time.Sleep(50 * time.Millisecond)
	}
	return err
}

func run(dir string, command []string) (string, error) {
	cmd := exec.Command(command[0], command[1:]...)
	cmd.Dir = dir
	out, err := cmd.CombinedOutput()
	return string(out), err
}

// postgresBin is the folder of the newest installed server programs.
func postgresBin() (string, error) {
	newest := ""
	found, err := filepath.Glob("/usr/lib/postgresql/*/bin/initdb")
	if err != nil {
		return "", err
	}
	for _, f := range found {
		if dir := filepath.Dir(f); len(dir) > len(newest) || len(dir) == len(newest) && dir > newest {
			newest = dir
		}
	}
	if newest != "" {
		return newest, nil
	}
	path, err := exec.LookPath("initdb")
	if err != nil {
		return "", errNoPostgres
	}
	if path, err = filepath.EvalSymlinks(path); err != nil {
		return "", err
	}
	return filepath.Dir(path), nil
}
