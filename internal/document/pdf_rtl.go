package document

import (
	"slices"
	"strings"
	"sync"

	"golang.org/x/text/unicode/bidi"
	"golang.org/x/text/unicode/norm"
)

// visual is a line in the order in which it is drawn from left to right. Lines without
// letters that run from right to left stay as they are.
func (l line) visual() line {
	var runes []rune
	var faces []face
	for _, p := range l.pieces {
		for _, r := range p.text {
			runes, faces = append(runes, r), append(faces, p.face)
		}
	}
	levels := levelsOf(runes)
	if slices.Max(append(levels, 0)) == 0 {
		return l
	}
	var out line
	for _, i := range drawn(levels) {
		r := string(runes[i])
		if levels[i]%2 == 1 {
			r = bidi.ReverseString(r) // a bracket becomes the other one
		}
		out.add(spanOf{r, faces[i]}, faces[i].width(r))
	}
	return out
}

// levelsOf are the embedding levels of a line without control characters: even from left
// to right, odd from right to left (UAX #9, rules P2, P3, W2 to W7, N1, N2, I1 and I2).
func levelsOf(line []rune) []int {
	classes := make([]bidi.Class, len(line))
	base := -1
	for i, r := range line {
		p, _ := bidi.LookupRune(r)
		classes[i] = p.Class()
		if classes[i] == bidi.AL {
			classes[i] = bidi.R
		}
		if base < 0 && (classes[i] == bidi.L || classes[i] == bidi.R) {
			base = map[bidi.Class]int{bidi.R: 1}[classes[i]]
		}
	}
	levels := make([]int, len(line))
	if base < 0 || !slices.Contains(classes, bidi.R) {
		return levels
	}
	numbers(classes, base)
	resolved(classes, base)
	for i, c := range classes {
		levels[i] = base
		switch {
		case c == bidi.R:
			levels[i] = 1
		case c == bidi.EN || c == bidi.AN:
			levels[i] = 2
		case c == bidi.L && base == 1:
			levels[i] = 2
		}
	}
	return levels
}

// numbers joins the signs within a number to it, and takes a number after letters from left to right as one of them.
func numbers(classes []bidi.Class, base int) {
	strong := map[int]bidi.Class{0: bidi.L, 1: bidi.R}[base]
	for i, c := range classes {
		digits := func(k int) bool { return k >= 0 && k < len(classes) && classes[k] == bidi.EN }
		switch c {
		case bidi.L, bidi.R:
			strong = c
		case bidi.ES, bidi.CS:
			if digits(i-1) && digits(i+1) {
				classes[i] = bidi.EN
			}
		case bidi.ET:
			if digits(i-1) || digits(i+1) {
				classes[i] = bidi.EN
			}
		}
		if classes[i] == bidi.EN && strong == bidi.L {
			classes[i] = bidi.L
		}
	}
}

// resolved gives what has no direction that of its neighbours where both have one, else that of the line. A number
// counts as running from right to left.
func resolved(classes []bidi.Class, base int) {
	embedding := map[int]bidi.Class{0: bidi.L, 1: bidi.R}[base]
	side := func(c bidi.Class) (bidi.Class, bool) {
		switch c {
		case bidi.L:
			return bidi.L, true
		case bidi.R, bidi.EN, bidi.AN:
			return bidi.R, true
		}
		return 0, false
	}
	for i := 0; i < len(classes); {
		if _, ok := side(classes[i]); ok {
			i++
			continue
		}
		end := i
		for end < len(classes) {
			if _, ok := side(classes[end]); ok {
				break
			}
			end++
		}
		before, after := embedding, embedding
		if i > 0 {
			before, _ = side(classes[i-1])
		}
		if end < len(classes) {
			after, _ = side(classes[end])
		}
		is := embedding
		if before == after {
			is = before
		}
		for ; i < end; i++ {
			classes[i] = is
		}
	}
}

// drawn is the order of drawing by levels: from the highest to 1, each stretch of that level and above is reversed
// (UAX #9, rule L2).
func drawn(levels []int) []int {
	order := make([]int, len(levels))
	for i := range order {
		order[i] = i
	}
	for level := slices.Max(levels); level >= 1; level-- {
		for i := 0; i < len(order); {
			end := i
			for end < len(order) && levels[order[end]] >= level {
				end++
			}
			slices.Reverse(order[i:end])
			i = max(end, i+1)
		}
	}
	return order
}

// joining are the forms of an Arabic letter: alone, at the end, at the beginning and in the middle of a word; letters
// that join nothing after them have the first two.
type joining []rune

// arabicForms are the forms of each letter, and of lam with an alef by the two letters, read from the compatibility
// characters of Unicode, which stand in this order.
var arabicForms = sync.OnceValue(func() map[string]joining {
	out := map[string]joining{}
	for _, block := range [][2]rune{{0xFB50, 0xFBB1}, {0xFE80, 0xFEFC}} {
		for r := block[0]; r <= block[1]; r++ {
			if base := norm.NFKC.String(string(r)); base != string(r) {
				out[base] = append(out[base], r)
			}
		}
	}
	return out
})

// shaped joins Arabic letters to words; all else stays as it is.
func shaped(s string) string {
	if !strings.ContainsFunc(s, func(r rune) bool { return r >= 0x0600 && r <= 0x06FF }) {
		return s
	}
	forms := arabicForms()
	runes := []rune(s)
	var b strings.Builder
	before := false // the letter before joins on
	for i := 0; i < len(runes); i++ {
		key := string(runes[i])
		if i+1 < len(runes) && len(forms[string(runes[i:i+2])]) > 0 {
			key = string(runes[i : i+2])
			i++
		}
		f := forms[key]
		after := i+1 < len(runes) && len(forms[string(runes[i+1])]) > 0 && runes[i+1] != 'ء'
		switch {
		case len(f) == 0:
			b.WriteString(key)
			before = false
		case len(f) < 4:
			b.WriteRune(f[choose(before && len(f) > 1, 1, 0)])
			before = false
		default:
			b.WriteRune(f[choose(before, choose(after, 3, 1), choose(after, 2, 0))])
			before = after
		}
	}
	return b.String()
}

func choose(is bool, yes, no int) int {
	if is {
		return yes
	}
	return no
}

// Unprintable reports a letter of a text that the fonts of the papers lack; they have those of Europe, Hebrew and
// Arabic.
func Unprintable(text string) (letter rune, is bool) {
	for _, r := range norm.NFC.String(text) {
		if one := setIn(faceText, string(r)); len(one) > 0 && strings.ContainsRune(one[0].text, missingLetter) {
			return r, true
		}
	}
	return 0, false
}

// Names are the names, addresses and numbers of the people on a paper about a dealing, and the
// words for its watch.
func Names(one Slip) []string {
	s := one.slip()
	out := []string{s.head.SignedBy, s.goods.Title, s.goods.Maker, s.goods.Reference, s.goods.Serial}
	for _, p := range []Party{s.head.Issuer, s.sides[0].party, s.sides[1].party} {
		out = append(append(out, p.Name, p.TaxNumber, p.Identity), p.Lines...)
	}
	return out
}
