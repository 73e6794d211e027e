package sheet

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"midcase/condition"
	"midcase/evidence"
	"midcase/gate"
	"midcase/internal/shop"
	"midcase/internal/web/pages/frame"
	"midcase/refbook"
	assets "midcase/web"
)

// Data is what the page shows.
type Data struct {
	Frame  frame.Data
	Watch  shop.Watch
	Groups []Group
	Cells  []CellGroup
	Odd    []gate.Doubt // of an entry that was not recorded
	Entry  string       // that entry
	Error  string
}

// Group is a side of the watch in the order of the hand.
type Group struct {
	Name  string
	Slots []Slot
}

// Slot is one row: what can be recorded of a part, each with its key.
type Slot struct {
	Slot     evidence.Slot
	Key      string
	Versions []Choice
	Same     *Choice // as the last one of this reference
	Finish   []Choice
	Good     []Choice
	Chips    []Chip
	Tried    []Choice
	Over     Choice
	Missing  Choice
	Hours    bool // a place on it can be tapped on a dial
	Kept     []evidence.Item
}

// Choice is one entry that one key records.
type Choice struct {
	Key, Name, Says, Entry string
}

// Chip is a frequent flaw with a button for each severity.
type Chip struct {
	Key, Name, Says string
	Severities      []Choice
}

// CellGroup is a part of the grid.
type CellGroup struct {
	Name  string
	Cells []Cell
}

// Cell is one figure of the grid.
type Cell struct{ Name, Label, Unit, Book, Hint, Kept string }

// Entry is an entry as a button carries it: its kind and its data.
func Entry(d evidence.Data) string {
	b, err := json.Marshal(d)
	if err != nil { // the kinds are plain structs
		return ""
	}
	return string(d.Kind()) + " " + string(b)
}

// keys open the rows.
var keys = map[evidence.Slot]string{evidence.Dial: "d", evidence.Hands: "h", evidence.Crystal: "x",
	evidence.Bezel: "b",
	evidence.Case:  "c", evidence.Crown: "r", evidence.Pushers: "p", evidence.CaseBack: "k", evidence.Movement: "m",
	evidence.Bracelet: "l", evidence.EndPieces: "e", evidence.Clasp: "s", evidence.Box: "o", evidence.Papers: "w"}

var hand = []struct {
	name  string
	slots []evidence.Slot
}{
	{"Front", []evidence.Slot{evidence.Dial, evidence.Hands, evidence.Crystal, evidence.Bezel}},
	{"Side", []evidence.Slot{evidence.Case, evidence.Crown, evidence.Pushers}},
	{"Back", []evidence.Slot{evidence.CaseBack}},
	{"Inside", []evidence.Slot{evidence.Movement}},
	{"Bracelet", []evidence.Slot{evidence.Bracelet, evidence.EndPieces, evidence.Clasp}},
	{"With it", []evidence.Slot{evidence.Box, evidence.Papers}},
}

const mostChips = 9

// Rows are the rows of a watch: ref and maker are nil where the book has none, last are the
// parts of the watch of this reference that was recorded before.
func Rows(maker *refbook.Maker, ref *refbook.Reference, file evidence.File,
	last map[evidence.Slot]*evidence.Fitted) []Group {
	var out []Group
	for _, side := range hand {
		g := Group{Name: side.name}
		for _, slot := range side.slots {
			if has, known := hasPart(ref, slot); known && !has {
				continue
			}
			g.Slots = append(g.Slots, rowOf(slot, maker, ref, file, last))
		}
		out = append(out, g)
	}
	return out
}

// hasPart says whether a reference has pushers: only a chronograph's book entry lists them.
func hasPart(ref *refbook.Reference, slot evidence.Slot) (has, known bool) {
	if ref == nil || slot != evidence.Pushers {
		return true, false
	}
	_, has = ref.Slot(slot)
	return has, true
}

