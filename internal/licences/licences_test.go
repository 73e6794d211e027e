package licences

import (
	"errors"
	"strings"
	"testing"
)

func TestRead(t *testing.T) {
	parts, err := read([]byte(
		`[{"name":"example.org/a","version":"v1","licence":"MIT","texts":[{"file":"LICENSE","text":"free"}]},{"name":"example.org/B"}]`))
	if err != nil || len(parts) != 2 || parts[0].Texts[0].Text != "free" {
		t.Fatalf("%+v, %v", parts, err)
	}
	if got := Find(parts, "ORG/b"); len(got) != 1 || got[0].Name != "example.org/B" {
		t.Errorf("found %+v", got)
	}
	if _, err := read([]byte("{")); err == nil {
		t.Error("half a file was read")
	}
}

// A build that gathered the texts has them all; one that did not says so.
func TestGathered(t *testing.T) {
	parts, err := Gathered()
	if errors.Is(err, ErrNotGathered) {
		t.Skip("built without make")
	}
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range parts {
		if len(p.Texts) == 0 || p.Licence == "" {
			t.Errorf("%s has no licence text", p.Name)
		}
		for _, text := range p.Texts {
			if strings.TrimSpace(text.Text) == "" {
				t.Errorf("%s: %s is empty", p.Name, text.File)
			}
		}
	}
}
