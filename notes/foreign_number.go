package notes

import (
	"slices"
	"strings"
)

// Figures in German, French and Italian words are put into English words one by one, as the other words are.

// numerals are the words for figures of one language.
type numerals struct {
	simple           map[string]int
	hundred          string
	thousand         []string
	and              string // between one and ten: "siebenunddreissig"
	onesFirst, fused bool   // "siebenunddreissig"; whether figures are written as one word
}

var numeralsOf = map[string]numerals{
	"de": {simple: map[string]int{"null": 0, "eins": 1, "ein": 1, "zwei": 2, "zwo": 2, "drei": 3, "vier": 4, "fuenf": 5,
		"sechs": 6, "sieben": 7, "acht": 8, "neun": 9, "zehn": 10, "elf": 11, "zwoelf": 12, "dreizehn": 13, "vierzehn": 14,
		"fuenfzehn": 15, "sechzehn": 16, "siebzehn": 17, "achtzehn": 18, "neunzehn": 19, "zwanzig": 20, "dreissig": 30,
		"vierzig": 40, "fuenfzig": 50, "sechzig": 60, "siebzig": 70, "achtzig": 80, "neunzig": 90},
		hundred: "hundert", thousand: []string{"tausend"}, and: "und", onesFirst: true, fused: true},
	"it": {simple: map[string]int{"zero": 0, "uno": 1, "due": 2, "tre": 3, "quattro": 4, "cinque": 5, "sei": 6, "sette": 7,
		"otto": 8, "nove": 9, "dieci": 10, "undici": 11, "dodici": 12, "tredici": 13, "quattordici": 14, "quindici": 15,
		"sedici": 16, "diciassette": 17, "diciotto": 18, "diciannove": 19, "venti": 20, "trenta": 30, "quaranta": 40,
		"cinquanta": 50, "sessanta": 60, "settanta": 70, "ottanta": 80, "novanta": 90, "vent": 20, "trent": 30,
		"quarant": 40, "cinquant": 50, "sessant": 60, "settant": 70, "ottant": 80, "novant": 90},
		hundred: "cento", thousand: []string{"mila", "mille"}, fused: true},
	"fr": {simple: map[string]int{"zero": 0, "un": 1, "deux": 2, "trois": 3, "quatre": 4, "cinq": 5, "six": 6, "sept": 7,
		"huit": 8, "neuf": 9, "dix": 10, "onze": 11, "douze": 12, "treize": 13, "quatorze": 14, "quinze": 15, "seize": 16,
		"vingt": 20, "vingts": 20, "trente": 30, "quarante": 40, "cinquante": 50, "soixante": 60, "septante": 70,
		"huitante": 80, "octante": 80, "nonante": 90, "cent": 100, "cents": 100, "mille": 1000}},
}

// value is the figure that one word stands for: "siebenunddreissig", "duecentosessanta".
func (n numerals) value(w string) (int, bool) {
	if v, ok := n.simple[w]; ok {
		return v, true
	}
	if !n.fused {
		return 0, false
	}
	for _, t := range n.thousand {
		if head, tail, ok := strings.Cut(w, t); ok {
			return n.times(head, tail, 1000)
		}
	}
	if head, tail, ok := strings.Cut(w, n.hundred); ok {
		return n.times(head, tail, 100)
	}
	for said, v := range n.simple {
		if v < 20 || v%10 != 0 {
			continue
		}
		if n.onesFirst {
			if head, ok := strings.CutSuffix(w, n.and+said); ok {
				u, known := n.simple[head]
				return v + u, known && u > 0 && u < 10
			}
			continue
		}
		if tail, ok := strings.CutPrefix(w, said); ok {
			if u, known := n.simple[tail]; known && u > 0 && u < 10 {
				return v + u, true
			}
		}
	}
	return 0, false
}

// times is so many hundreds or thousands with what follows.
func (n numerals) times(head, tail string, unit int) (int, bool) {
	many, rest := 1, 0
	var ok bool
	if head != "" {
		if many, ok = n.value(head); !ok || many >= 1000 {
			return 0, false
		}
	}
	tail = strings.TrimPrefix(tail, n.and)
	if tail != "" {
		if rest, ok = n.value(tail); !ok || rest >= unit {
			return 0, false
		}
	}
	return many*unit + rest, true
}

// figureAt reads the figure in words that begins at a token, and how many tokens it takes. French writes it in several
// words, joined by hyphens or not; where each could stand for itself ("sept un trois") only the first is taken.
func (n numerals) figureAt(all []token, i int) (value, taken int, ok bool) {
	v, ok := n.value(all[i].norm)
	if !ok {
		return 0, 0, false
	}
	if n.fused {
		article := all[i].norm == "ein" || all[i].norm == "uno" && !n.beside(all, i)
		return v, 1, !article
	}
	return n.french(all, i, v)
}

func (n numerals) french(all []token, i, v int) (value, taken int, ok bool) {
	if all[i].norm == "neuf" && !n.beside(all, i) {
		return 0, 0, false // new
	}
	at, last := i+1, v
	for at < len(all) {
		j, joined := at, false
		if (all[j].norm == "-" || all[j].norm == "et") && j+1 < len(all) {
			j, joined = j+1, all[j].norm == "-"
		}
		u, is := n.simple[all[j].norm]
		switch {
		case !is:
			return v, at - i, v != 1 || at > i+1
		case last == 4 && u == 20: // quatre-vingt
			v += 76
		case u == 100 && v < 100 && v > 1, u == 1000 && v < 1000 && v > 1:
			v *= u
		case u < 20 && (last == 60 || last == 20 && v%100 >= 80), u < 10 && last >= 20 && last < 100,
			last >= 100 && u < 100, last == 10 && u > 6 && u < 10 && joined:
			v += u
		default:
			return v, at - i, true
		}
		last = u
		if last == 20 && v%100 == 80 && v >= 80 {
			last = 20
		}
		at = j + 1
	}
	return v, at - i, v != 1 || at > i+1
}

// beside reports whether a figure in words stands right before or behind a token.
func (n numerals) beside(all []token, i int) bool {
	is := func(j int) bool {
		if j < 0 || j >= len(all) {
			return false
		}
		_, ok := n.simple[all[j].norm]
		return ok || all[j].norm == "virgule" || all[j].norm == "numero" || all[j].norm == "heures"
	}
	return is(i-1) || is(i+1) || i > 1 && all[i-1].norm == "-" && is(i-2)
}

// inEnglish is a figure in English words, as the reader knows them.
func inEnglish(v int) []string {
	if v < 20 {
		for _, words := range []map[string]int{units, teens} {
			for w, u := range words {
				if u == v && w != "o" && w != "oh" && w != "nought" && w != "nil" {
					return []string{w}
				}
			}
		}
	}
	switch {
	case v >= 1000:
		out := append(inEnglish(v/1000), "thousand")
		if v%1000 > 0 {
			out = append(out, inEnglish(v%1000)...)
		}
		return out
	case v >= 100:
		out := append(inEnglish(v/100), "hundred")
		if v%100 > 0 {
			out = append(out, inEnglish(v%100)...)
		}
		return out
	}
	var out []string
	for w, t := range tens {
		if t == v/10*10 && w != "fourty" {
			out = []string{w}
		}
	}
	if v%10 > 0 {
		out = slices.Concat(out, inEnglish(v%10))
	}
	return out
}
