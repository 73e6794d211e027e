package notes

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"sync"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// Notes in German, French and Italian are read by the same rules as English ones: the trade's words are put into
// English one by one first, each standing on the words that were typed. What the glossary does not have stays as it
// is, and is returned as unread.

//go:embed glossary.json
var glossaryJSON []byte

// glossary is the trade words of one language with what they mean in English.
type glossary struct {
	numerals numerals
	byFirst  map[string][]gloss
	open     []gloss // whose first word ends with *, the longest first
}

// gloss is a few words and what they mean; no means at all: words that carry nothing.
type gloss struct {
	words  []string
	means  []string
	figure bool   // holds only where a figure follows at once: "Anstoss #"
	after  string // holds only where this word stands not far before: "weder … noch"
}

var glossaries = sync.OnceValue(func() map[string]*glossary {
	var raw map[string]map[string][]string
	if err := json.Unmarshal(glossaryJSON, &raw); err != nil {
		panic(fmt.Sprintf("notes: glossary.json: %v", err)) // a file of the program's own, held by a test
	}
	out := map[string]*glossary{}
	for lang, entries := range raw {
		g := &glossary{numerals: numeralsOf[lang], byFirst: map[string][]gloss{}}
		for means, says := range entries {
			for _, s := range says {
				g.add(s, strings.Fields(means))
			}
		}
		longestFirst := func(a, b gloss) int {
			if n := len(b.words) - len(a.words); n != 0 {
				return n
			}
			if a.figure != b.figure {
				if a.figure {
					return -1
				}
				return 1
			}
			if (a.after == "") != (b.after == "") { // the one with a condition is asked first
				return strings.Compare(b.after, a.after)
			}
			return strings.Compare(strings.Join(b.words, " "), strings.Join(a.words, " "))
		}
		for _, all := range g.byFirst {
			slices.SortFunc(all, longestFirst)
		}
		slices.SortFunc(g.open, longestFirst)
		out[lang] = g
	}
	return out
})

// add files "weder … noch" under its last word.
func (g *glossary) add(said string, means []string) {
	x := gloss{words: strings.Fields(spelling(said)), means: means}
	if before, after, ok := strings.Cut(said, "…"); ok {
		x.words, x.after = strings.Fields(spelling(after)), spelling(strings.TrimSpace(before))
	}
	if n := len(x.words) - 1; x.words[n] == "#" {
		x.words, x.figure = x.words[:n], true
	}
	if first := x.words[0]; strings.HasSuffix(first, "*") {
		g.open = append(g.open, x)
		return
	}
	g.byFirst[x.words[0]] = append(g.byFirst[x.words[0]], x)
}

var umlauts = strings.NewReplacer("ä", "ae", "ö", "oe", "ü", "ue", "ß", "ss", "œ", "oe", "’", "", "'", "")

// spelling is a word in lower case without accents, umlauts written out: people type both.
func spelling(s string) string {
	s = umlauts.Replace(norm.NFC.String(strings.ToLower(s)))
	return strings.Map(func(c rune) rune {
		if unicode.Is(unicode.Mn, c) {
			return -1
		}
		return c
	}, norm.NFD.String(s))
}

// english puts the words of a note into English where it is in another language.
func (l *lexicon) english(all []token, lang string) []token {
	cut := spelt(all)
	if lang == "" {
		lang = l.language(all, cut)
	}
	g := glossaries()[lang]
	if g == nil {
		return all
	}
	return g.read(cut)
}

// spelt cuts the little words in front of an apostrophe off ("l'humidité") and gives every word its plain spelling.
func spelt(all []token) []token {
	out := make([]token, 0, len(all)+4)
	for _, t := range all {
		if n := len(out); t.norm == "." && t.joined && n > 0 && out[n-1].kind == word && shortForms[out[n-1].norm] {
			continue // "lum. refaite"
		}
		if t.kind == word {
			if at := strings.IndexAny(t.text, "'’"); at > 0 && at <= 5 {
				runes := []rune(t.text[:at])
				first, rest := t, t
				first.text, first.to = t.text[:at], t.from+len(runes)
				rest.text, rest.from = strings.TrimLeft(t.text[at:], "'’"), first.to+1
				first.norm, rest.norm = spelling(first.text), spelling(rest.text)
				first.code, rest.code = plainCode(first.text), plainCode(rest.text)
				out = append(out, first, rest)
				continue
			}
			t.norm = spelling(t.text)
		}
		out = append(out, t)
	}
	return out
}

// language is the language of a note by the words that only one of them has; empty for English.
func (l *lexicon) language(all, cut []token) string {
	english := 0
	for _, t := range all {
		if t.kind == word && (l.filler[t.norm] || len(l.byFirst[t.norm]) > 0) {
			english++
		}
	}
	best, most := "", 0
	for _, lang := range []string{"de", "fr", "it"} {
		if n := glossaries()[lang].knows(l, cut); n > most {
			best, most = lang, n
		}
	}
	if most > english || most > 0 && most == english && english == l.alsoOf(best, all) {
		return best
	}
	return ""
}

