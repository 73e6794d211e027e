package desk

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"midcase/internal/shop"
	"midcase/refbook"
	"midcase/tables"
)

// Named is the watch that a text was read as.
type Named struct {
	Maker     *refbook.Maker
	Reference *refbook.Reference
	Metal     string // named in the text; empty where it is not
	InBook    bool
	Loosely   bool // the text does not say it letter by letter
}

const wantReference = "maker and reference, such as Corvane KR-1"

// referenceNamed reads a text as maker and reference: of the book, else of stock and
// sales. It reads loosely: “218”, “T 218”, “ref. 218 steel”. Where several fit, or none
// but some are near, they are named.
func (r *Room) referenceNamed(ctx context.Context, text string) (Named, error) {
	words := strings.Fields(text)
	if len(words) == 0 {
		return Named{}, shop.Refuse("counter offer", "reference", "nothing", wantReference)
	}
	met, err := r.Met(ctx)
	if err != nil {
		return Named{}, err
	}
	return NamedIn(met, r.shop.Book(ctx), text)
}

// NamedIn is the watch that a text names among references that are known (see referenceNamed).
func NamedIn(met []Met, book *refbook.Book, text string) (Named, error) {
	words := strings.Fields(text)
	q := askedFor(words)
	fit, exact := q.fitting(met)
	switch {
	case len(fit) == 1:
		n := stand(book, fit[0])
		n.Metal, n.Loosely = q.metal, !exact
		return n, nil
	case len(fit) > 1:
		return Named{}, shop.Refuse("counter offer", "reference", fmt.Sprintf("%q, which may be %s", text, either(fit)),
			"one of them")
	}
	if near := q.near(met); len(near) > 0 {
		return Named{}, shop.Refuse("counter offer", "reference", strconv.Quote(text), either(near)+
			", or another one written as its maker and reference")
	}
	maker, reference := tables.SplitWatch(strings.Join(q.words, " "))
	if maker == "" || reference == "" {
		return Named{}, shop.Refuse("counter offer", "reference", strconv.Quote(text), wantReference)
	}
	n := stand(book, Met{Maker: maker, Reference: reference})
	n.Metal = q.metal
	return n, nil
}

// stand gives the entries of the book for a reference, or bare ones with its names.
func stand(book *refbook.Book, m Met) Named {
	if maker, ref, ok := book.Reference(m.Maker, m.Reference); ok {
		return Named{Maker: maker, Reference: ref, InBook: true}
	}
	return Named{Maker: &refbook.Maker{Name: m.Maker}, Reference: &refbook.Reference{ID: m.Reference}}
}

// asked is a text taken apart: what may be maker and reference, and a metal.
type asked struct {
	words []string
	key   string // letters and figures of the words
	metal string
}

func askedFor(words []string) asked {
	var a asked
	for i := 0; i < len(words); i++ {
		w := words[i]
		if fillers[strings.Trim(strings.ToLower(w), ".:")] {
			continue
		}
		if m, ok := tables.MetalNamed(strings.Join(words[i:], " ")); ok && !strings.ContainsFunc(strings.Join(words[i:],
			" "), unicode.IsDigit) && len(a.words) > 0 {
			a.metal = m
			break
		}
		if m, ok := tables.MetalNamed(w); ok && !strings.ContainsFunc(w, unicode.IsDigit) {
			a.metal = m
			continue
		}
		a.words = append(a.words, w)
	}
	a.key = letters(strings.Join(a.words, ""))
	return a
}

// fillers say nothing of which watch it is.
var fillers = map[string]bool{"ref": true, "reference": true, "no": true, "nr": true, "the": true, "a": true,
	"watch": true, "model": true, "referenz": true, "réf": true, "modell": true, "uhr": true, "montre": true}

// letters are letters and figures alone, in lower case.
func letters(s string) string {
	return strings.Map(func(c rune) rune {
		if unicode.IsLetter(c) || unicode.IsDigit(c) {
			return unicode.ToLower(c)
		}
		return -1
	}, s)
}

func figures(s string) string {
	return strings.Map(func(c rune) rune {
		if unicode.IsDigit(c) {
			return c
		}
		return -1
	}, s)
}

