package opinion_test

import (
	"encoding/json"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"midcase/opinion"
	"midcase/say"
)

// everySaying calls do with each statement of the world's opinions and of the poorest.
func everySaying(t *testing.T, do func(name string, s say.Statement)) {
	t.Helper()
	n := 0
	for name, o := range ofWorld(t) {
		for at, s := range say.BesideOf(o) {
			n++
			do(name+at, say.Statement(s))
		}
	}
	for name, o := range poorest(t) {
		for at, s := range say.BesideOf(o) {
			n++
			do(name+at, say.Statement(s))
		}
	}
	if n < 1000 {
		t.Fatalf("only %d statements", n)
	}
}

func TestEveryStatementIsSaidInEveryLocale(t *testing.T) {
	for _, locale := range say.Locales() {
		w := say.Writer{Catalogue: say.InEnglish(), Locale: locale}
		everySaying(t, func(at string, s say.Statement) {
			if text := w.String(s); text == "" || strings.ContainsAny(text, "{}") ||
				strings.Contains(text, string(s.Kind)) {
				t.Errorf("%s: %s %s: %q", locale.Tag, at, s.Kind, text)
			}
		})
	}
}

// A German reader's figures have a comma before decimals and a point between thousands,
// each of them, in every sentence of every opinion.
func TestFiguresOfAnOpinionAreInOneForm(t *testing.T) {
	english := regexp.MustCompile(`\d\.\d(\d?)(\D|$)|\d,\d\d\d(\D|$)`)
	w := say.Writer{Catalogue: say.InEnglish(), Locale: say.LocaleOf("de-DE", "")}
	everySaying(t, func(at string, s say.Statement) {
		for _, part := range w.Text(s) {
			if part.Role == say.Figure && english.MatchString(part.Text) {
				t.Errorf("%s: %s: %q has a figure in English form", at, s.Kind, part.Text)
			}
		}
	})
}

func TestAKeptOpinionIsReadAgain(t *testing.T) {
	for name, o := range poorest(t) {
		b, err := json.Marshal(o)
		if err != nil {
			t.Fatal(err)
		}
		var back opinion.Opinion
		if err := json.Unmarshal(b, &back); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if again := jsonOf(t, back); again != jsonOf(t, o) {
			t.Errorf("%s: read again it is another", name)
		}
		if back.Summary.Sentence.Kind != "summary.sentence" {
			t.Errorf("%s: the sentence lost its kind: %s", name, back.Summary.Sentence.Kind)
		}
	}
	var old opinion.Opinion // kept before statements stood beside the sentences
	if err := json.Unmarshal([]byte(`{"summary":{"sentence":"Made in 1968."},"unknown":["The hands."]}`), &old); err != nil {
		t.Fatal(err)
	}
	if old.Summary.Sentence.String() != "Made in 1968." || !reflect.DeepEqual(say.Strings(old.Unknown),
		[]string{"The hands."}) {
		t.Errorf("%+v", old.Summary)
	}
}
