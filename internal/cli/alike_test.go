package cli

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// TestReportReadsAsTheTerminal: value and range of a watch are written alike on the
// command line and in its report.
func TestReportReadsAsTheTerminal(t *testing.T) {
	files, err := smallWorld()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	for name, b := range files {
		at := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(at), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(at, b, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	said := func(command string, args ...string) string {
		args = append([]string{command}, append(args, "--book", filepath.Join(dir, "book"), "--sales",
			filepath.Join(dir, "few.csv"))...)
		var out, complaints bytes.Buffer
		if code := runAt(scriptClock, args, strings.NewReader(""), &out, &complaints); code != 0 {
			t.Fatalf("%v: %s", args, complaints.String())
		}
		return out.String()
	}
	line := regexp.MustCompile(`(?m)^ +([\d,]+) EUR, 80 % range ([\d,]+–[\d,]+) \(`)
	for _, name := range []string{"right.json", "gold.json"} {
		watch, paper := filepath.Join(dir, name), filepath.Join(dir, name+".md")
		m := line.FindStringSubmatch(said("appraise", watch))
		if m == nil {
			t.Fatalf("%s: the command line states no value", name)
		}
		said("report", watch, "-o", paper)
		b, err := os.ReadFile(paper)
		if err != nil {
			t.Fatal(err)
		}
		if want := "Worth " + m[2] + " EUR (80 % range), median " + m[1] + " EUR"; !strings.Contains(string(b), want) {
			t.Errorf("%s: the report does not say %q", name, want)
		}
	}
}
