package notes

import (
	"strings"
	"unicode"
)

// spokenReference finds the reference that a paragraph of prose comes to in its first
// sentence, before any comma: "I begin with the Model 14, because …", "Then there is the
// ref. 4410, …".
func (r *bookReader) spokenReference(i, last int) (string, int, bool) {
	for ; i < last && (r.all[i].kind != mark || r.all[i].text == "." && !r.sentenceEnd(i)); i++ {
		switch n := r.all[i].norm; n {
		case "never", "not", "no":
			return "", 0, false
		case "model", "ref", "reference":
			if id, end, ok := r.modelAt(i, last); ok {
				return id, end, true
			}
			at := i + 1
			if r.all[at].text == "." && at < last {
				at++
			}
			if id, end, ok := r.codeAt(at, last, true); ok {
				return id, end, true
			}
		}
	}
	return "", 0, false
}

func (r *bookReader) capitalised(i int) bool {
	return r.all[i].kind == word && unicode.IsUpper([]rune(r.all[i].text)[0])
}

func (r *bookReader) isNumeric(id string) bool { return strings.Trim(id, "0123456789") == "" }

// notCodes are short words with a capital that stand before figures in a sentence.
var notCodes = map[string]bool{"in": true, "to": true, "of": true, "at": true, "on": true, "by": true, "is": true, "no": true,
	"ca": true, "abt": true, "an": true, "as": true, "and": true, "the": true, "cal": true, "or": true, "up": true, "mid": true,
	"for": true, "all": true, "ref": true, "may": true, "mar": true, "jan": true, "feb": true, "apr": true, "jun": true,
	"jul": true, "aug": true, "sep": true, "oct": true, "nov": true, "dec": true, "but": true, "it": true, "if": true, "lug": true}

// codeAt reads a maker's code: a few letters with a capital and figures, "K-31/4",
// "MV 218", "Tn 8d", "e4"; a number alone where one is expected.
func (r *bookReader) codeAt(i, last int, number bool) (string, int, bool) {
	if i > last {
		return "", 0, false
	}
	end := i
	switch t := r.all[i]; {
	case t.kind == word && len([]rune(t.text)) <= 4 && (!notCodes[t.norm] || number && r.capitalised(i)):
		if end = r.figuresBehind(i, last); end == 0 {
			return "", 0, false
		}
		if !unicode.IsUpper([]rune(t.text)[0]) && !r.all[i+1].joined {
			return "", 0, false
		}
	case t.kind == figure && onlyDigits(t.text) && len(t.text) >= 3 && len(t.text) <= 6:
		v := len(t.text) == 4 && t.text >= "1850" && t.text <= "2040"
		if v && !number {
			return "", 0, false
		}
	default:
		return "", 0, false
	}
	letters := end > i
	end = r.suffix(end, last)
	switch {
	case letters && end < last && r.all[end+1].joined && r.all[end+1].text == "s": // "Wb 62s", not "1960s"
		end++
	case r.letterBehind(end, last):
		end++
	}
	return string(r.runes[r.all[i].from:r.all[end].to]), end, true
}

// letterBehind reports whether a capital alone belongs to the code before it: "A 82 G -- …".
func (r *bookReader) letterBehind(end, last int) bool {
	if end+2 > last || r.all[end+1].kind != word || len([]rune(r.all[end+1].text)) != 1 || !r.capitalised(end+1) {
		return false
	}
	return r.all[end+1].norm != "i" && strings.Contains(":-–—", r.all[end+2].text) && !r.all[end+2].joined
}

// figuresBehind is the last token of the figures behind the letters of a code; 0 where
// there are none.
func (r *bookReader) figuresBehind(i, last int) int {
	at := i + 1
	if at <= last && strings.Contains("-./", r.all[at].text) && r.all[at].kind == mark && r.all[at].joined {
		at++
	}
	if at > last || r.all[at].kind != figure || strings.ContainsAny(r.all[at].text, ",") || strings.Contains(r.all[at].text, ".") {
		return 0
	}
	if at == i+2 && !r.all[at].joined {
		return 0
	}
	return at
}

// suffix is the last token of what is joined to a code: a letter, or "/4", "-B".
func (r *bookReader) suffix(end, last int) int {
	for end < last && r.all[end+1].joined {
		t := r.all[end+1]
		switch {
		case t.kind == word && len([]rune(t.text)) <= 2 && t.text != "s" && t.norm != "mm" && t.norm != "k" && t.norm != "j":
			end++
		case (t.text == "/" || t.text == "-") && end+2 <= last && r.all[end+2].joined && r.all[end+2].kind != mark &&
			len([]rune(r.all[end+2].text)) <= 3:
			end += 2
		default:
			return end
		}
	}
	return end
}
