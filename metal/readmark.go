package metal

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

const maxMark = 400 // bytes; longer is no mark

var (
	karatAfter  = regexp.MustCompile(`^(\d{1,2}(?:[.,]\d)?)(?:KARATS|KARAT|CARATS|CARATI|CARAT|KARAAT|QUILATES|KAR|CAR|KTS|KT|CTS|CT|K|C)([A-Z]{0,4})$`)
	karatBefore = regexp.MustCompile(`^(WG|YG|PG|RG)?K(\d{1,2})([A-Z]{0,3})$`)
	symbol      = regexp.MustCompile(`^(AU|AG|PT|PM|PD|PLAT|PALL|S|STER|ST)(\d{3,4})$`)
	symbolAfter = regexp.MustCompile(`^(\d{3,4})(AU|AG|PT|PM|PD|PLAT|PALL|WG|YG|PG|RG|S|GP|GF)$`)
	fineness    = regexp.MustCompile(`^(?:0?[.,])?(\d{3})(?:[.,]9)?‰?$`)
	shortFine   = regexp.MustCompile(`^0?[.,](5|75|9)$`)
	overThou    = regexp.MustCompile(`^(\d{3})/(?:1000|000|-)$`)
	share       = regexp.MustCompile(`^1/(\d{1,2})$`)
	karatShare  = regexp.MustCompile(`^(\d{1,2})/(\d{1,2})$`)
	percent     = regexp.MustCompile(`^(\d{1,2})%$`)
	numberOnly  = regexp.MustCompile(`^\d{1,3}$`)
	karatUnit   = regexp.MustCompile(`^(?:KARATS|KARAT|CARATS|CARATI|CARAT|KARAAT|QUILATES|KAR|CAR|KTS|KT|CTS|CT|K|C)([A-Z]{0,4})$`)
	yearUnit    = regexp.MustCompile(`^(YEARS?|YRS?|ANS|JAHRE?|ANNI|JAAR)$`)
	micronUnit  = regexp.MustCompile(`^(MICRONS?|MIKRON|MICR|MIC|MICRONI|MICRAS|MY|\x{39C}M?)$`)
	micronsIn   = regexp.MustCompile(`^\d{1,2}(?:[.,]\d)?(MICRONS?|MIKRON|MICR|MIC|MY|\x{39C}M?)$`)
	lotUnit     = regexp.MustCompile(`^(LOT|LOTIG|LOETIG|LOTHIG|LOETHIG)$`)
	zolotnik    = regexp.MustCompile(`^(ZOL|ZOLOTNIKS?)$`)
	dotted      = regexp.MustCompile(`(?:\b\p{L}\.\s?){2,}(?:\p{L}\b)?`)
	spaced      = regexp.MustCompile(`(\d)\s*%`)
)

// ReadHallmark reads the text of a mark: finenesses (750, 0.750, Au750), karats
// (18k, 18 ct, K18WG), zolotniks, elements, words for layers, steel and other base
// metals. What it does not know is kept in Unread. It errs only on a text that is empty
// or far too long.
func ReadHallmark(text string) (Mark, error) {
	m := Mark{Text: strings.TrimSpace(text)}
	if m.Text == "" {
		return Mark{}, bad("text", `""`, "the mark as read, such as 18K 750")
	}
	if len(m.Text) > maxMark {
		return Mark{}, bad("text", fmt.Sprintf("%d bytes", len(m.Text)), fmt.Sprintf("a mark of at most %d", maxMark))
	}
	r := reader{mark: &m, words: splitMark(m.Text)}
	for r.at < len(r.words) {
		r.next()
	}
	r.conclude()
	return m, nil
}

// word is one word of a mark: as written, and folded for comparing.
type word struct{ raw, key string }

// splitMark splits at spaces and signs, joins abbreviations written with points
// (R. G. P.) and keeps fractions together.
func splitMark(text string) []word {
	text = dotted.ReplaceAllStringFunc(text, func(s string) string {
		tail := ""
		if strings.HasSuffix(s, " ") {
			tail = " "
		}
		return strings.NewReplacer(".", "", " ", "").Replace(s) + tail
	})
	text = spaced.ReplaceAllString(text, "$1%")
	var out []word
	for _, raw := range strings.FieldsFunc(text, func(c rune) bool {
		return strings.ContainsRune(" \t\r\n;|()[]&·+",
			c)
	}) {
		if key := fold(raw); karatShare.MatchString(key) || overThou.MatchString(key) {
			out = append(out, word{raw, key})
			continue
		}
		for _, part := range strings.FieldsFunc(raw, func(c rune) bool { return strings.ContainsRune("/-–", c) }) {
			out = append(out, word{part, fold(part)})
		}
	}
	return out
}

