package cli

import (
	"bytes"
	"strings"
	"testing"
	"time"
)

// With the clock set back nothing is recorded until it is right or an owner says that it is; what was recorded ahead of
// it is named, by the command and in the opinion.
func TestTheClockIsComparedBeforeWriting(t *testing.T) {
	t.Setenv("MIDCASE_STORE", "")
	t.Setenv("MIDCASE_USER", "Somebody at the files")
	dir := t.TempDir()
	t.Chdir(t.TempDir())
	now := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	run := func(want int, says string, args ...string) {
		t.Helper()
		var out bytes.Buffer
		clock := func() time.Time { return now }
		code := runAt(clock, append([]string{"--shop", dir}, args...), strings.NewReader(""), &out, &out)
		if code != want || !strings.Contains(out.String(), says) {
			t.Fatalf("%s: exit code %d, %s\nwant %d and %q", args, code, out.String(), want, says)
		}
	}
	run(done, "", "watch", "add", "--maker", "corvane", "--reference", "KR-1", "--serial", "290001")
	run(done, "nothing on record is dated after it", "clock")

	now = now.AddDate(0, 0, -1)
	another := []string{"watch", "add", "--maker", "corvane", "--reference", "KR-1", "--serial", "290002"}
	run(failed, "midcase clock --right", another...)
	run(failed, "midcase clock --right", "clients", "add", "Selma Lund")
	run(done, "the clock of this machine says 2026-03-01 09:00 UTC, but it said 2026-03-02 09:00 UTC", "clock")
	run(done, `"behind": true`, "clock", "--json")
	run(done, "Evidence dated after today", "appraise", "1")

	run(done, "dated ahead of this machine's clock, the latest 2026-03-02", "clock", "--right")
	run(done, "", another...)
	run(done, `"behind": false`, "clock", "--json")
}
