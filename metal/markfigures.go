package metal

import (
	"math"
	"slices"
	"strconv"
	"strings"
)

// figure reads a word with a number in it.
func (r *reader) figure(w string) bool {
	if f := karatAfter.FindStringSubmatch(w); f != nil {
		return r.karatWord(f[1], f[2])
	}
	if f := karatBefore.FindStringSubmatch(w); f != nil {
		return r.karatWord(f[2], f[1]+f[3])
	}
	if f := karatShare.FindStringSubmatch(w); f != nil { // 14/20: 14 karat, a twentieth of the weight
		k, _ := strconv.ParseFloat(f[1], 64)
		of, _ := strconv.Atoi(f[2])
		if !slices.Contains([]int{10, 20, 30, 40}, of) || !r.karat(k) {
			return false
		}
		r.mark.Plated = true
		return true
	}
	if f := symbol.FindStringSubmatch(w); f != nil {
		element := elementWords[f[1]]
		if element == "" {
			element = Silver // S925, STER925
		}
		return r.known(element, f[2])
	}
	if f := symbolAfter.FindStringSubmatch(w); f != nil {
		return r.numberWord(f[1], f[2])
	}
	if f := overThou.FindStringSubmatch(w); f != nil {
		w = f[1]
	}
	return r.plain(w)
}

// karatWord reads a karat with what is written behind it: 18KWG, 14KGF, 18KP.
func (r *reader) karatWord(digits, suffix string) bool {
	k, err := strconv.ParseFloat(strings.Replace(digits, ",", ".", 1), 64)
	if err != nil || len(digits) == 3 || !r.suffix(suffix, false) || !r.karat(k) {
		return false
	}
	r.suffix(suffix, true)
	return true
}

// suffix takes what is written behind a karat or a number; with do it counts.
func (r *reader) suffix(s string, do bool) bool {
	colour := map[string]string{"WG": "white", "YG": "yellow", "RG": "rose", "PG": "rose", "W": "white", "Y": "yellow",
		"R": "rose", "G": ""}
	switch {
	case s == "" || s == "P" || s == "S" || s == "GOLD" || s == "OR": // P: plumb, which is to say exactly so fine
	case layerWords[s] && s != "RG":
		r.mark.Plated = r.mark.Plated || do
	default:
		c, ok := colour[s]
		if ok && do && c != "" {
			r.mark.Colour = c
		}
		return ok
	}
	return true
}

func (r *reader) karat(k float64) bool {
	if k < 1 || k > 24 {
		return false
	}
	n, err := MarkOfKarat(k)
	if err != nil {
		exact, err := PermilleOfKarat(k)
		if err != nil {
			return false
		}
		n = int(math.Round(exact))
	}
	r.karats = append(r.karats, k)
	r.state(Gold, n)
	return true
}

// numberWord reads a number with a sign behind it: 750Au, 750WG, 925S.
func (r *reader) numberWord(digits, sign string) bool {
	switch {
	case elementWords[sign] != "":
		return r.known(elementWords[sign], digits)
	case sign == "S":
		return r.known(Silver, digits)
	case !r.plain(digits):
		return false
	}
	return r.suffix(sign, true)
}

func (r *reader) known(element, digits string) bool {
	n, _ := strconv.Atoi(digits)
	if n == 1000 || n >= 9990 {
		n = 999
	}
	if n == 0 || n > 999 {
		return false
	}
	r.state(element, n)
	return true
}

// plain reads a bare number, if it is a standard of some element.
func (r *reader) plain(w string) bool {
	if f := shortFine.FindStringSubmatch(w); f != nil {
		w = (f[1] + "00")[:3]
	}
	if z, ok := zolotniks[w]; ok && len(r.karats) == 0 {
		r.mark.Zolotnik = atoi(w)
		r.state(z.element, z.permille)
		return true
	}
	if n, err := strconv.Atoi(w); err == nil && n <= 24 {
		return r.bareKarat(n)
	}
	if w == "9999" || w == "1000" {
		w = "999"
	}
	found := fineness.FindStringSubmatch(w)
	if found == nil {
		return false
	}
	n, _ := strconv.Atoi(found[1])
	switch {
	case slices.ContainsFunc(r.numbers, func(s stated) bool {
		return s.permille-n <= 5 && n-s.permille <= 5 &&
			len(r.karats) > 0
	}):
		return true // what the karat says already: 18K 0.755, 14K 583
	case n == 417 || n == 416: // 10 karat, rounded up and cut off
		n = 417
	case n == 917:
		n = 916
	case n == 752 || n == 755: // older Swiss 18 karat
		n = 750
	case n == 812:
		n = 813
	}
	if len(elementsOf(n)) == 0 {
		return false
	}
	r.state("", n)
	return true
}

// bareKarat reads a bare 9, 14, 18 or 22 beside the fineness that goes with it, as
// British marks were struck until 1974 (9 .375, 18 .750).
func (r *reader) bareKarat(n int) bool {
	next := strings.TrimLeft(r.peek(1), "0.,")
	mark, err := MarkOfKarat(float64(n))
	if err != nil || next == "" || !strings.HasPrefix(strconv.Itoa(mark), next) {
		return false
	}
	return r.karat(float64(n))
}

// atoi is the number that the text is, 0 where it is none.
func atoi(s string) int {
	n, _ := strconv.Atoi(s)
	return n
}
