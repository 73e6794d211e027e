package notes

import (
	"strconv"
	"strings"
)

// number is a figure as said or typed. "two six four one eight" has five pieces and the
// digits 26418; "thirty seven and a half" has one piece, 37.5.
type number struct {
	first, last int      // tokens, both included
	pieces      []string // whole numbers said one after the other
	fraction    string   // digits after the point
	sign        int      // -1, +1 where said, else 0
	spoken      bool     // in words
	grouped     bool     // typed with something that may separate thousands: "24,806", "62 340"
}

// digits is the figure as a string of digits, as a number on a watch is read.
func (n number) digits() string { return strings.Join(n.pieces, "") }

// value is the figure as a quantity; a sign counts.
func (n number) value() float64 { return n.signed(n.digits() + "." + n.fraction + "0") }

func (n number) signed(text string) float64 {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return 0
	}
	if n.sign < 0 {
		return -v
	}
	return v
}

// within is the reading of the figure that lies in the range: as it stands, with what
// was typed as thousands taken as decimals ("1,250" in mm), or with the last piece said
// as the decimal ("thirty five oh" is 35.0).
func (n number) within(low, high float64) (float64, bool) {
	readings := []string{n.digits() + "." + n.fraction + "0"}
	if n.fraction == "" && len(n.pieces) == 2 {
		readings = append(readings, n.pieces[0]+"."+n.pieces[1])
	}
	for _, text := range readings {
		if v := n.signed(text); v >= low && v <= high {
			return v, true
		}
	}
	return 0, false
}

// whole reports whether nothing is said after a point.
func (n number) whole() bool { return n.fraction == "" }

var units = map[string]int{
	"zero": 0, "oh": 0, "o": 0, "nought": 0, "nil": 0,
	"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7,
	"eight": 8, "nine": 9,
}

var teens = map[string]int{
	"ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16, "seventeen": 17,
	"eighteen": 18, "nineteen": 19,
}

var tens = map[string]int{
	"twenty": 20, "thirty": 30, "forty": 40, "fourty": 40, "fifty": 50, "sixty": 60,
	"seventy": 70, "eighty": 80, "ninety": 90,
}

// isNumberWord reports whether a word can begin a figure in words. "oh" and "o" alone
// cannot.
func isNumberWord(w string) bool {
	_, u := units[w]
	_, te := teens[w]
	_, ty := tens[w]
	return (u && w != "o" && w != "oh" && w != "nil") || te || ty || w == "double" || w == "triple"
}

// numberAt reads the figure that begins at token i.
func numberAt(all []token, i int) (number, bool) {
	n := number{first: i}
	switch {
	case all[i].kind == figure:
		return typedNumber(all, i), true
	case all[i].kind != word:
		return n, false
	}
	p := speller{all: all, at: i}
	if all[i].norm == "point" { // "point eight"
		if i+1 >= len(all) || !isNumberWord(all[i+1].norm) {
			return n, false
		}
		n.pieces = []string{"0"}
	} else {
		switch aHundred := all[i].norm == "a" && (p.word(1) == "hundred" || p.word(1) == "thousand"); {
		case aHundred:
			if piece, ok := p.hundreds(1); ok {
				n.pieces = []string{piece}
			}
		case !isNumberWord(all[i].norm):
			return n, false
		default:
			n.pieces = p.pieces()
		}
		if len(n.pieces) == 0 {
			return n, false
		}
	}
	if p.word(0) == "point" && isNumberWord(p.word(1)) ||
		p.word(0) == "point" && units[p.word(1)] == 0 && hasUnit(p.word(1)) {
		p.at++
		n.fraction = p.fraction()
	} else if p.word(0) == "and" && p.word(1) == "a" && p.word(2) == "half" {
		p.at += 3
		n.fraction = "5"
	}
	n.last, n.spoken = p.at-1, true
	return n, true
}

// SaidNumber reads a whole number of ten or more that opens a text in words ("two thousand five hundred dollars"), and
// returns what stands behind it.
func SaidNumber(text string) (digits, rest string, ok bool) {
	runes := []rune(text)
	all := tokens(runes)
	if len(all) == 0 || all[0].kind != word {
		return "", "", false
	}
	n, ok := numberAt(all, 0)
	if !ok || !n.spoken || !n.whole() || len(n.pieces) != 1 || len(n.pieces[0]) < 2 {
		return "", "", false
	}
	return n.digits(), string(runes[all[n.last].to:]), true
}

