package cli

import (
	"bytes"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/alecthomas/kong"

	"midcase/internal/shop/rights"
)

// leaves are all commands.
func leaves(t *testing.T) []string {
	t.Helper()
	var c commands
	k, err := kong.New(&c, kong.NamedMapper("existingfile", asGiven), kong.NamedMapper("existingdir", asGiven))
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, n := range k.Model.Leaves(false) {
		out = append(out, words(strings.TrimPrefix(n.FullPath(), k.Model.Name+" ")))
	}
	if len(out) < 80 {
		t.Fatalf("%d commands found", len(out))
	}
	return out
}

func TestEveryCommandAsksForARight(t *testing.T) {
	all := leaves(t)
	for _, command := range all {
		if _, ok := commandRight(command); !ok {
			t.Errorf("%s: no right is named for it in rights.go, so that only owners may run it", command)
		}
	}
	for listed := range commandNeeds {
		if !slices.ContainsFunc(all, func(c string) bool { return strings.HasPrefix(c+" ", listed+" ") }) {
			t.Errorf("%s of rights.go is gone", listed)
		}
	}
}

// TestEveryRoleOnEveryCommand runs commands as somebody of each role: who lacks the right is told so.
func TestEveryRoleOnEveryCommand(t *testing.T) {
	t.Setenv("MIDCASE_STORE", "")
	dir := t.TempDir()
	run := func(as, input string, args ...string) string {
		t.Setenv("MIDCASE_USER", as)
		var out, problems bytes.Buffer
		runAt(time.Now, append([]string{"--shop", dir}, args...), strings.NewReader(input), &out, &problems)
		return problems.String()
	}
	boss := "Somebody at the files"
	a := &app{ctx: t.Context(), now: time.Now, shop: dir}
	s, err := a.open(true)
	if err != nil {
		t.Fatal(err)
	}
	s.close()
	for _, role := range rights.Roles() {
		if says := run(boss, "spring barrel ratchet pawl\n", "people", "add", "The "+string(role), "--role",
			string(role)); says != "" {
			t.Fatal(says)
		}
	}
	for _, args := range [][]string{{"watch", "list"}, {"watch", "add", "--maker", "corvane", "--reference", "KR-1"},
		{"people", "list"}, {"people", "log"}, {"clients", "list"}, {"clients", "add", "Ada Example"}, {"calendar"},
		{"ledger", "balance"}, {"ledger", "profit"}, {"documents", "list"}, {"stock", "worth"}, {"sales", "list"},
		{"stock", "list"}, {"deal", "1"}, {"log", "head"}, {"check"}, {"people", "role", "The viewer", "viewer"}} {
		right, _ := commandRight(strings.Join(args, " "))
		for _, role := range rights.Roles() {
			says := run("the "+string(role), "", args...)
			if refused := strings.Contains(says, "your role is"); refused == role.May(right) {
				t.Errorf("%s by %s: %q; has the right to %s: %t", args, role, says, right, role.May(right))
			}
		}
	}
	if says := run(boss, "", "people", "list"); says != "" {
		t.Errorf("somebody at the files: %s", says)
	}
}
