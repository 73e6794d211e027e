package notes_test

import (
	"testing"

	"midcase/notes"
)

// A shop's own words are read as it uses them, denied as others are, and by this shop alone.
func TestWordsOfTheShop(t *testing.T) {
	own := []notes.Own{{Say: "peppered", Term: "spotting"}, {Say: "jumped ship", Term: "lume_loss"}}
	read := func(text string, own []notes.Own) []string {
		var out []string
		for _, it := range notes.Read(text, notes.Options{Own: own}).Items {
			out = append(out, told(it))
		}
		return out
	}
	for text, want := range map[string]string{
		"Dial slightly peppered near 4.":       "dial spotting 1 near 4",
		"Dial: the plots have jumped ship.":    "dial lume_loss 2",
		"The dial is a touch peppered, honest": "dial spotting 1",
	} {
		if got := read(text, own); len(got) != 1 || got[0] != want {
			t.Errorf("%q: %q; want %q", text, got, want)
		}
		for _, got := range read(text, nil) {
			if got == want {
				t.Errorf("%q: %q without the shop's words", text, got)
			}
		}
	}
	if got := read("Dial not peppered.", own); len(got) != 0 {
		t.Errorf("denied: %q", got)
	}
}

// What would make notes be misread is refused.
func TestWordsThatCannotBeTheShops(t *testing.T) {
	for _, o := range []notes.Own{{Say: "peppered", Term: "nothing"}, {Say: "", Term: "spotting"}, {Say: "no", Term: "spotting"},
		{Say: "dial", Term: "spotting"}, {Say: "never", Term: "spotting"}, {Say: "Dents", Term: "spotting"},
		{Say: "2 spots", Term: "spotting"}, {Say: "one two three four five six", Term: "spotting"}} {
		if o.Check() == nil {
			t.Errorf("%+v was taken", o)
		}
	}
	if err := (notes.Own{Say: "peppered", Term: "spotting"}).Check(); err != nil {
		t.Error(err)
	}
}

// A finding says by which words alone it was read, for a shop that means something else by them.
func TestAFindingSaysItsWords(t *testing.T) {
	for text, want := range map[string]string{
		"dial: some small spots near 4": "spots", "The lume is gone at 3.": "lume is gone", "Case not polished.": "",
	} {
		items := notes.Read(text, notes.Options{}).Items
		if len(items) != 1 || items[0].Says != want {
			t.Errorf("%q: %+v; want %q", text, items, want)
		}
	}
}