func hasUnit(w string) bool { _, ok := units[w]; return ok }

// speller reads figures in words.
type speller struct {
	all []token
	at  int
}

// word is the word so many tokens on; empty where there is none.
func (p *speller) word(ahead int) string {
	if p.at+ahead >= len(p.all) || p.all[p.at+ahead].kind != word {
		return ""
	}
	return p.all[p.at+ahead].norm
}

// pieces reads whole numbers said one after the other.
func (p *speller) pieces() []string {
	var out []string
	for {
		piece, ok := p.piece()
		if !ok {
			return out
		}
		out = append(out, piece)
	}
}

// fraction reads the figures behind "point", said one by one: in "point nine eighteen" another figure begins.
func (p *speller) fraction() string {
	out := ""
	for {
		at := p.at
		piece, ok := p.piece()
		if !ok {
			return out
		}
		if out != "" && len(piece) > 1 {
			p.at = at
			return out
		}
		out += piece
		if len(piece) > 1 {
			return out
		}
	}
}

func (p *speller) piece() (string, bool) {
	w := p.word(0)
	switch {
	case w == "double" || w == "triple":
		u, ok := units[p.word(1)]
		if !ok {
			return "", false
		}
		p.at += 2
		times := 2
		if w == "triple" {
			times = 3
		}
		return strings.Repeat(strconv.Itoa(u), times), true
	case hasUnit(w) && (w != "o" && w != "nil" || p.at > 0):
		return p.hundreds(units[w])
	}
	if v, ok := teens[w]; ok {
		return p.hundreds(v)
	}
	if v, ok := tens[w]; ok {
		p.at++
		if u, ok := units[p.word(0)]; ok && u > 0 {
			p.at++
			v += u
		}
		if p.word(0) == "thousand" {
			p.at--
			return p.hundreds(v)
		}
		return strconv.Itoa(v), true
	}
	return "", false
}

// hundreds reads "two", "two hundred", "two hundred and seventy", "twelve thousand".
func (p *speller) hundreds(v int) (string, bool) {
	p.at++
	switch p.word(0) {
	case "hundred":
		p.at++
		v *= 100
	case "thousand":
		p.at++
		v *= 1000
	default:
		return strconv.Itoa(v), true
	}
	ahead := 0
	if p.word(0) == "and" {
		ahead = 1
	}
	if !isNumberWord(p.word(ahead)) || p.word(ahead) == "double" || p.word(ahead) == "triple" {
		return strconv.Itoa(v), true
	}
	back := p.at
	p.at += ahead
	rest, _ := p.piece()
	more, err := strconv.Atoi(rest)
	if err != nil || more >= 1000 || more >= v {
		p.at = back
		return strconv.Itoa(v), true
	}
	return strconv.Itoa(v + more), true
}

// typedNumber reads figures as typed. Groups of three digits after a space belong
// together ("62 340").
func typedNumber(all []token, i int) number {
	n := number{first: i, last: i}
	text := all[i].text
	signed := i > 0 && (all[i-1].norm == "+" || all[i-1].norm == "-" || all[i-1].norm == "−") // "+12 250": two figures
	if j := i + 1; !signed && j < len(all) && all[j].kind == figure && !all[j].joined &&
		len(text) <= 3 && onlyDigits(text) && len(all[j].text) == 3 && onlyDigits(all[j].text) {
		n.last, n.grouped = j, true
		text += all[j].text
	}
	text = strings.NewReplacer("'", "", "’", "").Replace(text)
	n.grouped = n.grouped || text != all[i].text
	cut := strings.LastIndexAny(text, ".,")
	switch {
	case cut < 0:
		n.pieces = []string{text}
	case strings.ContainsAny(text[:cut], ".,"): // "1.234,50", "1,234,567"
		if text[cut] == text[strings.IndexAny(text, ".,")] {
			n.pieces, n.grouped = []string{stripped(text)}, true
		} else {
			n.pieces, n.fraction = []string{stripped(text[:cut])}, text[cut+1:]
		}
	case len(text)-cut-1 == 3 && cut <= 3 && text[0] != '0': // "24,806" or "1.250"
		n.pieces, n.grouped = []string{stripped(text)}, true
	default:
		n.pieces, n.fraction = []string{text[:cut]}, text[cut+1:]
	}
	return n
}

func stripped(s string) string { return strings.NewReplacer(".", "", ",", "").Replace(s) }

func onlyDigits(s string) bool { return strings.Trim(s, "0123456789") == "" }