var unaccent = strings.NewReplacer("À", "A", "Á", "A", "Â", "A", "Ä", "A", "Ã", "A", "Ç", "C", "È", "E", "É", "E",
	"Ê", "E", "Ë", "E", "Í", "I", "Î", "I", "Ï", "I", "Ñ", "N", "Ó", "O", "Ô", "O", "Ö", "O", "Õ", "O", "Ú", "U",
	"Ü", "U", "\u0300", "", "\u0301", "", "\u0308", "")

// fold writes a word in capitals without accents and marks of punctuation around it; a
// point before a figure stays.
func fold(s string) string {
	key := strings.Trim(unaccent.Replace(strings.ToUpper(s)), ".,:;\"'“”’!*")
	if strings.HasPrefix(s, ".") && key != "" && key[0] >= '0' && key[0] <= '9' {
		key = "." + key
	}
	return key
}

// reader reads the words of a mark one after the other.
type reader struct {
	mark    *Mark
	words   []word
	at      int
	named   []string // elements named by a symbol or word, in order
	numbers []stated // finenesses stated, in order, each once
	karats  []float64
	under   bool // after “on”: what follows is under the layer
	body    []string
}

// stated is a fineness with the element that was said with it, if any.
type stated struct {
	permille int
	element  string
}

func (r *reader) peek(ahead int) string {
	if r.at+ahead < 0 || r.at+ahead >= len(r.words) {
		return ""
	}
	return r.words[r.at+ahead].key
}

// next reads the word at hand, and those that belong to it.
func (r *reader) next() {
	w := r.words[r.at]
	took := 1
	switch {
	case w.key == "":
	case numberOnly.MatchString(w.key) && r.unit(w.key):
		took = 2
	case r.phrase(w.key):
		took = 2
	case r.single(w.key):
	default:
		r.mark.Unread = append(r.mark.Unread, strings.Trim(w.raw, ".:;\"'"))
	}
	r.at += took
}

// unit reads a bare number with the word after it: 18 K, 20 microns, 25 years, 84 zol.
func (r *reader) unit(number string) bool {
	n, _ := strconv.Atoi(number)
	switch next := r.peek(1); {
	case karatUnit.MatchString(next):
		return r.karatWord(number, karatUnit.FindStringSubmatch(next)[1])
	case micronUnit.MatchString(next), yearUnit.MatchString(next):
		r.mark.Plated = true
		return true
	case lotUnit.MatchString(next) && n <= 16:
		r.state(Silver, int(math.Round(float64(n)*1000/16)))
		return true
	case zolotnik.MatchString(next):
		z, ok := zolotniks[number]
		if ok {
			r.mark.Zolotnik = n
			r.state(z.element, z.permille)
		}
		return ok
	}
	return false
}

// phrase reads two words that mean something together.
func (r *reader) phrase(w string) bool {
	next := r.peek(1)
	switch {
	case notSilver[w] && next == "SILVER", w == "BRITANNIA" && next == "METAL":
		r.base("nickel_silver")
	case w == "WHITE" && next == "METAL", w == "BASE" && next == "METAL", w == "GUN" && next == "METAL":
		r.base("base")
	case w == "RHODIUM" || w == "RHODINIERT": // a bright layer over white gold: no layer of gold
		r.mark.Colour = "white"
		return layerWords[next] || next == ""
	case w == "CASED" && slices.Contains([]string{"AND", "IN", "BY", "TIMED"}, next):
	case w == "PL" && next == "OR":
		r.mark.Plated = true
		r.name(Gold)
	case percent.MatchString(w) && elementWords[next] != "":
		n, _ := strconv.Atoi(strings.TrimSuffix(w, "%"))
		if n == 0 {
			return false
		}
		r.state(elementWords[next], 10*n)
	case w == "FINE" && next == "SILVER": // said of 800 to 935 alike
		r.name(Silver)
	case percent.MatchString(w) && (strings.HasPrefix(next, "IRID") || next == "IR"):
		n, _ := strconv.Atoi(strings.TrimSuffix(w, "%"))
		r.state(Platinum, min(999, 1000-10*n))
	case share.MatchString(w) && strings.HasPrefix(next, "IRID"):
		n, _ := strconv.Atoi(share.FindStringSubmatch(w)[1])
		if n < 2 {
			return false
		}
		r.state(Platinum, 1000-1000/n)
	default:
		return false
	}
	return true
}

