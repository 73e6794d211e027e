package metal

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// Mark is what a hallmark says, in plain observations. A mark is not an assay.
type Mark struct {
	Text string // as read
	// Permille is the fineness that it states, 0 where it states none. A karat gives
	// the fineness mark that goes with it (14 k gives 585).
	Permille int
	Karat    float64 // as written; 0 where none is
	// Elements are the metals that it can mean: one where it is said or follows, more
	// where the number is used for several, none where nothing was read.
	Elements []string
	Plated   bool     // says that the precious metal is a layer only
	Steel    bool     // says steel
	Conflict bool     // states two different finenesses
	Unread   []string // symbols and words kept as read
	Says     []string // sentences for a page
}

// Element is the metal that the mark means, empty where it can mean several or
// none.
func (m Mark) Element() string {
	if len(m.Elements) == 1 {
		return m.Elements[0]
	}
	return ""
}

const maxMark = 400 // characters; longer is no mark

var (
	karatAfter  = regexp.MustCompile(`^(\d{1,2}(?:[.,]\d)?)(?:K|KT|CT|C|KARAT|CARAT|KARATS|CARATS|KAR)$`)
	karatBefore = regexp.MustCompile(`^K(\d{1,2})$`)
	symbol      = regexp.MustCompile(`^(AU|AG|PT|PD|PLAT)(\d{3})?$`)
	symbolAfter = regexp.MustCompile(`^(\d{3})(AU|AG|PT|PD|PLAT)$`)
	fineness    = regexp.MustCompile(`^(?:0?[.,])?(\d{3})(?:‰)?$`)
	numberOnly  = regexp.MustCompile(`^\d{1,2}$`)
	unitOnly    = regexp.MustCompile(`^(K|KT|CT|C|KARAT|CARAT|KARATS|CARATS)$`)
)

var elementWords = map[string]string{
	"AU": Gold, "AG": Silver, "PT": Platinum, "PLAT": Platinum, "PD": Palladium,
	"GOLD": Gold, "OR": Gold, "ORO": Gold, "SILVER": Silver, "ARGENT": Silver, "SILBER": Silver, "PLATINUM": Platinum,
	"PLATINE": Platinum, "PLATIN": Platinum,
	"PALLADIUM": Palladium,
}

var platedWords = map[string]bool{
	"GF": true, "GP": true, "GEP": true, "HGE": true, "RGP": true, "PLATED": true, "PLATE": true, "FILLED": true,
	"ROLLED": true, "PLAQUE": true, "PLAQUÉ": true,
	"GILT": true, "DORÉ": true, "DORE": true, "VERMEIL": true, "DOUBLÉ": true, "ELECTROPLATED": true, "CAPPED": true,
	"BONDED": true, "MICRON": true, "MICRONS": true, "MIC": true,
}

var steelWords = map[string]bool{"STEEL": true, "STAINLESS": true, "ACIER": true, "INOX": true, "INOXYDABLE": true,
	"EDELSTAHL": true, "ACCIAIO": true}

// ReadHallmark reads the text of a mark: finenesses (750, 0.750, Au750), karats
// (18k, 18 ct, K18), elements, words for plating and steel. What it does not know
// is kept in Unread. It errs only on a text that is empty or far too long.
func ReadHallmark(text string) (Mark, error) {
	m := Mark{Text: strings.TrimSpace(text)}
	if m.Text == "" {
		return Mark{}, bad("text", `""`, "the mark as read, such as 18K 750")
	}
	if len(m.Text) > maxMark {
		return Mark{}, bad("text", fmt.Sprintf("%d bytes", len(m.Text)), fmt.Sprintf("a mark of at most %d", maxMark))
	}
	r := reader{mark: &m}
	words := splitMark(m.Text)
	for i := 0; i < len(words); i++ {
		if i+1 < len(words) && numberOnly.MatchString(words[i]) && unitOnly.MatchString(strings.ToUpper(words[i+1])) {
			words[i+1] = words[i] + words[i+1]
			continue
		}
		r.word(words[i])
	}
	r.conclude()
	return m, nil
}

func splitMark(text string) []string {
	return strings.FieldsFunc(text, func(c rune) bool { return strings.ContainsRune(" \t\r\n;/|()[]+&·-", c) })
}

type reader struct {
	mark    *Mark
	named   string // element named by a symbol or word
	numbers []int  // finenesses stated, in order, each once
	karats  []float64
}

