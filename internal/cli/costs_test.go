package cli

import (
	"bytes"
	"regexp"
	"strings"
	"testing"
	"time"

	"midcase/internal/shop/rights"
)

// No command that somebody may run who may not see costs says what was paid, asked of us or earned: every one is run
// with nothing behind it and with the number of each watch.
func TestNoCommandSaysWhatAWatchCost(t *testing.T) {
	t.Setenv("MIDCASE_STORE", "")
	dir := t.TempDir()
	t.Chdir(t.TempDir()) // some commands take the number for a folder to write to
	run := func(as, input string, args ...string) string {
		t.Setenv("MIDCASE_USER", as)
		var out bytes.Buffer
		runAt(time.Now, append([]string{"--shop", dir}, args...), strings.NewReader(input), &out, &out)
		return out.String()
	}
	for _, args := range [][]string{
		{"watch", "add", "--maker", "corvane", "--reference", "KR-1", "--serial", "290001", "--asked", "7111EUR"},
		{"watch", "add", "--maker", "corvane", "--reference", "KR-1", "--serial", "290002"},
		{"clients", "add", "Selma Lund"},
		{"stock", "buy", "2", "6737.91EUR", "--client", "Selma", "--scheme", "margin"},
		{"stock", "listed", "2", "8900EUR"},
	} {
		if says := run("Somebody at the files", "", args...); strings.Contains(says, "error") {
			t.Fatalf("%s: %s", args, says)
		}
	}
	for _, role := range []rights.Role{rights.Owner, rights.Sales, rights.Viewer} {
		says := run("Somebody at the files", "spring barrel ratchet pawl\n", "people", "add", "The "+string(role),
			"--role", string(role))
		if !strings.Contains(says, "may sign in") {
			t.Fatal(says)
		}
	}
	figures := regexp.MustCompile(`7[,.’'\x{a0}\x{202f}]?111\b|6[,.’'\x{a0}\x{202f}]?73[78]\b`)
	owners, ran := 0, 0
	for _, command := range leaves(t) {
		right, _ := commandRight(command)
		if right == noShop || right == rights.Settings || right == rights.People {
			continue
		}
		for _, more := range [][]string{nil, {"1"}, {"2"}} {
			args := append(strings.Fields(command), more...)
			if rights.Viewer.May(right) && figures.MatchString(run("The owner", "", args...)) {
				owners++
			}
			for _, role := range []rights.Role{rights.Sales, rights.Viewer} {
				if !role.May(right) {
					continue
				}
				ran++
				says := run("The "+string(role), "", args...)
				if found := figures.FindString(says); found != "" {
					t.Errorf("midcase %s says %s to somebody in %s:\n%.400s", strings.Join(args, " "), found, role, says)
				}
			}
		}
	}
	if owners < 3 || ran < 100 {
		t.Errorf("%d runs, of which %d show an owner what a watch cost: too little was looked at", ran, owners)
	}
}
