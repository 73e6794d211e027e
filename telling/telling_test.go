package telling_test

import (
	"errors"
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"
	"unicode/utf8"

	"midcase/evidence"
	"midcase/internal/demo"
	"midcase/money"
	"midcase/opinion"
	"midcase/refbook"
	"midcase/say"
	"midcase/telling"
)

var update = flag.Bool("update", false, "write golden files anew")

// day is after all that the invented world records.
var day = time.Date(2026, 11, 29, 12, 0, 0, 0, time.UTC)

var (
	world = sync.OnceValue(func() *demo.World { return demo.NewWorld(1) })
	book  = sync.OnceValues(func() (*refbook.Book, error) { return refbook.Load(world().Book) })
)

func bookOf(t testing.TB) *refbook.Book {
	t.Helper()
	b, err := book()
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// subjectOf forms the opinion on a watch, without a market.
func subjectOf(t testing.TB, w evidence.Watch) telling.Subject {
	t.Helper()
	f := evidence.Fold(w, day)
	o, err := opinion.Form(f, bookOf(t), nil, opinion.Settings{}, day)
	if err != nil {
		t.Fatal(err)
	}
	return telling.Subject{Opinion: o, File: f, Book: bookOf(t),
		Offer: telling.Offer{Number: "107", Price: money.MustParse("9850", "EUR")}}
}

// reporter is what a test and a property test report to.
type reporter interface {
	Helper()
	Errorf(string, ...any)
	Fatal(...any)
	Fatalf(string, ...any)
}

func writerIn(t reporter, lang string) say.Writer {
	t.Helper()
	w, ok := say.In(lang)
	if !ok {
		t.Fatalf("no language %s", lang)
	}
	return w
}

// told writes a subject in every form and language, and calls seen for each text.
func told(t reporter, s telling.Subject, seen func(telling.Told)) {
	t.Helper()
	plan, err := telling.Make(s)
	if err != nil {
		t.Fatal(err)
	}
	for _, lang := range say.Languages() {
		for _, form := range telling.Forms() {
			got, err := plan.Tell(writerIn(t, lang), form, 0)
			if err != nil {
				t.Errorf("%s %s: %v", form, lang, err)
				continue
			}
			seen(got)
		}
		got, err := plan.Tell(writerIn(t, lang), telling.Post, telling.ShortPost)
		var left *telling.LeftOutError
		switch {
		case errors.As(err, &left): // no honest text is so short; it is refused
		case err != nil:
			t.Errorf("short post %s: %v", lang, err)
		default:
			if n := utf8.RuneCountInString(got.Text); n > telling.ShortPost {
				t.Errorf("short post %s: %d characters", lang, n)
			}
			seen(got)
		}
	}
}

// leftovers are what no text may hold: holes, codes, and statements without a sentence.
var leftovers = regexp.MustCompile(`[{}]|\w_\w|gold1\d|\btell\.\w|\bev_|\.\.|;\.|, ,`)

// English words that no other language here has.
var english = regexp.MustCompile(`(?i)\b(the|and|with|were|dial|hands|movement|case back|likely|watch|original finish)\b`)

// honest holds a text against the subject: everything that has to be is disclosed, and
// its words stand there; nothing is half a sentence, a code or another language.
func honest(t reporter, s telling.Subject, got telling.Told) {
	t.Helper()
	name := string(got.For) + " " + got.Language
	said := map[evidence.ID]bool{}
	for _, d := range got.Disclosed {
		if d.Text == "" || !strings.Contains(got.Text, d.Text) {
			t.Errorf("%s: %s is disclosed as %q, which the text does not say", name, d.Finding, d.Text)
		}
		said[d.Finding] = true
	}
	for _, f := range evidence.All[*evidence.Finding](s.File) {
		if f.Data.Severity >= 1 && !said[f.Item.ID] {
			t.Errorf("%s: finding %s (%s, %d) is not disclosed", name, f.Item.ID, f.Data.Term, f.Data.Severity)
		}
	}
	for _, n := range evidence.All[*evidence.Need](s.File) {
		if !said[n.Item.ID] {
			t.Errorf("%s: work needed, %s, is not disclosed", name, n.Item.ID)
		}
	}
	for _, p := range s.Opinion.Parts {
		if p.Verdict == opinion.Fits {
			continue
		}
		disclosed := slices.ContainsFunc(got.Disclosed, func(d telling.Disclosed) bool {
			return d.Slot == p.Slot || d.Finding == evidence.ID("part/"+string(p.Slot))
		})
		if !disclosed {
			t.Errorf("%s: the %s, %s, is not disclosed", name, p.Slot, p.Verdict)
		}
	}
	for _, r := range s.Opinion.Rules {
		for _, id := range r.Evidence {
			if r.Broken && !said[id] {
				t.Errorf("%s: the broken rule %q is not disclosed (%s)", name, r.Rule, id)
			}
		}
	}
	if bad := leftovers.FindString(got.Text); bad != "" {
		t.Errorf("%s: holds %q:\n%s", name, bad, got.Text)
	}
	if got.Language != "en" {
		if bad := english.FindString(got.Text); bad != "" {
			t.Errorf("%s: the English %q:\n%s", name, bad, got.Text)
		}
	}
	if len(got.LeftOut) > 0 {
		t.Errorf("%s: left out %v", name, got.LeftOut)
	}
}

// sure holds what is said of parts and date against their chances.
func sure(t reporter, s telling.Subject, got telling.Told) {
	t.Helper()
	for _, f := range got.Facts {
		if f.Kind != "tell.original" {
			continue
		}
		for _, p := range s.Opinion.Parts {
			named := slices.ContainsFunc(p.Evidence, func(id evidence.ID) bool {
				return slices.Contains(f.Evidence,
					id)
			})
			if named && (p.POriginal == nil || *p.POriginal < f.Chance) && p.Verdict == opinion.Fits {
				t.Errorf("%s is told as original by %v at least: %q", p.Slot, f.Chance, f.Text)
			}
			if named && p.Verdict != opinion.Fits && len(p.Evidence) == 1 {
				t.Errorf("%s, %s, is told as original: %q", p.Slot, p.Verdict, f.Text)
			}
		}
	}
}

// private are what a watch's file holds and no buyer reads.
func private(w evidence.Watch) []string {
	out := []string{"seller", "14940", "client"}
	for _, it := range w.Evidence {
		switch d := it.Data.(type) {
		case *evidence.Claim:
			out = append(out, d.Text, d.Price.Amount())
		case *evidence.Work:
			out = append(out, d.By, d.Text, d.Cost.Amount())
		case *evidence.Finding:
			out = append(out, d.Note)
		case *evidence.Document:
			out = append(out, d.Text, d.Serial)
		case *evidence.Mark:
			if d.What == evidence.MarkSerial || d.What == evidence.MarkMovementNumber {
				out = append(out, d.Text)
			}
		}
		out = append(out, it.By)
	}
	return slices.DeleteFunc(out, func(s string) bool { return len(s) < 4 || s == "0.00" })
}

func TestEveryWatchOfTheDemoIsToldHonestly(t *testing.T) {
	t.Parallel()
	n := 0
	for _, w := range world().Watches {
		s := subjectOf(t, w.Evidence)
		if _, err := telling.Make(s); err != nil {
			var refused *telling.Refused
			if !errors.As(err, &refused) {
				t.Fatal(err)
			}
			continue
		}
		n++
		secrets := private(w.Evidence)
		told(t, s, func(got telling.Told) {
			honest(t, s, got)
			sure(t, s, got)
			for _, secret := range secrets {
				if strings.Contains(got.Text, secret) {
					t.Errorf("%s: %s %s tells %q", w.File, got.For, got.Language, secret)
				}
			}
		})
		if t.Failed() {
			t.Fatalf("%s is not told as it should be", w.File)
		}
	}
	if n < 50 {
		t.Errorf("%d watches were told of; want nearly all", n)
	}
}

// The texts were read aloud by a person when they were written anew.
func TestTextsAsTheyWereRead(t *testing.T) {
	t.Parallel()
	for _, one := range []struct {
		file   string
		form   telling.Form
		length int
	}{{"05-corvane-kr-8-18", telling.Page, 0}, {"14-ostrel-os-20", telling.Page, 0}, {"05-corvane-kr-8-18",
		telling.Post, 280},
		{"05-corvane-kr-8-18", telling.Post, 2000}, {"05-corvane-kr-8-18", telling.Talk, 0},
		{"14-ostrel-os-20", telling.Message, 0}} {
		i := slices.IndexFunc(world().Watches, func(w demo.Watch) bool { return strings.HasPrefix(w.File, one.file) })
		if i < 0 {
			t.Fatalf("no watch %s", one.file)
		}
		plan, err := telling.Make(subjectOf(t, world().Watches[i].Evidence))
		if err != nil {
			t.Fatal(err)
		}
		for _, lang := range say.Languages() {
			got, err := plan.Tell(writerIn(t, lang), one.form, one.length)
			if err != nil {
				t.Fatal(err)
			}
			name := strings.Join([]string{one.file, string(one.form), lang}, ".")
			if one.length == 280 {
				name += ".short"
			}
			golden(t, name+".txt", got.Title+"\n\n"+got.Text+"\n")
		}
	}
}

func golden(t testing.TB, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s differs; read it and run with -update:\n%s", name, got)
	}
}
