package cli

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"midcase/internal/demo"
)

// scriptClock is the day on which the scripts run: a month after the invented world
// stands still.
func scriptClock() time.Time { return time.Date(2026, 11, 1, 12, 0, 0, 0, time.UTC) }

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"midcase": func() { os.Exit(runAt(scriptClock, os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) },
	})
}

// smallWorld is the invented world cut down: the book of one maker, 300 of its sales
// and four of its watches, as plain files by name.
var smallWorld = sync.OnceValues(func() (map[string][]byte, error) {
	w := demo.NewWorld(1)
	files := map[string][]byte{}
	book, err := fs.ReadFile(w.Book, "corvane.yaml")
	if err != nil {
		return nil, err
	}
	files["book/corvane.yaml"] = book
	var sales, rates bytes.Buffer
	if err := w.WriteSales(&sales); err != nil {
		return nil, err
	}
	if err := w.WriteRates(&rates); err != nil {
		return nil, err
	}
	files["rates.csv"] = rates.Bytes()
	lines := strings.SplitAfter(sales.String(), "\n")
	kept := []string{lines[0]}
	for i, line := range lines[1:] {
		if strings.Contains(line, ",Corvane,") && i%13 == 0 {
			kept = append(kept, line)
		}
	}
	if len(kept) < 300 {
		return nil, fmt.Errorf("%d sales kept; the scripts want 300 or more", len(kept))
	}
	files["sales.csv"] = []byte(strings.Join(kept[:301], ""))
	files["few.csv"] = []byte(strings.Join(kept[:121], "")) // quick to fit
	for i, name := range []string{"right.json", "hands.json", "bracelet.json", "polished.json", "gold.json"} {
		b, err := w.Watches[i].JSON()
		if err != nil {
			return nil, err
		}
		files[name] = b
	}
	return files, nil
})

func writeWorld(dir string) error {
	files, err := smallWorld()
	if err != nil {
		return err
	}
	for name, b := range files {
		path := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			return err
		}
		if err := os.WriteFile(path, b, 0o644); err != nil {
			return err
		}
	}
	return nil
}

// TestScripts runs the commands as a user does, on files of the small world. Beside
// the usual commands of a script there are
//
//	exits CODE COMMAND…     the command ends with this exit code
//	grow FILE SIZE          makes an empty file seem so many bytes long
//	swap FILE OLD NEW       replaces text in a file, bytes by \x00 as in Go
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		RequireExplicitExec: true,
		Setup: func(e *testscript.Env) error {
			e.Setenv("MIDCASE_USER", "Ines")
			e.Setenv("MIDCASE_SHOP", filepath.Join(e.WorkDir, "shop"))
			e.Setenv("MIDCASE_STORE", "")
			return writeWorld(e.WorkDir)
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){"exits": exits, "grow": grow, "swap": swap},
	})
}

// innerWords are what only the program's author knows. An id may contain "0x" by chance, so an address counts only
// where it begins a word.
var innerWords = regexp.MustCompile(`panic|goroutine| json:|strconv\.|unmarshal|evidence\.Watch|\b0x[0-9a-f]|` +
	`%!|<nil>|sql:|\.midcase-`)

func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits CODE COMMAND [ARGUMENT…]")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		var e *exec.ExitError
		if !errors.As(err, &e) {
			ts.Fatalf("%v", err)
		}
		got = e.ExitCode()
	}
	if got != want {
		ts.Fatalf("%s: exit code %d, want %d", strings.Join(args[1:], " "), got, want)
	}
	if said := ts.ReadFile("stderr"); innerWords.MatchString(said) {
		ts.Fatalf("standard error shows %q:\n%s", innerWords.FindString(said), said)
	}
}

func grow(ts *testscript.TestScript, _ bool, args []string) {
	size, err := strconv.ParseInt(args[1], 10, 64)
	ts.Check(err)
	ts.Check(os.Truncate(ts.MkAbs(args[0]), size))
}

func swap(ts *testscript.TestScript, _ bool, args []string) {
	old, err := strconv.Unquote(`"` + strings.ReplaceAll(args[1], `"`, `\"`) + `"`)
	ts.Check(err)
	with, err := strconv.Unquote(`"` + strings.ReplaceAll(args[2], `"`, `\"`) + `"`)
	ts.Check(err)
	path := ts.MkAbs(args[0])
	b, err := os.ReadFile(path)
	ts.Check(err)
	if !bytes.Contains(b, []byte(old)) {
		ts.Fatalf("%s does not hold %q", args[0], old)
	}
	ts.Check(os.WriteFile(path, bytes.Replace(b, []byte(old), []byte(with), 1), 0o644))
}