// alsoOf counts English words of a note that the other language writes alike.
func (l *lexicon) alsoOf(lang string, all []token) int {
	n := 0
	for _, t := range all {
		if t.kind == word && (l.filler[t.norm] || len(l.byFirst[t.norm]) > 0) {
			if _, _, ok := glossaries()[lang].at([]token{t}, 0); ok {
				n++
			}
		}
	}
	return n
}

// knows counts the words of a note that the glossary has. A letter or two by themselves tell no language: they are
// initials more often.
func (g *glossary) knows(l *lexicon, cut []token) int {
	n := 0
	for i := 0; i < len(cut); i++ {
		if cut[i].kind != word {
			continue
		}
		x, _, ok := g.at(cut, i)
		if !ok {
			continue
		}
		if len(x.words) > 1 || len(cut[i].norm) > 2 {
			n += len(x.words)
		}
		i += len(x.words) - 1
	}
	return n
}

// at is the longest gloss that stands at a token. A word made of two is the gloss of both ("Stahlgehäuse").
func (g *glossary) at(all []token, i int) (gloss, int, bool) {
	for _, group := range [2][]gloss{g.byFirst[all[i].norm], g.open} {
		for _, x := range group {
			if (phrase{words: x.words}).matches(all, i) && (x.after == "" || follows(all, i, x.after)) &&
				(!x.figure || g.figureFollows(all, i+len(x.words))) {
				return x, len(x.words), true
			}
		}
	}
	if x, ok := g.compound(all[i].norm); ok {
		return x, 1, true
	}
	return gloss{}, 0, false
}

// figureFollows reports whether a figure, typed or in words, stands at a token.
func (g *glossary) figureFollows(all []token, i int) bool {
	if i < len(all) && all[i].kind == mark && strings.Contains(".:=", all[i].norm) {
		i++
	}
	if i >= len(all) || all[i].kind == figure {
		return i < len(all)
	}
	_, _, ok := g.numerals.figureAt(all, i)
	return ok && all[i].kind == word
}

// follows reports whether a word stands not far before a token, in its sentence.
func follows(all []token, i int, before string) bool {
	const back = 6
	for j := i - 1; j >= max(0, i-back); j-- {
		if all[j].norm == before {
			return true
		}
		if all[j].norm == "." || all[j].kind == line {
			return false
		}
	}
	return false
}

// compound reads a word put together of two that the glossary has.
func (g *glossary) compound(w string) (gloss, bool) {
	const least = 4
	for cut := len(w) - least; cut >= least; cut-- {
		head, tail := w[:cut], w[cut:]
		x, ok := g.alone(head)
		if !ok {
			x, ok = g.alone(strings.TrimSuffix(head, "s"))
		}
		if y, also := g.alone(tail); ok && also && len(x.means) > 0 && len(y.means) > 0 {
			return gloss{words: []string{w}, means: slices.Concat(x.means, y.means)}, true
		}
	}
	return gloss{}, false
}

// shortForms are shortened words of the three languages, in their plain spelling.
var shortForms = func() map[string]bool {
	out := map[string]bool{}
	for _, w := range strings.Fields("nr luen lue geh gh kr bd abf ampl orig lt wrk zgr bod ca zb lm rev cad cadr aig lun " +
		"boit cour brac lum mvt num quad quadr cor lanc n mov diam durchm mod env sec sek janv fevr avr juil oct nov dec amp inf sup") {
		out[w] = true
	}
	return out
}()

func (g *glossary) alone(w string) (gloss, bool) {
	for _, x := range g.byFirst[w] {
		if len(x.words) == 1 && x.after == "" && !x.figure {
			return x, true
		}
	}
	return gloss{}, false
}

// ofCode reports whether a letter touches the figure before it, as in a code: "8d" is no "8 of".
func ofCode(all []token, i int) bool {
	return i > 0 && len(all[i].norm) == 1 && all[i].joined && all[i-1].kind == figure
}

// read replaces the words that the glossary has. Words that carry nothing go.
func (g *glossary) read(cut []token) []token {
	out := make([]token, 0, len(cut))
	for i := 0; i < len(cut); {
		if cut[i].kind != word || ofCode(cut, i) {
			out = append(out, cut[i])
			i++
			continue
		}
		x, n, ok := g.at(cut, i)
		if strings.EqualFold(cut[i].text, "è") {
			x, n, ok = gloss{means: []string{"is"}}, 1, true
		}
		if v, taken, is := g.numerals.figureAt(cut, i); is && (!ok || taken >= n) {
			x, n, ok = gloss{means: inEnglish(v)}, taken, true
		}
		if !ok {
			t := cut[i]
			t.norm = folded(t.text)
			out = append(out, t)
			i++
			continue
		}
		from, to := cut[i].from, cut[i+n-1].to
		for k, w := range x.means {
			out = append(out, token{kind: word, text: w, norm: w, code: plainCode(w), from: from, to: to,
				joined: k == 0 && cut[i].joined, short: shortForms[cut[i+n-1].norm]})
		}
		i += n
	}
	return out
}
