package notes_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"midcase/evidence"
	"midcase/notes"
)

// told is an item in one line: kind, part, what, and where or how much.
func told(it notes.Item) string {
	switch d := it.Data.(type) {
	case *evidence.Finding:
		return strings.TrimSpace(fmt.Sprintf("%s %s %d %s", d.Slot, d.Term, d.Severity, d.Where))
	case *evidence.Dimension:
		return fmt.Sprintf("%s %g", d.What, d.MM)
	case *evidence.Mark:
		return fmt.Sprintf("%s %s", d.What, d.Text)
	case *evidence.Rate:
		beat := 0.0
		if d.BeatErrorMS != nil {
			beat = *d.BeatErrorMS
		}
		return fmt.Sprintf("%s %+g %g %g", d.Position, d.SecPerDay, d.AmplitudeDeg, beat)
	case *evidence.Fitted:
		if d.Absent {
			return string(d.Slot) + " missing"
		}
		return strings.TrimSpace(fmt.Sprintf("%s fitted %s", d.Slot, d.Variant))
	case *evidence.Weighing:
		return fmt.Sprintf("%s %g g", d.What, d.G)
	case *evidence.Claim:
		if d.Price.IsZero() {
			return "claim " + d.About
		}
		return "claim " + d.About + " " + strings.TrimSuffix(d.Price.String(), ".00 EUR")
	case *evidence.Document:
		return "document " + d.What
	case *evidence.Work:
		return strings.TrimSpace("work " + d.What + " " + d.Date.String())
	}
	return string(it.Data.Kind())
}

