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
