package tables

import (
	"strconv"
	"strings"

	"midcase/notes"
)

// leastSaid is from where on words are an amount: "two" or "mille" alone may be anything, "two hundred" is not.
const leastSaid = 100

// saidAmount reads an amount in words, in English, German, French or Italian, with what stands behind it.
func saidAmount(text string) (digits, rest string, ok bool) {
	words := strings.Fields(strings.NewReplacer("-", " ", ",", " ", ".", " ", "’", "'").Replace(text))
	for len(words) > 0 && moneyWord(words[0]) {
		words = words[1:]
	}
	for n := len(words); n > 0; n-- {
		said := words[:n]
		for _, read := range []func([]string) (int, bool){english, german, french, italian} {
			if v, ok := read(said); ok && v >= leastSaid {
				return strconv.Itoa(v), strings.Join(words[n:], " "), true
			}
		}
	}
	return "", "", false
}

func moneyWord(w string) bool {
	_, is := vocabulary().Currencies[w]
	return is
}

// english reads "twelve hundred", "two grand", "four and a half thousand", "three and a half k".
func english(words []string) (int, bool) {
	text := strings.Join(words, " ")
	for _, thousand := range []string{" thousand", " grand", " k"} {
		head, is := strings.CutSuffix(text, thousand)
		if !is {
			continue
		}
		half := 0
		if whole, and := strings.CutSuffix(head, " and a half"); and {
			head, half = whole, 500
		}
		if n, of := below20[head]; of && n > 0 {
			return 1000*n + half, true
		}
	}
	said, rest, ok := notes.SaidNumber(text)
	n, err := strconv.Atoi(said)
	return n, ok && err == nil && rest == ""
}

var below20 = map[string]int{"a": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7,
	"eight": 8, "nine": 9, "ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15,
	"sixteen": 16, "seventeen": 17, "eighteen": 18, "nineteen": 19, "twenty": 20}

var germanNumbers = map[string]int{"": 0, "ein": 1, "eins": 1, "eine": 1, "zwei": 2, "zwo": 2, "drei": 3, "vier": 4,
	"fünf": 5, "sechs": 6, "sieben": 7, "acht": 8, "neun": 9, "zehn": 10, "elf": 11, "zwölf": 12, "dreizehn": 13,
	"vierzehn": 14, "fünfzehn": 15, "sechzehn": 16, "siebzehn": 17, "achtzehn": 18, "neunzehn": 19, "zwanzig": 20,
	"dreißig": 30, "dreissig": 30, "vierzig": 40, "fünfzig": 50, "sechzig": 60, "siebzig": 70, "achtzig": 80, "neunzig": 90}

// german reads "zwölfhundert", "viertausendfünfhundert", "viereinhalbtausend".
func german(words []string) (int, bool) {
	text := strings.Join(words, "")
	if head, tail, is := strings.Cut(text, "tausend"); is {
		if whole, half := strings.CutSuffix(head, "einhalb"); half && tail == "" {
			n, ok := germanBelow100(whole)
			return 1000*n + 500, ok && n > 0
		}
		if head == "anderthalb" {
			return 1500, tail == ""
		}
		high, ok := germanHundreds(head)
		low, okLow := germanHundreds(strings.TrimPrefix(tail, "und"))
		return 1000*max(high, 1) + low, ok && okLow
	}
	return germanHundreds(text)
}

func germanHundreds(text string) (int, bool) {
	head, tail, is := strings.Cut(text, "hundert")
	if !is {
		return germanBelow100(text)
	}
	high, ok := germanBelow100(head)
	low, okLow := germanBelow100(strings.TrimPrefix(tail, "und"))
	return 100*max(high, 1) + low, ok && okLow
}

func germanBelow100(text string) (int, bool) {
	if n, ok := germanNumbers[text]; ok {
		return n, true
	}
	one, ten, is := strings.Cut(text, "und")
	n, ok := germanNumbers[one]
	t, okTen := germanNumbers[ten]
	return n + t, is && ok && okTen && n > 0 && n < 10 && t >= 20
}

var frenchNumbers = map[string]int{"un": 1, "une": 1, "deux": 2, "trois": 3, "quatre": 4, "cinq": 5, "six": 6, "sept": 7,
	"huit": 8, "neuf": 9, "dix": 10, "onze": 11, "douze": 12, "treize": 13, "quatorze": 14, "quinze": 15, "seize": 16,
	"trente": 30, "quarante": 40, "cinquante": 50, "soixante": 60, "septante": 70, "huitante": 80, "nonante": 90}

// french reads "deux mille cinq cents", "quinze cents", "quatre-vingt-dix", "quatre mille et demi".
func french(words []string) (int, bool) {
	total, here, named := 0, 0, false
	for i, w := range words {
		switch {
		case w == "et" && i > 0:
			continue
		case w == "demi" || w == "demie":
			if here != 0 || total == 0 {
				return 0, false
			}
			total += 500
		case w == "mille":
			total, here = total+1000*max(here, 1), 0
		case w == "cent" || w == "cents":
			here = 100 * max(here, 1)
		case w == "vingt" || w == "vingts":
			if here%100 == 4 {
				here += 76
			} else {
				here += 20
			}
		case frenchNumbers[w] > 0:
			here += frenchNumbers[w]
		default:
			return 0, false
		}
		named = named || w != "un" && w != "une" && w != "six"
	}
	return total + here, named
}

var italianNumbers = map[string]int{"": 0, "un": 1, "uno": 1, "due": 2, "tre": 3, "quattro": 4, "cinque": 5, "sei": 6,
	"sette": 7, "otto": 8, "nove": 9, "dieci": 10, "undici": 11, "dodici": 12, "tredici": 13, "quattordici": 14,
	"quindici": 15, "sedici": 16, "diciassette": 17, "diciotto": 18, "diciannove": 19, "vent": 20, "venti": 20,
	"trenta": 30, "trent": 30, "quaranta": 40, "quarant": 40, "cinquanta": 50, "cinquant": 50, "sessanta": 60,
	"sessant": 60, "settanta": 70, "settant": 70, "ottanta": 80, "ottant": 80, "novanta": 90, "novant": 90}

// italian reads "millequattrocento", "duemilacinquecento", "quattromila e mezzo".
func italian(words []string) (int, bool) {
	text, half := strings.Join(words, ""), 0
	if head, is := strings.CutSuffix(text, "emezzo"); is && strings.HasSuffix(head, "mila") {
		text, half = head, 500
	}
	high, tail, is := strings.Cut(text, "mila")
	if is {
		n, ok := italianHundreds(high)
		low, okLow := italianHundreds(tail)
		return 1000*n + low + half, ok && okLow && n > 0
	}
	if tail, is := strings.CutPrefix(text, "mille"); is {
		low, ok := italianHundreds(tail)
		return 1000 + low, ok
	}
	return italianHundreds(text)
}

func italianHundreds(text string) (int, bool) {
	head, tail, is := strings.Cut(text, "cento")
	if !is {
		return italianBelow100(text)
	}
	high, ok := italianNumbers[head]
	low, okLow := italianBelow100(tail)
	return 100*max(high, 1) + low, ok && high < 10 && okLow
}

func italianBelow100(text string) (int, bool) {
	if n, ok := italianNumbers[text]; ok {
		return n, true
	}
	for ten, n := range italianNumbers {
		if one, is := strings.CutPrefix(text, ten); is && n >= 20 && italianNumbers[one] > 0 && italianNumbers[one] < 10 {
			return n + italianNumbers[one], true
		}
	}
	return 0, false
}
