package notes

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"sort"
	"strings"
	"sync"

	"midcase/evidence"
)

//go:embed words.json
var wordsJSON []byte

// words is the vocabulary that belongs to no maker: words.json.
type words struct {
	Slips    map[string]string   `json:"slips"`
	Slots    map[string][]string `json:"slots"`
	Features map[string]struct {
		Slot string   `json:"slot"`
		Say  []string `json:"say"`
	} `json:"features"`
	Qualities     map[string][]string `json:"qualities"`
	Pairs         [][]any             `json:"pairs"`          // feature, quality, term, severity
	SlotQualities [][]any             `json:"slot_qualities"` // slot, quality, term, severity, only with this word
	Always        map[string][]any    `json:"always"`         // quality: slot, term, severity, whatever is spoken of
	Turns         [][]string          `json:"turns"`          // term, words behind it, what it then is
	QualityTerms  map[string][]any    `json:"quality_terms"`  // quality: term, severity, where the slot allows the term
	Replaceable   []string            `json:"replaceable"`
	Terms         map[string][]string `json:"terms"`
	Opposites     map[string]string   `json:"opposites"`  // what a denied fault says instead; empty: nothing
	NegatedIs     map[string]string   `json:"negated_is"` // what a denied good point says
	Flips         map[string]string   `json:"flips"`      // what a denied quality is
	DefaultSlot   map[string]string   `json:"default_slot"`
	Degrees       map[string][]string `json:"degrees"`
	Negations     []string            `json:"negations"`
	Closers       []string            `json:"closers"`
	Pseudo        []string            `json:"pseudo"`
	Corrections   []string            `json:"corrections"`
	Doubts        []string            `json:"doubts"`
	Persons       []string            `json:"persons"` // who says things, with what they do
	Speaks        []string            `json:"speaks"`
	Speakers      []string            `json:"speakers"`
	Past          []string            `json:"past"`
	Now           []string            `json:"now"`
	Places        []string            `json:"places"`
	Sides         []string            `json:"sides"`
	Positions     map[string][]string `json:"positions"`
	Dimensions    map[string][]string `json:"dimensions"`
	Marks         map[string][]string `json:"marks"`
	Rate          map[string][]string `json:"rate"`
	Documents     map[string][]string `json:"documents"`
	There         []string            `json:"there"`
	Services      []string            `json:"services"`
	Topics        map[string][]string `json:"topics"` // what others claim beside findings
	Weighs        []string            `json:"weighs"`
	Head          []string            `json:"head"`
	Months        map[string]int      `json:"months"`
	Ordinals      map[string]int      `json:"ordinals"`
	Letters       map[string]string   `json:"letters"`
	Metals        map[string][]string `json:"metals"`
	Filler        []string            `json:"filler"`
	Versions      []string            `json:"versions"` // words by which books tell versions of parts apart
}

// role is what a phrase does in a note.
type role string

const (
	isSlot       role = "slot"
	isFeature    role = "feature"
	isQuality    role = "quality"
	isTerm       role = "term"
	isDegree     role = "degree"
	isNegation   role = "negation"
	isCloser     role = "closer"
	isPseudo     role = "pseudo"
	isCorrection role = "correction"
	isDoubt      role = "doubt"
	isSpeaker    role = "speaker"
	isPast       role = "past"
	isNow        role = "now"
	isPosition   role = "position"
	isDimension  role = "dimension"
	isMark       role = "mark"
	isRate       role = "rate"
	isDocument   role = "document"
	isThere      role = "there"
	isService    role = "service"
	isWeighs     role = "weighs"
	isHead       role = "head"
	isMetal      role = "metal"
	isTopic      role = "topic"
)

// phrase is a few words with what they do. A word that ends with * stands for all
// words that begin so.
type phrase struct {
	words []string
	role  role
	id    string
}

// lexicon is the vocabulary made ready for looking up.
type lexicon struct {
	words
	byFirst map[string][]phrase // by the first word, longest first
	starred []phrase            // whose first word ends with *
	pair    map[[2]string]verdict
	bySlot  map[[2]string]verdict
	filler  map[string]bool
	sides   []phrase
	slips   []slip
}

// verdict is the term that a feature and a quality come to.
type verdict struct {
	term     string
	severity int
	only     string // holds with this word only
	slot     evidence.Slot
}

type slip struct {
	words []string
	means []string
}

var general = sync.OnceValue(func() *lexicon {
	l := &lexicon{
		byFirst: map[string][]phrase{},
		pair:    map[[2]string]verdict{},
		bySlot:  map[[2]string]verdict{},
		filler:  map[string]bool{},
	}
	if err := json.Unmarshal(wordsJSON, &l.words); err != nil {
		panic(fmt.Sprintf("notes: words.json: %v", err)) // a file of the program's own, held by a test
	}
	l.roles()
	for _, p := range l.Pairs {
		l.pair[[2]string{p[0].(string), p[1].(string)}] = verdictOf(p)
	}
	for _, p := range l.SlotQualities {
		l.bySlot[[2]string{p[0].(string), p[1].(string)}] = verdictOf(p)
	}
	for _, w := range l.Filler {
		l.filler[w] = true
	}
	for said, means := range l.Slips {
		var words []string
		for _, t := range tokens([]rune(said)) {
			words = append(words, t.norm)
		}
		l.slips = append(l.slips, slip{words, strings.Fields(means)})
	}
	sort.Slice(l.slips, func(i, j int) bool {
		a, b := l.slips[i].words, l.slips[j].words
		if len(a) != len(b) {
			return len(a) > len(b)
		}
		return strings.Join(a, " ") < strings.Join(b, " ")
	})
	return l
})

