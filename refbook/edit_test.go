package refbook_test

import (
	"errors"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/refbook"
)

const commented = `# A file with remarks that somebody wrote.
schema: 1
id: corvane
name: "Corvane"
serials:
  - id: case
    mark: serial
    anchors:
      - {number: 1000, month: "1960-01"} # from a ledger
      # the works moved here
      - {number: 9000, month: "1968-01"}
    scatter_months: 5
metals:
  - {id: steel, name: Steel}
calibres:
  - {id: C-1, beats_per_hour: 18000}
families:
  - {id: dress, name: Dress, kind: dress}
references:
  - id: "10"
    family: dress
    made: "1960/1968"
    metal: steel
    calibres: [C-1]
    serial: [case]
    slots:
      - slot: dial
        replaced: 0.1
        variants:
          - id: first # the oldest
            name: First dial
            windows: [{made: "1960/1964"}]
      # nothing is known of the hands

  - id: "11"
    family: dress
    made: "1960/1968"
    metal: steel
    calibres: [C-1]
    serial: [case]
`

func variant(id string) refbook.Variant {
	return refbook.Variant{ID: id, Name: `Second "late" dial: plain`, Look: "no #1, 'flat'",
		Windows: []refbook.Window{{Made: edtf.MustParse("1964/1968"), Share: 0.5}}}
}

func TestAddVariant(t *testing.T) {
	t.Parallel()
	text, err := refbook.AddVariant([]byte(commented), "10", evidence.Dial, variant("second"))
	if err != nil {
		t.Fatal(err)
	}
	m, problems := refbook.ReadMaker("corvane.yaml", text)
	if len(problems) > 0 {
		t.Fatalf("%v\n%s", problems, text)
	}
	got := m.References[0].Slots[0].Variants
	if len(got) != 2 || got[1].Name != variant("").Name || got[1].Look != variant("").Look ||
		got[1].Windows[0].Share != 0.5 {
		t.Errorf("versions %+v", got)
	}
	onlyAdded(t, commented, string(text), 5)
}

// onlyAdded holds that a text has all lines of the one before, in order, and so many more.
func onlyAdded(t interface{ Errorf(string, ...any) }, before, after string, more int) {
	a, b := strings.Split(before, "\n"), strings.Split(after, "\n")
	if len(b) != len(a)+more {
		t.Errorf("%d lines more, want %d", len(b)-len(a), more)
	}
	i := 0
	for _, line := range b {
		if i < len(a) && a[i] == line {
			i++
		}
	}
	if i != len(a) {
		t.Errorf("line %d of the old text is gone: %q", i+1, a[i])
	}
}

func TestAddAnchorInOrder(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.Int64Range(1, 20000).Draw(rt, "number")
		text, err := refbook.AddAnchor([]byte(commented), "case",
			refbook.Anchor{Number: n, Month: edtf.MonthOf(1964, 6), Source: "a guarantee card"})
		if n == 1000 || n == 9000 {
			var e *refbook.EditError
			if !errors.As(err, &e) {
				rt.Fatalf("number %d is there already: %v", n, err)
			}
			return
		}
		if err != nil {
			rt.Fatal(err)
		}
		m, _ := refbook.ReadMaker("corvane.yaml", text)
		all := m.Serials[0].Anchors
		if len(all) != 3 {
			rt.Fatalf("%d anchors", len(all))
		}
		for i := 1; i < len(all); i++ {
			if all[i].Number <= all[i-1].Number {
				rt.Fatalf("out of order: %v", all)
			}
		}
		onlyAdded(rt, commented, string(text), 1)
	})
}

func TestEditsThatCannotBeMade(t *testing.T) {
	t.Parallel()
	for name, try := range map[string]func() ([]byte, error){
		"a version that is there": func() ([]byte, error) {
			return refbook.AddVariant([]byte(commented), "10", evidence.Dial, variant("First"))
		},
		"a part that is not there": func() ([]byte, error) {
			return refbook.AddVariant([]byte(commented), "10", evidence.Hands, variant("x"))
		},
		"no such reference": func() ([]byte, error) {
			return refbook.AddVariant([]byte(commented), "12", evidence.Dial, variant("x"))
		},
		"no such run": func() ([]byte, error) {
			return refbook.AddAnchor([]byte(commented), "none",
				refbook.Anchor{Number: 1})
		},
		"a list in one line": func() ([]byte, error) {
			one := strings.Replace(commented, "        variants:\n          - id: first # the oldest\n            name: First dial\n            windows: [{made: \"1960/1964\"}]\n", "        variants: [{id: first, name: First dial}]\n", 1)
			return refbook.AddVariant([]byte(one), "10", evidence.Dial, variant("x"))
		},
	} {
		text, err := try()
		var e *refbook.EditError
		if !errors.As(err, &e) || text != nil || e.Found == "" || e.Want == "" {
			t.Errorf("%s: %q, %v", name, text, err)
		}
	}
}

func TestSection(t *testing.T) {
	t.Parallel()
	lines := strings.Split(commented, "\n")
	first, last, ok := refbook.Section([]byte(commented), "10")
	if !ok || !strings.Contains(lines[first-1], `- id: "10"`) ||
		!strings.Contains(lines[last-1], "nothing is known of the hands") {
		t.Errorf("reference 10: lines %d to %d, %v", first, last, ok)
	}
	first, last, ok = refbook.Section([]byte(commented), "11")
	if !ok || last != len(lines)-1 || !strings.Contains(lines[first-1], `"11"`) {
		t.Errorf("reference 11: lines %d to %d of %d, %v", first, last, len(lines), ok)
	}
	if _, _, ok := refbook.Section([]byte(commented), "12"); ok {
		t.Error("found a reference that is not there")
	}
}

func FuzzAddAnchor(f *testing.F) {
	f.Add([]byte(commented), int64(5))
	f.Add([]byte("serials: [{id: case, anchors: [{number: 1, month: \"1960-01\"}]}]"), int64(2))
	f.Fuzz(func(t *testing.T, text []byte, n int64) {
		given := string(text)
		out, err := refbook.AddAnchor(text, "case", refbook.Anchor{Number: n, Month: edtf.MonthOf(1960, 1)})
		if string(text) != given {
			t.Fatal("the text given was changed")
		}
		if err == nil {
			onlyAdded(t, given, string(out), 1)
		}
	})
}