// Turns of phrase that other hands used for the same things; each was once misread.
func TestReadInOtherHands(t *testing.T) {
	t.Parallel()
	book := loadBook(t)
	for _, c := range []struct {
		text string
		want []string
		not  []string // what the text must never come to, in part
	}{
		{"Movement dirty, oil dried up, but not a speck of rust.", []string{"movement dirty 2"}, []string{"rust"}},
		{"Case clean, not a single dent, no trace of pitting.", nil, []string{"dents", "corrosion"}},
		{"Mid case comes to 36.3 with the calliper, 18 mm lug width.", []string{"mid_case_diameter 36.3", "lug_width 18"},
			[]string{"mid_case_diameter 18"}},
		{"No extract yet.", nil, []string{"document"}},
		{"The bevel on the lower right has gone soft.", []string{"case bevels_lost 2 lower right"}, nil},
		{"The dial is fine but the lume in the six plot has dropped out.", []string{"dial lume_loss 2 at 6"}, nil},
		{"The dial has a dark stain creeping in by the four.", []string{"dial spotting 2 near 4"}, []string{"stained"}},
		{"The lugs are thin, two point one left and two point two on the right.",
			[]string{"lug_thickness 2.1", "lug_thickness 2.2"}, nil},
		{"Case polished at some point, not badly.", []string{"case polished 1"}, nil},
		{"Case unpolished, hairlines on the flank. left lug hole stretched.",
			[]string{"case scratches 2", "case lug_holes_stretched 1"}, []string{"left lug"}},
		{"rate -8 du, -3 dd, amp 248/240", []string{"CH -8 248 0", "FH -3 240 0"}, nil},
		{"m: tn20, +4 du 281, +1 dd 277, -2 cr up 252", []string{"CH +4 281 0", "FH +1 277 0", "3H -2 252 0"}, nil},
		{"Case clean. Glass normal plexi, recently polished.", nil, []string{"case polished"}},
		{"slight loss of lume on the hour hand only", []string{"hands lume_loss 1"}, nil},
		{"The clasp does not close properly.", []string{"clasp weak 2"}, nil},
		{"Inside lid stamped 11-60.", []string{"date_stamp 11-60"}, nil},
		{"The clasp is stamped 750.", []string{"hallmark 750"}, nil},
		{"Asking 4,200 euros he says.", []string{"claim price 4200"}, nil},
		{"The widow says it was bought from a jeweller in the north.", []string{"claim history"}, nil},
		{"Hands: the minute hand is shorter than it should be.", []string{"hands wrong_length 2"}, nil},
		{"There is a hairline crack running from nine to the centre of the dial.", nil, []string{"+9", "-9"}},
		{"No lume, this model never had any. Hands look right.", nil, []string{"hands missing"}},
		{"dial is a redial no it isnt the print is too good", []string{"dial crisp_print 0"}, []string{"refinished"}},
		{"the lume is gone at one two and four", []string{"dial lume_loss 2 at 1, 2 and 4"}, nil},
		{"bracelet is not the right one its a later folded one stretched a lot", []string{"bracelet stretch 3"},
			[]string{"right"}},
		{"number fifty nine thousand three hundred and twelve on the back", []string{"serial 59312"}, nil},
		{"hd wt 47.9g, w 37.4 / l2l 44.8 / lug 19", []string{"head 47.9 g", "mid_case_diameter 37.4", "lug_to_lug 44.8",
			"lug_width 19"}, nil},
		{"c: unpol.\nd: no marks, print perfect\nb: scr. light\nx: clean", []string{"case unpolished 0",
			"dial crisp_print 0", "bezel scratches 1"}, []string{"dial scratches"}},
		{"No crystal scratches. No crown wear.", nil, []string{"scratches", "worn"}},
		{"box and papers are lost it was repaired in 2020", []string{"box missing", "papers missing"}, nil},
		{"B+P: no", []string{"box missing", "papers missing"}, nil},
		{"The box is missing its lid.", nil, []string{"box missing"}},
		{"The bezel turns hard.", []string{"bezel sticking 2"}, nil},
		{"the dial underneath is water damaged you can see the tide line from six to nine", []string{"dial moisture 2"},
			[]string{"parts_damaged"}},
		{"Caseback interior stamped 4.67.", []string{"date_stamp 4.67"}, nil},
		{"With outer box; inner box missing.", []string{"box incomplete 2"}, nil},
		{"there is no original box with it", []string{"box missing"}, []string{"box fitted"}},
		{"Case: deep gouge between the lugs at twelve, not polished.", []string{"case dents 3 at 12", "case unpolished 0"},
			[]string{"sharp_edges"}},
		{"the lume has gone brown but it is all there", []string{"dial patina 2", "dial lume_intact 0"},
			[]string{"lume_loss"}},
		{"The case hasn't been touched by a polishing wheel.", []string{"case unpolished 0"}, []string{"case polished"}},
		{"The dial is not refinished, although the lume was redone long ago. No moisture stains.",
			[]string{"dial relume 2"}, []string{"refinished", "spotting", "moisture"}},
		{"On the back it says 512. It has never been polished.", []string{"case unpolished 0"}, []string{"case_back"}},
		{"There used to be rust on the screws but that was cleaned.", nil, []string{"rust"}},
		{"box is here papers are not", []string{"box fitted unknown", "papers missing"}, nil},
		{"serial on the back reads three one oh oh seven seven", []string{"serial 310077"}, nil},
		{"du +12 250 0.6 / dd +9 245", []string{"CH +12 250 0.6", "FH +9 245 0"}, nil},
		{"Gains two minutes a day.", []string{" +120 0 0"}, []string{"+2 0"}},
		{"It runs ten seconds slow a day.", []string{" -10 0 0"}, nil},
		{"36.4 mm without crown, 18 mm lugs, 44 mm lug-to-lug.", []string{"mid_case_diameter 36.4", "lug_width 18",
			"lug_to_lug 44"}, []string{"diameter 18", "diameter 44"}},
		{"weighs 48.2 grams without the strap", []string{"head 48.2 g"}, []string{"bracelet missing"}},
		{"Bezel replaced (service part).", []string{"bezel replaced 2"}, []string{"work"}},
		{"cs: pol 2x. dl: no relume, print sharp. hds: orig, lume same as dl. x: new. cr: repl", []string{"crown replaced 2",
			"crystal replaced 2"}, []string{"dial replaced"}},
		{"Dear Mr Kessler, the watch is from my uncle. The strap is not original. We hope to get around 4500 euros for it. " +
			"With kind regards, Helga Amsel", []string{"claim bracelet", "claim price 4500"}, []string{"replaced"}},
		{"I am selling my late father's watch. The glass was changed in 2010. I would like 3,800 euros.",
			[]string{"claim crystal", "claim price 3800"}, []string{"replaced"}},
	} {
		var got []string
		for _, it := range notes.Read(c.text, notes.Options{Book: book, Year: 2026}).Items {
			got = append(got, told(it))
		}
		for _, w := range c.want {
			if !slices.Contains(got, w) {
				t.Errorf("%q: read as %q; want %q among them", c.text, got, w)
			}
		}
		for _, n := range c.not {
			if i := slices.IndexFunc(got, func(g string) bool { return strings.Contains(g, n) }); i >= 0 {
				t.Errorf("%q: read as %q, which the text does not say", c.text, got[i])
			}
		}
	}
}
