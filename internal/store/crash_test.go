package store

import (
	"bufio"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"midcase/evidence"
	"midcase/internal/shop"
)

const (
	crashKills = 60 // unless crashMany says otherwise
	crashMany  = "MIDCASE_CRASH_KILLS"
	crashWatch = shop.WatchID("w_1")
	crashFile  = "MIDCASE_CRASH_FILE"
	crashRound = "MIDCASE_CRASH_ROUND"
	crashOpen  = "open" // what the child says once it has opened the store
)

// crashChild is what the process does that TestCrash kills: it appends pairs of items
// for ever and writes a line for each pair that the store acknowledged.
func crashChild() {
	file := os.Getenv(crashFile)
	if file == "" {
		return
	}
	ctx := context.Background()
	s, err := Open(ctx, file)
	if err != nil {
		fmt.Println("error:", err)
		os.Exit(1)
	}
	fmt.Println(crashOpen)
	for n := 0; ; n++ {
		pair := fmt.Sprintf("ev_%s_%d", os.Getenv(crashRound), n)
		if err := s.Append(ctx, crashWatch, item(pair+"_a"), item(pair+"_b")); err != nil {
			fmt.Println("error:", err)
			os.Exit(1)
		}
		fmt.Println(pair)
	}
}

// TestCrash kills a writing process at random moments. All that was acknowledged must
// be there, nothing by half, and the log sound. (A process killed is not a power cut;
// for that the store relies on SQLite's synchronous=FULL.)
func TestCrash(t *testing.T) {
	t.Parallel()
	file := filepath.Join(t.TempDir(), "shop.db")
	acknowledged := map[string]bool{}
	kills := crashKills
	if many := os.Getenv(crashMany); many != "" {
		var err error
		if kills, err = strconv.Atoi(many); err != nil || kills < 1 {
			t.Fatalf("%s is %q; set a number of kills, such as 500", crashMany, many)
		}
	}
	// A writer may be killed before it wrote anything: more of them are killed then.
	for round := 0; round < kills || len(acknowledged) < kills && round < 20*kills; round++ {
		s, err := Open(t.Context(), file)
		if err != nil {
			t.Fatalf("round %d: %v", round, err)
		}
		if round == 0 {
			if _, err := s.CreateWatch(t.Context(), shop.Watch{ID: crashWatch}); err != nil {
				t.Fatal(err)
			}
		}
		checkAfterCrash(t, s, acknowledged)
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		for _, pair := range killWriter(t, file, round) {
			acknowledged[pair] = true
		}
	}
	s := openURL(t, file)
	checkAfterCrash(t, s, acknowledged)
	if len(acknowledged) < kills {
		t.Errorf("only %d pairs were acknowledged: the test kills too early to say anything", len(acknowledged))
	}
	t.Logf("%d kills, %d pairs acknowledged", kills, len(acknowledged))
}

// killWriter runs the child, kills it at a random moment and returns what it said
// was acknowledged. In every other round the moment is counted from when the store is open: a busy machine takes
// longer to start the child than the moment is long, and it would write nothing.
func killWriter(t *testing.T, file string, round int) (pairs []string) {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(self, "-test.run=^$")
	cmd.Env = append(os.Environ(), crashFile+"="+file, fmt.Sprintf("%s=%d", crashRound, round))
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	kill := func() {
		timer := time.AfterFunc(time.Duration(rand.IntN(150))*time.Millisecond, func() { cmd.Process.Kill() })
		t.Cleanup(func() { timer.Stop() })
	}
	early := round%2 == 0
	if early {
		kill()
	}
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		if lines.Text() == crashOpen {
			if !early {
				kill()
			}
			continue
		}
		if strings.HasPrefix(lines.Text(), "error") {
			t.Errorf("round %d: %s", round, lines.Text())
			continue
		}
		pairs = append(pairs, lines.Text())
	}
	cmd.Wait() // says that it was killed
	return pairs
}

func checkAfterCrash(t *testing.T, s *Store, acknowledged map[string]bool) {
	t.Helper()
	items, err := s.Evidence(t.Context(), crashWatch)
	if err != nil {
		t.Fatal(err)
	}
	have := map[evidence.ID]bool{}
	for _, item := range items {
		have[item.ID] = true
	}
	for pair := range acknowledged {
		if !have[evidence.ID(pair+"_a")] || !have[evidence.ID(pair+"_b")] {
			t.Errorf("pair %s was acknowledged and is not there", pair)
		}
	}
	for id := range have {
		if a, isA := strings.CutSuffix(string(id), "_a"); isA && !have[evidence.ID(a+"_b")] {
			t.Errorf("pair %s is there by half", a)
		}
	}
	if err := s.Verify(t.Context()); err != nil {
		t.Error(err)
	}
}