// single reads one word.
func (r *reader) single(w string) bool {
	switch {
	case w == "ON" || w == "SUR" || w == "AUF" || w == "SU":
		if next := r.peek(1); elementWords[next] != "" || steelWords[next] || baseWords[next] != "" ||
			notSilver[next] ||
			next == "STERLING" || len(next) == 3 && len(elementsOf(atoi(next))) > 0 {
			r.under, r.mark.Plated = true, true
		}
	case steelWords[w] || w == "18/8" || w == "18/10":
		r.base("steel")
	case baseWords[w] != "":
		r.base(baseWords[w])
	case share.MatchString(w) || w == "CASED", layerWords[w] || micronsIn.MatchString(w):
		r.layer(w)
	case w == "STERLING" || w == "STER":
		r.state(Silver, 925)
	case w == "BRITANNIA":
		r.state(Silver, 958)
	case w == "COIN": // coin silver of the United States, 900 since 1837
		r.state(Silver, 900)
	case strings.HasPrefix(w, "IRIDPLAT"), w == "IRIDIOPLATINUM":
		r.name(Platinum)
	case strings.HasPrefix(w, "IRID") || w == "IR": // alloyed with platinum; the share is read apart
		r.name(Platinum)
	case elementWords[w] != "":
		r.name(elementWords[w])
	case colouredGold[w] != "":
		r.name(Gold)
		r.mark.Colour = colouredGold[w]
	case colourWords[w] != "":
		r.mark.Colour = colourWords[w]
	case strings.HasPrefix(w, "SILVER") && len(w) > len("SILVER"): // words that sound like silver and are not
		r.base("nickel_silver")
	case slotWords[w] != "":
		r.slot(slotWords[w])
	case filler[w]:
	default:
		return r.figure(w)
	}
	return true
}

func (r *reader) layer(w string) {
	r.mark.Plated = true
	if w == "VERMEIL" { // gold on silver, by definition
		r.body = append(r.body, Silver)
		r.name(Gold)
	}
}

func (r *reader) slot(slot string) {
	if r.mark.Slot != "" && r.mark.Slot != slot {
		slot = ""
	}
	r.mark.Slot = slot
}

func (r *reader) base(id string) {
	if r.mark.Base == "" || r.mark.Base == "base" {
		r.mark.Base = id
	}
}

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

func (r *reader) name(element string) {
	if r.under {
		r.body = append(r.body, element)
		return
	}
	if !slices.Contains(r.named, element) {
		r.named = append(r.named, element)
	}
}

// state notes a fineness, of an element where that is said.
func (r *reader) state(element string, permille int) {
	if r.under {
		r.mark.BodyPermille = permille
		if element == "" {
			element = elementsOf(permille)[0]
		}
		r.body = append(r.body, element)
		return
	}
	if element != "" {
		r.name(element)
	}
	for _, s := range r.numbers {
		if SameFineness(s.permille, permille) && (s.element == element || element == "" || s.element == "") {
			return
		}
	}
	r.numbers = append(r.numbers, stated{permille, element})
}

// elementsOf lists the elements that are marked with the number, the one most often
// met on watch cases first.
func elementsOf(permille int) []string {
	first := []string{Gold, Silver, Platinum, Palladium}
	if permille >= 800 && permille <= 935 {
		first = []string{Silver, Gold, Platinum, Palladium}
	} else if permille == 950 {
		first = []string{Platinum, Palladium, Silver}
	}
	var out []string
	for _, e := range first {
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
	r.layered()
	if len(r.numbers) > 0 {
		m.Permille = r.numbers[0].permille
	}
	m.Conflict = len(r.named) > 1 || len(r.numbers) > 1 ||
		m.Base != "" && !m.Plated && (m.Permille > 0 || len(r.named) > 0)
	switch {
	case len(r.named) == 1:
		m.Elements = r.named
		if m.Permille > 0 && r.numbers[0].element == "" && !slices.Contains(elementsOf(m.Permille), r.named[0]) {
			m.Conflict = true // gold 925, silver 585
		}
	case len(r.named) > 1:
		m.Elements = r.named
	case m.Permille > 0:
		m.Elements = elementsOf(m.Permille)
	}
	m.Says = m.sentences()
}

// layered settles what lies under a layer: silver named beside gold on a plated part is
// what the gold lies on.
func (r *reader) layered() {
	m := r.mark
	if !m.Plated {
		return
	}
	if slices.Contains(r.named, Silver) && slices.Contains(r.named, Gold) {
		r.named = slices.DeleteFunc(r.named, func(e string) bool { return e == Silver })
		r.body = append(r.body, Silver)
	}
	r.numbers = slices.DeleteFunc(r.numbers, func(s stated) bool {
		silver := s.element == Silver || s.element == "" && slices.Equal(elementsOf(s.permille), []string{Silver})
		if silver {
			m.BodyPermille = s.permille
			r.body = append(r.body, Silver)
		}
		return silver
	})
	if m.Base == "" && len(r.body) > 0 {
		m.Body = r.body[0]
	} else if m.Base != "" {
		m.BodyPermille = 0
	}
	if len(r.named) == 1 && r.named[0] == m.Body { // “sterling gilt”: the layer is gold
		r.named = nil
	}
}

// atoi is the number that the text is, 0 where it is none.
func atoi(s string) int {
	n, _ := strconv.Atoi(s)
	return n
}
