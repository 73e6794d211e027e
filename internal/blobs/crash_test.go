package blobs

import (
	"bufio"
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

const (
	crashKills  = 50
	crashFolder = "MIDCASE_CRASH_FOLDER"
	crashRound  = "MIDCASE_CRASH_ROUND"
)

func TestMain(m *testing.M) {
	crashChild() // does not return in the process that TestCrash starts
	os.Exit(m.Run())
}

// crashChild is what the process does that TestCrash kills: it stores blobs for ever,
// each another, and writes the name of each that was acknowledged.
func crashChild() {
	dir := os.Getenv(crashFolder)
	if dir == "" {
		return
	}
	f, err := Dir(dir)
	if err != nil {
		fmt.Println("error:", err)
		os.Exit(1)
	}
	for n := uint64(0); ; n++ {
		head := binary.BigEndian.AppendUint64([]byte(os.Getenv(crashRound)+"/"), n)
		content := append(head, bytes.Repeat([]byte{byte(n)}, int(n*7919%300_000))...)
		sha, _, err := f.Put(context.Background(), bytes.NewReader(content), limit)
		if err != nil {
			fmt.Println("error:", err)
			os.Exit(1)
		}
		fmt.Println(sha)
	}
}

// TestCrash kills a storing process at random moments: every name acknowledged, and
// every name that can be seen at all, has whole bytes, and what was interrupted is
// swept.
func TestCrash(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	acknowledged := map[string]bool{}
	// On a busy machine a writer is often killed before it stored anything: more of them are killed then.
	for round := 0; round < crashKills || len(acknowledged) < crashKills && round < 20*crashKills; round++ {
		for _, sha := range killWriter(t, dir, round) {
			acknowledged[sha] = true
		}
	}
	if len(acknowledged) < crashKills {
		t.Errorf("only %d blobs were acknowledged: the test kills too early to say anything", len(acknowledged))
	}
	left, err := os.ReadDir(filepath.Join(dir, incoming))
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range left {
		at := time.Now().Add(-2 * abandoned)
		if err := os.Chtimes(filepath.Join(dir, incoming, e.Name()), at, at); err != nil {
			t.Fatal(err)
		}
	}
	f := openFolder(t, dir)
	for sha := range acknowledged {
		if err := f.Verify(t.Context(), sha); err != nil {
			t.Errorf("acknowledged: %v", err)
		}
	}
	seen := 0
	for e, err := range f.List(t.Context()) {
		if err != nil {
			t.Fatal(err)
		}
		if err := f.Verify(t.Context(), e.SHA); err != nil {
			t.Errorf("seen: %v", err)
		}
		seen++
	}
	if got := files(t, dir); len(got) != seen {
		t.Errorf("%d files, %d blobs: something was not swept", len(got), seen)
	}
	t.Logf("%d kills, %d blobs acknowledged, %d seen, %d interrupted files swept", crashKills, len(acknowledged), seen,
		len(left))
}

// killWriter runs the child, kills it at a random moment and returns the names that
// it said were acknowledged.
func killWriter(t *testing.T, dir string, round int) (names []string) {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(self, "-test.run=^$")
	cmd.Env = append(os.Environ(), crashFolder+"="+dir, fmt.Sprintf("%s=%d", crashRound, round))
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	timer := time.AfterFunc(time.Duration(rand.IntN(100))*time.Millisecond, func() { cmd.Process.Kill() })
	defer timer.Stop()
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		if strings.HasPrefix(lines.Text(), "error") {
			t.Errorf("round %d: %s", round, lines.Text())
			continue
		}
		names = append(names, lines.Text())
	}
	cmd.Wait() // says that it was killed
	return names
}