func rowOf(slot evidence.Slot, maker *refbook.Maker, ref *refbook.Reference, file evidence.File,
	last map[evidence.Slot]*evidence.Fitted) Slot {
	s := Slot{Slot: slot, Key: keys[slot], Finish: finish(slot), Chips: chips(slot), Good: good(slot),
		Tried:    tried(slot, maker, ref),
		Versions: versions(slot, maker, ref), Hours: slot == evidence.Dial || slot == evidence.Crystal ||
			slot == evidence.Bezel,
		Over: Choice{Key: "n", Name: "looked over, nothing more",
			Entry: Entry(&evidence.Trial{What: evidence.TrialLookedOver, Slot: slot})},
		Missing: Choice{Key: "a", Name: "missing", Entry: Entry(&evidence.Fitted{Slot: slot, Absent: true})}}
	for _, it := range file.Items {
		if Of(it.Data) == slot {
			s.Kept = append(s.Kept, it)
		}
	}
	if f, ok := last[slot]; ok && !named(file, slot) {
		s.Same = &Choice{Key: "Enter", Name: versionName(s.Versions, f.Variant),
			Entry: Entry(&evidence.Fitted{Slot: slot, Variant: f.Variant, Metal: f.Metal})}
	}
	return s
}

func named(file evidence.File, slot evidence.Slot) bool {
	for _, f := range evidence.All[*evidence.Fitted](file) {
		if f.Data.Slot == slot {
			return true
		}
	}
	return false
}

func versionName(all []Choice, id string) string {
	for _, c := range all {
		if strings.Contains(c.Entry, `"variant":"`+id+`"`) {
			return c.Name
		}
	}
	return id
}

// Of is the part that an entry is about; empty where it is about the watch.
func Of(d evidence.Data) evidence.Slot {
	switch d := d.(type) {
	case *evidence.Fitted:
		return d.Slot
	case *evidence.Finding:
		return d.Slot
	case *evidence.Mark:
		return d.Slot
	case *evidence.Trial:
		return d.Slot
	case *evidence.Need:
		return d.Slot
	}
	return ""
}

// versions are the book's versions of a part, and none of them.
func versions(slot evidence.Slot, maker *refbook.Maker, ref *refbook.Reference) []Choice {
	var out []Choice
	add := func(id, name, says string) {
		out = append(out, Choice{Key: fmt.Sprint(len(out) + 1), Name: name, Says: says,
			Entry: Entry(&evidence.Fitted{Slot: slot, Variant: id})})
	}
	if ref != nil {
		if s, ok := ref.Slot(slot); ok {
			for _, v := range s.Variants {
				add(v.ID, v.Name, v.Look)
			}
		}
		if len(out) == 0 {
			listed(slot, maker, ref, add)
		}
	}
	for i := range out {
		if i >= 9 {
			out[i].Key = ""
		}
	}
	return append(out, Choice{Key: "0", Name: "there, version not identified",
		Entry: Entry(&evidence.Fitted{Slot: slot, Variant: evidence.Unknown})})
}

// listed are parts that the book lists with the maker.
func listed(slot evidence.Slot, maker *refbook.Maker, ref *refbook.Reference, add func(id, name, says string)) {
	switch slot {
	case evidence.Bracelet:
		for _, id := range ref.Bracelets {
			b, ok := maker.Bracelet(id)
			if ok {
				add(b.ID, strings.TrimSpace(b.ID+" "+b.Name),
					fmt.Sprintf("%g mm at the lugs, %g mm at the clasp", b.WidthMM, b.ClaspMM))
			}
		}
		add("strap", "strap", "")
	case evidence.EndPieces:
		for _, e := range maker.EndPieces {
			for _, fits := range e.Fits {
				if strings.EqualFold(fits, ref.ID) {
					add(e.ID, e.ID, fmt.Sprintf("for %g mm between the lugs", e.LugWidthMM))
				}
			}
		}
	case evidence.Movement:
		for _, id := range ref.Calibres {
			add(id, "calibre "+id, "")
		}
	}
}

func finding(slot evidence.Slot, term string, severity int) string {
	return Entry(&evidence.Finding{Slot: slot, Term: term, Severity: severity})
}

