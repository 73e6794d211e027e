package refbook

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"
)

// Pattern is a number of which some figures could not be read.
type Pattern struct {
	figures string // figures, ? where one cannot be read; no leading nought
}

// unreadable are the signs that people write for a figure that cannot be read.
const unreadable = "?*#_•"

// ParsePattern reads a number as ParseNumber does, with ?, x, *, #, • or _ for each
// figure that cannot be read: "17xxxxx", "1?3 4?". How many figures there are must be
// told, and one must be legible.
func ParsePattern(text string) (Pattern, error) {
	if strings.Contains(text, "…") || strings.Contains(text, "..") {
		return Pattern{}, fmt.Errorf("number %q: how many figures are missing? Enter x for each, such as 17xxxxx", text)
	}
	if n, err := ParseNumber(text); err == nil && !strings.Contains(text, "x") {
		return Pattern{strconv.FormatInt(n, 10)}, nil
	}
	var b strings.Builder
	runes := []rune(strings.TrimSpace(text))
	for i, c := range runes {
		switch {
		case c >= '0' && c <= '9':
			b.WriteRune(c)
		case strings.ContainsRune(unreadable, c) || (c == 'x' || c == 'X') && missing(runes, i):
			b.WriteByte('?')
		case unicode.IsSpace(c) || c == '.' || c == '\'' || c == '’':
		case unicode.IsLetter(c) && b.Len() == 0:
		default:
			return Pattern{}, fmt.Errorf("number %q: %q is not part of a number; enter figures, with x for one that cannot be read",
				text, c)
		}
	}
	figures := strings.TrimLeft(b.String(), "0")
	switch {
	case strings.Trim(figures, "?") == "":
		return Pattern{}, fmt.Errorf("number %q: no figure can be read", text)
	case len(figures) > 18:
		return Pattern{}, fmt.Errorf("number %q: too long for a serial number", text)
	}
	return Pattern{figures}, nil
}

// missing reports whether an x stands for a figure and is no prefix: it touches a figure
// or another sign for one, other than a lone capital before the number.
func missing(runes []rune, i int) bool {
	figure := func(j int) bool {
		return j >= 0 && j < len(runes) && (runes[j] >= '0' && runes[j] <= '9' || runes[j] == 'x' || runes[j] == 'X' ||
			strings.ContainsRune(unreadable, runes[j]))
	}
	if i == 0 && runes[0] == 'X' && !strings.ContainsAny(string(runes[1:]), "xX"+unreadable) {
		return false
	}
	return figure(i-1) || figure(i+1)
}

// Whole reports whether every figure was read.
func (p Pattern) Whole() bool { return !strings.Contains(p.figures, "?") }

// Unread is how many figures could not be read.
func (p Pattern) Unread() int { return strings.Count(p.figures, "?") }

// Agrees reports whether both may be the same number.
func (p Pattern) Agrees(q Pattern) bool {
	if len(p.figures) != len(q.figures) {
		return false
	}
	for i := range len(p.figures) {
		if a, b := p.figures[i], q.figures[i]; a != b && a != '?' && b != '?' {
			return false
		}
	}
	return true
}

// maxRanges is how many ranges a pattern is taken apart into; figures after those that
// make more of them count as unread.
const maxRanges = 200

// Ranges are the numbers that the pattern may be, in rising order, each range from its
// first to its last number.
func (p Pattern) Ranges() [][2]int64 {
	heads, tail := []string{""}, p.figures
	for strings.Contains(strings.TrimRight(tail, "?"), "?") && len(heads) < maxRanges {
		var next []string
		for _, h := range heads {
			if tail[0] != '?' {
				next = append(next, h+tail[:1])
				continue
			}
			for d := byte('0'); d <= '9'; d++ {
				if h != "" || d != '0' {
					next = append(next, h+string(d))
				}
			}
		}
		heads, tail = next, tail[1:]
	}
	if legible := strings.TrimRight(tail, "?"); !strings.Contains(legible, "?") {
		for i := range heads {
			heads[i] += legible
		}
		tail = tail[len(legible):]
	}
	out := make([][2]int64, 0, len(heads))
	for _, h := range heads {
		first := "0"
		if h == "" {
			first = "1"
		}
		if tail != "" {
			first += strings.Repeat("0", len(tail)-1)
		} else {
			first = ""
		}
		low, _ := strconv.ParseInt(h+first, 10, 64)
		high, _ := strconv.ParseInt(h+strings.Repeat("9", len(tail)), 10, 64)
		out = append(out, [2]int64{max(1, low), high})
	}
	return out
}