func verdictOf(p []any) verdict {
	v := verdict{term: p[2].(string), severity: int(p[3].(float64))}
	if len(p) > 4 {
		v.only = p[4].(string)
	}
	return v
}

// roles files every phrase under its first word.
func (l *lexicon) roles() {
	for id, say := range l.Slots {
		l.add(isSlot, id, say)
	}
	for id, f := range l.Features {
		l.add(isFeature, id, f.Say)
	}
	for r, groups := range map[role]map[string][]string{
		isQuality: l.Qualities, isTerm: l.Terms, isDegree: l.Degrees, isPosition: l.Positions, isDimension: l.Dimensions,
		isMark: l.Marks, isRate: l.Rate, isDocument: l.Documents, isMetal: l.Metals, isTopic: l.Topics,
	} {
		for id, say := range groups {
			l.add(r, id, say)
		}
	}
	for r, say := range map[role][]string{
		isNegation: l.Negations, isCloser: l.Closers, isPseudo: l.Pseudo, isCorrection: l.Corrections, isDoubt: l.Doubts,
		isSpeaker: l.Speakers, isPast: l.Past, isNow: l.Now, isThere: l.There, isService: l.Services, isWeighs: l.Weighs,
		isHead: l.Head,
	} {
		l.add(r, "", say)
	}
	for _, who := range l.Persons {
		for _, does := range l.Speaks {
			l.add(isSpeaker, "", []string{who + " " + does, does + " " + who})
			for _, how := range speaking {
				l.add(isSpeaker, "", []string{who + " " + how + " " + does})
			}
		}
	}
	for _, s := range l.Sides {
		l.sides = append(l.sides, phrase{words: strings.Fields(s)})
	}
	sort.Slice(l.sides, func(i, j int) bool { return len(l.sides[i].words) > len(l.sides[j].words) })
	for _, all := range l.byFirst {
		sort.SliceStable(all, func(i, j int) bool { return before(all[i], all[j]) })
	}
	sort.SliceStable(l.starred, func(i, j int) bool { return before(l.starred[i], l.starred[j]) })
}

// speaking are the words that stand between a person and what he says.
var speaking = []string{"also", "still", "further", "even", "now", "always"}

// rank says which role words take first where they can have several.
var rank = map[role]int{
	isSlot:       0,
	isTerm:       1,
	isQuality:    2,
	isFeature:    3,
	isMark:       4,
	isDimension:  5,
	isRate:       6,
	isDocument:   7,
	isWeighs:     8,
	isHead:       9,
	isService:    10,
	isPosition:   11,
	isNegation:   12,
	isPseudo:     13,
	isCorrection: 14,
	isDoubt:      15,
	isSpeaker:    16,
	isTopic:      17,
	isMetal:      18,
	isCloser:     19,
	isPast:       20,
	isNow:        21,
	isThere:      22,
	isDegree:     23,
}

// before orders phrases: the longest first, then by name, so that reading is the same
// each time.
func before(a, b phrase) bool {
	if len(a.words) != len(b.words) {
		return len(a.words) > len(b.words)
	}
	if a.role != b.role {
		return rank[a.role] < rank[b.role]
	}
	return a.id < b.id
}

func (l *lexicon) add(r role, id string, say []string) {
	for _, s := range say {
		var w []string
		for _, t := range tokens([]rune(strings.ReplaceAll(s, "*", ""))) {
			w = append(w, t.norm)
		}
		if strings.HasSuffix(s, "*") {
			w[len(w)-1] += "*"
		}
		p := phrase{w, r, id}
		if strings.HasSuffix(w[0], "*") {
			l.starred = append(l.starred, p)
			continue
		}
		l.byFirst[w[0]] = append(l.byFirst[w[0]], p)
	}
}

// matches reports whether the phrase stands at token i.
func (p phrase) matches(all []token, i int) bool {
	if i+len(p.words) > len(all) {
		return false
	}
	for k, w := range p.words {
		t := all[i+k]
		if k > 0 && t.kind == mark && w != t.norm {
			return false
		}
		if prefix, open := strings.CutSuffix(w, "*"); open {
			if !strings.HasPrefix(t.norm, prefix) {
				return false
			}
		} else if t.norm != w {
			return false
		}
	}
	return true
}

// at returns the phrases that stand at token i, the longest first.
func (l *lexicon) at(all []token, i int) []phrase {
	var out []phrase
	for _, group := range [2][]phrase{l.byFirst[all[i].norm], l.starred} {
		for _, p := range group {
			if p.matches(all, i) {
				out = append(out, p)
			}
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return before(out[i], out[j]) })
	return out
}

// mend replaces slips of the tongue and of the keyboard ("loom" for lume); each new
// token stands on the words that were typed. "The crown's worn" speaks of the crown.
func (l *lexicon) mend(all []token) []token {
	for i, t := range all {
		if base, ok := strings.CutSuffix(strings.ReplaceAll(strings.ToLower(t.text), "’", "'"), "'s"); ok &&
			len(l.byFirst[base]) > 0 {
			all[i].norm = base
		}
	}
	out := make([]token, 0, len(all))
	for i := 0; i < len(all); {
		n := 0
		for _, s := range l.slips {
			if (phrase{words: s.words}).matches(all, i) {
				from, to := all[i].from, all[i+len(s.words)-1].to
				for k, w := range s.means {
					t := token{kind: word, text: w, norm: w, from: from, to: to, joined: k == 0 && all[i].joined}
					out = append(out, t)
				}
				n = len(s.words)
				break
			}
		}
		if n == 0 {
			out = append(out, all[i])
			n = 1
		}
		i += n
	}
	return out
}
