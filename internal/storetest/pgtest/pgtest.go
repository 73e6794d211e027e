// Package pgtest runs throw-away PostgreSQL servers for tests. Each has its files and its socket in a temporary folder
// and is gone with the process that started it.
package pgtest

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"time"

	_ "github.com/jackc/pgx/v5/stdlib" // the driver
)

// ErrNone is returned where no server programs are installed.
var ErrNone = errors.New("no PostgreSQL server programs in PATH or /usr/lib/postgresql/*/bin")

// Cluster is a server that runs.
type Cluster struct {
	Socket string // the folder of its socket
	Stop   func()
}

// URL is the address of a database.
func (c *Cluster) URL(database string) string {
	u := url.URL{Scheme: "postgres", User: url.User("midcase"), Path: "/" + database,
		RawQuery: url.Values{"host": {c.Socket}, "sslmode": {"disable"}}.Encode()}
	return u.String()
}

// Create makes a database as a copy of another one; template1 is empty. Names are the caller's own, not quoted.
func (c *Cluster) Create(ctx context.Context, name, template string) error {
	db, err := sql.Open("pgx", c.URL("postgres"))
	if err != nil {
		return err
	}
	defer db.Close()
	_, err = db.ExecContext(ctx, "CREATE DATABASE "+name+" TEMPLATE "+template)
	return err
}

// Start makes a cluster in a temporary folder and runs it on a socket there. It errs with ErrNone where no server
// programs are installed.
func Start() (c *Cluster, err error) {
	bin, err := programs()
	if err != nil {
		return nil, err
	}
	dir, err := os.MkdirTemp("/tmp", "pg") // a socket's path must be short
	if err != nil {
		return nil, err
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
			return nil, fmt.Errorf("chown: %w: %s", err, out)
		}
	}
	initdb := append(as[:len(as):len(as)], filepath.Join(bin, "initdb"), "-D", data, "-U", "midcase", "-A", "trust",
		"-E", "UTF8", "--no-sync", "--no-instructions")
	// A language whose order of text is not that of the bytes, to prove that ours is.
	icu := append(initdb[:len(initdb):len(initdb)], "--locale=C.UTF-8", "--locale-provider=icu", "--icu-locale=en")
	if _, err := run(dir, icu); err != nil {
		os.RemoveAll(data)
		if out, err := run(dir, append(initdb, "--locale=C.UTF-8")); err != nil {
			return nil, fmt.Errorf("initdb: %w: %s", err, out)
		}
	}
	// The shell ends the server and clears up when this process ends, however it ends,
	// since that closes its input.
	script := `d=$PWD; "$0" "$@" & p=$!; read line; kill -INT $p; wait $p; cd /; rm -rf "$d"`
	command := append(as, "sh", "-c", script, filepath.Join(bin, "postgres"), "-D", data, "-k", dir,
		"-c", "listen_addresses=", "-c", "fsync=off", "-c", "max_connections=300", "-c", "shared_buffers=32MB")
	return serve(dir, command)
}

func serve(dir string, command []string) (*Cluster, error) {
	cmd := exec.Command(command[0], command[1:]...)
	cmd.Dir = dir
	input, err := cmd.StdinPipe()
	if err != nil {
		return nil, err
	}
	log, err := os.Create(filepath.Join(dir, "server.log"))
	if err != nil {
		return nil, err
	}
	defer log.Close()
	cmd.Stdout, cmd.Stderr = log, log
	if err := cmd.Start(); err != nil {
		return nil, err
	}
	c := &Cluster{Socket: dir, Stop: func() {
		input.Close()
		cmd.Wait()
		os.RemoveAll(dir)
	}}
	if err := c.await(); err != nil {
		out, _ := os.ReadFile(log.Name())
		return nil, fmt.Errorf("%w: %s", err, out)
	}
	return c, nil
}

func (c *Cluster) await() error {
	db, err := sql.Open("pgx", c.URL("postgres"))
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

// programs is the folder of the newest installed server programs.
func programs() (string, error) {
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
		return "", ErrNone
	}
	if path, err = filepath.EvalSymlinks(path); err != nil {
		return "", err
	}
	return filepath.Dir(path), nil
}