// fitting are the references that a text may name: those that it says letter by letter,
// else those whose figures it says with a part of their letters. Of several, those of the
// metal named are left.
func (a asked) fitting(met []Met) (fit []Met, exact bool) {
	if a.key == "" {
		return nil, false
	}
	for _, m := range met {
		ref := letters(m.Reference)
		if a.key == ref || a.key == letters(m.Maker)+ref || a.key == letters(m.MakerID)+ref {
			fit = append(fit, m)
		}
	}
	if len(fit) > 0 {
		return a.ofMetal(fit), true
	}
	for _, m := range met {
		ref := letters(m.Reference)
		rest := a.key
		for _, maker := range []string{letters(m.Maker), letters(m.MakerID)} {
			if maker != "" {
				rest = strings.Replace(rest, maker, "", 1)
			}
		}
		named := m.Name != "" && (rest == letters(m.Name) || a.key == letters(m.Maker)+letters(m.Name))
		number := figures(ref)
		lead := lettersOnly(rest)
		called := within(lead, lettersOnly(ref)) || m.isCalled(lead) || m.isCalled(strings.TrimSuffix(lead, lettersOnly(ref)))
		if named || number != "" && figures(rest) == number && called {
			fit = append(fit, m)
		}
	}
	return a.ofMetal(fit), false
}

// isCalled reports whether letters are the initials of the maker, the beginning of its name, or an alias.
func (m Met) isCalled(typed string) bool {
	if len(typed) < 2 {
		return false
	}
	for _, name := range append([]string{m.Maker}, m.Aliases...) {
		initials := ""
		for _, w := range strings.Fields(name) {
			if key := letters(w); key != "" {
				r := []rune(key)
				initials += string(r[0])
			}
		}
		if typed == initials || strings.HasPrefix(letters(name), typed) {
			return true
		}
	}
	return false
}

// within reports whether letters that were typed are among those of a reference.
func within(typed, of string) bool { return typed == "" || strings.Contains(of, typed) }

func lettersOnly(s string) string {
	return strings.Map(func(c rune) rune {
		if unicode.IsDigit(c) {
			return -1
		}
		return c
	}, s)
}

func (a asked) ofMetal(fit []Met) []Met {
	if a.metal == "" || len(fit) < 2 {
		return fit
	}
	var out []Met
	for _, m := range fit {
		if m.Metal == a.metal {
			out = append(out, m)
		}
	}
	if len(out) == 0 {
		return fit
	}
	return out
}

// near are the references one or two slips away from a text, the nearest first, three at
// most.
func (a asked) near(met []Met) []Met {
	type close struct {
		m Met
		d int
	}
	var found []close
	for _, m := range met {
		ref := letters(m.Reference)
		d := min(slips(a.key, ref), slips(a.key, letters(m.Maker)+ref))
		if d <= 2 && 2*d < len(ref) {
			found = append(found, close{m, d})
		}
	}
	slices.SortStableFunc(found, func(x, y close) int { return x.d - y.d })
	var out []Met
	for _, c := range found[:min(len(found), 3)] {
		out = append(out, c.m)
	}
	return out
}

// slips counts the letters to change, add, leave out or put the other way round from one text to another
// (Damerau 1964, in the form that moves a pair of letters once).
func slips(a, b string) int {
	x, y := []rune(a), []rune(b)
	above, row := make([]int, len(y)+1), make([]int, len(y)+1)
	for j := range row {
		row[j] = j
	}
	for i := range x {
		next := make([]int, len(y)+1)
		next[0] = i + 1
		for j := range y {
			change := row[j]
			if x[i] != y[j] {
				change++
			}
			next[j+1] = min(change, row[j+1]+1, next[j]+1)
			if i > 0 && j > 0 && x[i] == y[j-1] && x[i-1] == y[j] {
				next[j+1] = min(next[j+1], above[j-1]+1)
			}
		}
		above, row = row, next
	}
	return row[len(y)]
}

// either names references as choices.
func either(all []Met) string {
	names := make([]string, 0, 4)
	for _, m := range all[:min(len(all), 4)] {
		names = append(names, m.Maker+" "+m.Reference)
	}
	return strings.Join(names, " or ")
}