func (r *reader) word(word string) {
	w := strings.ToUpper(strings.Trim(word, ".,:\"'"))
	if strings.HasPrefix(word, ".") && fineness.MatchString(word) {
		w = word
	}
	switch {
	case w == "":
	case steelWords[w]:
		r.mark.Steel = true
	case platedWords[w]:
		r.mark.Plated = true
	case w == "STERLING" || w == "STER":
		r.name(Silver)
		r.number(925)
	case elementWords[w] != "":
		r.name(elementWords[w])
	case r.karat(w) || r.symbolic(w) || r.plain(w):
	default:
		r.mark.Unread = append(r.mark.Unread, word)
	}
}

func (r *reader) karat(w string) bool {
	found := karatAfter.FindStringSubmatch(w)
	if found == nil {
		found = karatBefore.FindStringSubmatch(w)
	}
	if found == nil {
		return false
	}
	k, err := strconv.ParseFloat(strings.Replace(found[1], ",", ".", 1), 64)
	if err != nil || k < 1 || k > 24 {
		return false
	}
	r.name(Gold)
	r.karats = append(r.karats, k)
	if mark, err := MarkOfKarat(k); err == nil {
		r.number(mark)
	} else if exact, err := PermilleOfKarat(k); err == nil {
		r.number(int(math.Round(exact)))
	}
	return true
}

func (r *reader) symbolic(w string) bool {
	if found := symbol.FindStringSubmatch(w); found != nil && found[2] != "" {
		return r.known(elementWords[found[1]], found[2])
	}
	if found := symbolAfter.FindStringSubmatch(w); found != nil {
		return r.known(elementWords[found[2]], found[1])
	}
	return false
}

func (r *reader) known(element, digits string) bool {
	n, _ := strconv.Atoi(digits)
	if n == 0 {
		return false
	}
	r.name(element)
	r.number(n)
	return true
}

// plain reads a bare number, if it is a standard of some element.
func (r *reader) plain(w string) bool {
	found := fineness.FindStringSubmatch(w)
	if found == nil {
		return false
	}
	n, _ := strconv.Atoi(found[1])
	if n == 583 || n == 917 || n == 416 { // older spellings of 14, 22 and 10 karat
		n = map[int]int{583: 585, 917: 916, 416: 417}[n]
	}
	if len(elementsOf(n)) == 0 {
		return false
	}
	r.number(n)
	return true
}

func (r *reader) name(element string) {
	if r.named != "" && r.named != element {
		r.mark.Conflict = true
	}
	r.named = element
}

func (r *reader) number(n int) {
	for _, m := range r.numbers {
		if m == n {
			return
		}
	}
	r.numbers = append(r.numbers, n)
}

// elementsOf lists the elements that use the number, the one most often met on
// watch cases first.
func elementsOf(permille int) []string {
	var out []string
	for _, e := range []string{Gold, Silver, Platinum, Palladium} {
		if IsStandard(e, permille) {
			out = append(out, e)
		}
	}
	return out
}

func (r *reader) conclude() {
	m := r.mark
	if len(r.karats) > 0 {
		m.Karat = r.karats[0]
	}
	if len(r.numbers) > 0 {
		m.Permille = r.numbers[0]
	}
	m.Conflict = m.Conflict || len(r.numbers) > 1
	switch {
	case r.named != "":
		m.Elements = []string{r.named}
	case m.Permille > 0:
		m.Elements = elementsOf(m.Permille)
	}
	m.Says = m.sentences()
}

func (m Mark) sentences() []string {
	var out []string
	if m.Permille > 0 {
		what := strings.Join(m.Elements, " or ")
		if m.Karat > 0 {
			what += fmt.Sprintf(", written as %g karat", m.Karat)
		}
		out = append(out, fmt.Sprintf("states a fineness of %d ‰ (%s)", m.Permille, what))
	} else if len(m.Elements) > 0 {
		out = append(out, "names "+m.Elements[0]+" without a fineness")
	}
	if m.Plated {
		out = append(out, "says that the precious metal is a layer only; it counts nothing towards fine weight")
	}
	if m.Steel {
		out = append(out, "says steel")
	}
	if m.Conflict {
		out = append(out, "states more than one metal or fineness; look again")
	}
	if len(m.Unread) > 0 {
		out = append(out, "not read: "+strings.Join(m.Unread, ", "))
	}
	if m.Permille > 0 || len(m.Elements) > 0 {
		out = append(out, "a mark is not an assay")
	}
	return out
}