// finish is how far the part was polished, one key each.
func finish(slot evidence.Slot) []Choice {
	if t, ok := condition.Lookup("polished"); !ok || !t.Fits(string(slot)) {
		return nil
	}
	return []Choice{{"u", "unpolished", "", finding(slot, "unpolished", 0)},
		{"i", "lightly polished", "", finding(slot, "polished", 1)}, {"y", "heavily polished", "", finding(slot,
			"polished", 3)}}
}

// chips are the flaws of a part, as far as digits reach.
func chips(slot evidence.Slot) []Chip {
	var out []Chip
	for _, t := range condition.TermsFor(string(slot)) {
		if t.Good || t.ID == "polished" || len(out) == mostChips {
			continue
		}
		c := Chip{Key: fmt.Sprint(len(out) + 1), Name: t.Name, Says: t.Definition}
		for n := 1; n <= 4; n++ {
			c.Severities = append(c.Severities, Choice{Key: fmt.Sprint(n), Name: t.Severity[n],
				Entry: finding(slot, t.ID, n)})
		}
		c.Severities = append(c.Severities, Choice{Key: "0", Name: t.Severity[0], Entry: finding(slot, t.ID, 0)})
		out = append(out, c)
	}
	return out
}

func good(slot evidence.Slot) []Choice {
	var out []Choice
	for _, t := range condition.TermsFor(string(slot)) {
		if t.Good && t.ID != "unpolished" {
			out = append(out, Choice{Name: t.Name, Says: t.Definition, Entry: finding(slot, t.ID, 0)})
		}
	}
	return out
}

// tried are the functions of a calibre, and what ultraviolet light shows on dial and hands.
func tried(slot evidence.Slot, maker *refbook.Maker, ref *refbook.Reference) []Choice {
	var out []Choice
	switch slot {
	case evidence.Dial, evidence.Hands:
		for _, r := range [][2]string{{"glows", "UV: glows and goes on"}, {"fades", "UV: glows and fades"},
			{"none", "UV: does not glow"}} {
			out = append(out, Choice{Name: r[1],
				Entry: Entry(&evidence.Trial{What: evidence.TrialUltraviolet, Slot: slot, Result: r[0]})})
		}
	case evidence.Movement:
		for _, of := range functions(maker, ref) {
			for _, r := range []string{"ok", "fails"} {
				name := of + " works"
				if r == "fails" {
					name = of + " fails"
				}
				out = append(out, Choice{Name: name,
					Entry: Entry(&evidence.Trial{What: evidence.TrialFunction, Slot: slot, Of: of, Result: r})})
			}
		}
	}
	return out
}

// functions are those that the calibres of the reference have.
func functions(maker *refbook.Maker, ref *refbook.Reference) []string {
	out := []string{"winding", "hand setting"}
	if ref == nil {
		return append(out, "date change", "chronograph reset")
	}
	for _, id := range ref.Calibres {
		c, ok := maker.Calibre(id)
		if !ok {
			continue
		}
		for _, f := range [][2]string{{"date", "date change"}, {"chronograph", "chronograph reset"},
			{"alarm", "alarm"}} {
			if strings.Contains(strings.ToLower(c.Complication), f[0]) && !slices.Contains(out, f[1]) {
				out = append(out, f[1])
			}
		}
	}
	return out
}

// base is the address of the watch.
func base(d Data) string { return "/watches/" + string(d.Watch.ID) }

func script() (string, bool) {
	return "/assets/sheet.js?v=" + assets.Version(), assets.Built("sheet.js")
}

// hour is where an hour stands on the drawing of a dial, in its own units.
func hour(h int) (x, y string) {
	at := [12][2]int{{50, 12}, {69, 17}, {83, 31}, {88, 50}, {83, 69}, {69, 83}, {50, 88}, {31, 83}, {17, 69},
		{12, 50}, {17, 31}, {31, 17}}
	p := at[h%12]
	return fmt.Sprint(p[0]), fmt.Sprint(p[1])
}
