package hand

import (
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/notes"
	"midcase/say"
)

// Forms in which people write years, sizes, prices and counts.
var (
	yearForm = regexp.MustCompile(`(?i)\b(?:(early|mid|late|middle|end|beginning)(?:\s+of)?(?:\s+the)?[\s-]+)?` +
		`((?:18|19|20)\d\d)(s|er)?\b`)
	decadeForm = regexp.MustCompile(`(?i)\b(?:(early|mid|late)[\s-]+)?` +
		`(thirties|forties|fifties|sixties|seventies|eighties|nineties)\b`)
	spanForm = regexp.MustCompile(`((?:18|19|20)\d\d)\s*(?:-|–|to|and|or|until|bis|à|al?)\s*((?:18|19|20)\d\d)`)
	unitForm = regexp.MustCompile(`(?i)(\d+(?:[.,]\d+)?)\s*` +
		`(mm|°|deg(?:rees)?|ms|jewels?|jewelled|rubis|Steine|rubini|s/day|grams?|g)(?:\b|$|\s)`)
	beatsForm = regexp.MustCompile(`(?i)(\d{2}[,.' ]?\d{3})\s*` +
		`(?:beats|vph|bph|a/h|halbschwingungen|alternances|alternanze)`)
	moneyForm = regexp.MustCompile(`(?i)(?:(?:\b(?:EUR|CHF|USD|GBP)|€|\$|£)\s?(\d[\d.,'’ ]*)|` +
		`(\d[\d.,'’ ]*\d|\d)\s?(?:EUR|CHF|USD|GBP|euros?|francs?|dollars?|€|\$|£))`)
	countForm = regexp.MustCompile(`(?i)\b(?:one of|1 of|only|fewer than|less than|limited to|edition of|series of|run of)\s+` +
		`(?:the\s+)?(?:only\s+|just\s+|about\s+|around\s+|some\s+)?` +
		`(?:\d[\d,.]*|two|three|four|five|six|seven|eight|nine|ten|a dozen|twelve|twenty|fifty|a hundred)\b` +
		`(?:\s+(?:known|made|produced|pieces|examples|survivors|left|surviving|watches))?`)
	salesForm = regexp.MustCompile(`(?i)\b(\d[\d,.]*)\s+(?:sales|Verkäufe|ventes|vendite)\b`)
)

// figures checks the figures of a sentence that the reader of notes did not read: years,
// sizes, price, counts.
func (c *checker) figures(s Sentence) {
	c.spans(s)
	each(yearForm, s, func(from, to int, m []string) {
		if !c.touched(from, to) {
			year, _ := strconv.Atoi(m[2])
			first, last := inYear(m[1], edtf.MonthOf(year, 1), 12)
			if strings.EqualFold(m[3], "s") || strings.EqualFold(m[3], "er") {
				first, last = inYear(m[1], edtf.MonthOf(year, 1), 120)
			}
			c.year(s, from, to, first, last)
		}
	})
	each(decadeForm, s, func(from, to int, m []string) {
		decades := []string{"thirties", "forties", "fifties", "sixties", "seventies", "eighties", "nineties"}
		at := 1930 + 10*slices.Index(decades, strings.ToLower(m[2]))
		first, last := inYear(m[1], edtf.MonthOf(at, 1), 120)
		c.year(s, from, to, first, last)
	})
	each(unitForm, s, func(from, to int, m []string) { c.unit(from, to, m[1], strings.ToLower(m[2])) })
	each(beatsForm, s, func(from, to int, m []string) { c.unit(from, to, m[1], "beats") })
	each(moneyForm, s, func(from, to int, m []string) { c.money(s, from, to, m[1]+m[2]) })
	each(referenceForm, s, func(from, to int, m []string) { c.reference(s, from, to, m[1]) })
	if c.machine.Language == "en" {
		each(countForm, s, func(from, to int, _ []string) { c.rare(s, from, to) })
	}
}

var (
	referenceForm = regexp.MustCompile(`(?i)\b(?:reference|ref\.?|referenz|référence|referenza)\s+([\p{L}\d][\p{L}\d./-]*\d[\p{L}\d./-]*)`)
	relating      = regexp.MustCompile(`(?i)\b(than|unlike|like|before|after|successor|predecessor|followed|replaced)\b`)
)

// reference judges that the watch is said to be of a reference. One named beside it for
// comparison is none of its own.
func (c *checker) reference(s Sentence, from, to int, said string) {
	is := c.subject.Opinion.Watch.Reference
	switch {
	case strings.EqualFold(strings.TrimRight(said, "./-"), is):
		c.name(from, to)
	case !relating.MatchString(s.Text):
		c.mark(from, to, Contradicts, say.That("hand.other-reference", say.Name("said", string(c.text[from:to])),
			say.Name("reference", is)))
	}
}

// each calls found for each place of a sentence that a form matches, in runes of the text.
func each(form *regexp.Regexp, s Sentence, found func(from, to int, m []string)) {
	for _, at := range form.FindAllStringSubmatchIndex(s.Text, -1) {
		m := make([]string, len(at)/2)
		for i := range m {
			if at[2*i] >= 0 {
				m[i] = s.Text[at[2*i]:at[2*i+1]]
			}
		}
		from := s.From + len([]rune(s.Text[:at[0]]))
		to := from + len([]rune(strings.TrimRight(m[0], " \n")))
		found(from, to, m)
	}
}

// touched reports whether a place was judged already.
func (c *checker) touched(from, to int) bool { return c.named(from, to) || c.marked(from, to) }

// inYear is the part of so many months that "early", "mid" or "late" leaves.
func inYear(part string, first edtf.Month, months int) (edtf.Month, edtf.Month) {
	last := first + edtf.Month(months) - 1
	third := edtf.Month(months / 3)
	switch strings.ToLower(part) {
	case "early", "beginning":
		return first, first + third + third/2
	case "mid", "middle":
		return first + third - third/2, last - third + third/2
	case "late", "end":
		return last - third - third/2, last
	}
	return first, last
}

// spans checks "between 1965 and 1968".
func (c *checker) spans(s Sentence) {
	each(spanForm, s, func(from, to int, m []string) {
		a, _ := strconv.Atoi(m[1])
		b, _ := strconv.Atoi(m[2])
		c.year(s, from, to, edtf.MonthOf(a, 1), edtf.MonthOf(b, 12))
	})
}

var (
	ofReference = regexp.MustCompile(`(?i)\b(reference|production|produced|introduced|launched|discontinued|series|referenz|référence|referenza)\b`)
	ofMaking    = regexp.MustCompile(`(?i)\b(made|built|manufactured|produced|dates?|dated|dating|from|circa|ca|c|left the factory|watch|example|piece)\b`)
)

// year judges a time in a sentence: that of the watch's making, or one on record.
func (c *checker) year(s Sentence, from, to int, first, last edtf.Month) {
	if c.known(s, first, last) {
		c.bear(from, to)
		return
	}
	d := c.subject.Opinion.Dating
	var ids []evidence.ID
	for _, i := range d.Items {
		if i.Kind != "part" && i.Says.Kind != "dating.part" {
			ids = append(ids, i.Evidence)
		}
	}
	switch {
	case c.machine.Language == "en" && !ofMaking.MatchString(s.Text):
		if d.Known && first <= d.Interval90[1] && last >= d.Interval90[0] {
			return // what else is said of that time is judged by its words
		}
		c.mark(from, to, Unsupported, say.That("hand.no-year"))
	case !d.Known:
		c.mark(from, to, Unsupported, say.That("hand.not-dated"))
	case last < d.Interval90[0] || first > d.Interval90[1]:
		c.mark(from, to, Contradicts, say.That("hand.other-year", say.Span("made", d.Interval90[0], d.Interval90[1])),
			ids...)
	case first <= d.Interval90[0] && last >= d.Interval90[1],
		c.hedgedWords(s) && first <= d.Median && last >= d.Median:
		c.bear(from, to)
	default:
		c.mark(from, to, Unsupported, say.That("hand.too-close", say.Span("made", d.Interval90[0], d.Interval90[1])),
			ids...)
	}
}

var hedges = regexp.MustCompile(`(?i)\b(about|circa|ca|c|around|probably|likely|approximately|estimated|perhaps|appears|seems|best estimate|roughly|um|etwa|wohl|wahrscheinlich|vermutlich|vers|environ|probablement|intorno|verso|probabilmente)\b`)

func (c *checker) hedgedWords(s Sentence) bool { return hedges.MatchString(s.Text) }

// known reports whether a time is one on record: of the reference, a document, work, a
// stamp, or the day of the opinion.
func (c *checker) known(s Sentence, first, last edtf.Month) bool {
	within := func(d edtf.Date) bool {
		a, ok1 := d.FirstMonth()
		b, ok2 := d.LastMonth()
		return ok1 && ok2 && a <= last && b >= first
	}
	w := c.subject.Opinion.Watch
	if c.subject.Book != nil && ofReference.MatchString(s.Text) {
		if _, ref, ok := c.subject.Book.Reference(w.Maker, w.Reference); ok && within(ref.Made) {
			return true
		}
	}
	if first.Year() == yearOf(c.subject.Opinion.AsOf) {
		return true
	}
	for _, it := range c.subject.File.Items {
		switch d := it.Data.(type) {
		case *evidence.Document:
			if documentWords.MatchString(s.Text) && (within(d.Date) || within(d.MadeDate)) {
				return true
			}
		case *evidence.Work:
			if workWords.MatchString(s.Text) && within(d.Date) {
				return true
			}
		case *evidence.Trial:
			if within(d.Date) {
				return true
			}
		}
	}
	if stampWords.MatchString(s.Text) {
		for _, i := range c.subject.Opinion.Dating.Items {
			if v, ok := i.Says.Arg("made"); ok {
				if m, ok := v.(say.Months); ok && m.First <= last && m.Last >= first {
					return true
				}
			}
		}
	}
	return false
}

var (
	documentWords = regexp.MustCompile(`(?i)\b(papers?|guarantee|warranty|receipt|invoice|letter|extract|certificate|booklet|Papiere?n?|papiers|documenti)\b`)
	workWords     = regexp.MustCompile(`(?i)(servic|overhaul|repair|polish|restor|revisi|révis|revidiert|überhol|gewartet|wartung|entretien|test|replac|work)`)
	stampWords    = regexp.MustCompile(`(?i)(stamp|number|clasp|bracelet|hallmark|extract|case back|stempel|nummer|poinçon|timbro|numero)`)
)

func yearOf(day string) int {
	if len(day) < 4 {
		return 0
	}
	y, _ := strconv.Atoi(day[:4])
	return y
}

// unit judges a figure with its unit that the reader of notes left.
func (c *checker) unit(from, to int, figure, unit string) {
	if c.touched(from, to) {
		return
	}
	v, err := strconv.ParseFloat(strings.NewReplacer(",", ".", "'", "", " ", "").Replace(figure), 64)
	if unit == "beats" {
		v, err = strconv.ParseFloat(strings.NewReplacer(",", "", ".", "", "'", "", " ", "").Replace(figure), 64)
	}
	if err != nil {
		return
	}
	if c.onRecord(v, figure, unit) {
		c.bear(from, to)
		return
	}
	c.mark(from, to, Unsupported, say.That("hand.no-figure", say.Name("said", string(c.text[from:to]))))
}

// onRecord reports whether a figure with its unit is one on record.
func (c *checker) onRecord(v float64, figure, unit string) bool {
	o := c.subject.Opinion
	switch unit {
	case "mm":
		for _, m := range o.Measured {
			if agrees(v, figure, m) || m.LossMM != nil && math.Abs(v-*m.LossMM) < 0.01 ||
				m.NominalMM != nil && math.Abs(v-*m.NominalMM) < 0.005 {
				return true
			}
		}
		return false
	case "°", "deg", "degree", "degrees":
		return o.Running.Amplitude != nil && math.Abs(v-*o.Running.Amplitude) <= 5
	case "ms":
		return o.Running.BeatError != nil && math.Abs(v-*o.Running.BeatError) <= 0.15
	case "s/day":
		return o.Running.Mean != nil && math.Abs(v-math.Abs(*o.Running.Mean)) <= 1
	case "g", "gram", "grams":
		for _, w := range evidence.All[*evidence.Weighing](c.subject.File) {
			if math.Abs(v-w.Data.G) <= 0.5 {
				return true
			}
		}
		return false
	}
	m, ref, ok := c.subject.Book.Reference(o.Watch.Maker, o.Watch.Reference)
	if !ok {
		return false
	}
	for _, id := range ref.Calibres {
		if k, ok := m.Calibre(id); ok && (unit == "beats" && int(v) == k.BeatsPerHour || unit != "beats" &&
			int(v) == k.Jewels) {
			return true
		}
	}
	return false
}

// money judges an amount: only the price asked is told.
func (c *checker) money(s Sentence, from, to int, figure string) {
	if c.marked(from, to) {
		return
	}
	price := c.subject.Offer.Price
	if !price.IsZero() && amount(figure) == amount(price.Amount()) {
		c.bear(from, to)
		return
	}
	if price.IsZero() {
		c.mark(from, to, Unsupported, say.That("hand.no-price"))
		return
	}
	c.mark(from, to, Unsupported, say.That("hand.other-price", say.Money("price", price)))
}

var cents = regexp.MustCompile(`[.,]\d\d?$`)

// amount is a sum of money without its marks, in whole units.
func amount(figure string) string {
	f := cents.ReplaceAllString(strings.TrimSpace(figure), "")
	return strings.Map(func(r rune) rune {
		if r >= '0' && r <= '9' {
			return r
		}
		return -1
	}, f)
}

// rare marks what is said of rarity, unless the sentence has the count of sales that is
// on record.
func (c *checker) rare(s Sentence, from, to int) {
	for _, m := range salesForm.FindAllStringSubmatch(s.Text, -1) {
		if amount(m[1]) == strconv.Itoa(c.subject.Opinion.Value.SalesOfReference) {
			c.bear(s.From, s.To)
			return
		}
	}
	if n := c.subject.Opinion.Value.SalesOfReference; n > 0 {
		c.mark(from, to, Rarity, say.That("hand.rare-counted", say.Count("n", n)))
		return
	}
	c.mark(from, to, Rarity, say.That("hand.rare"))
}

// secrets marks what is never told, wherever it stands in the text: what the caller names,
// and numbers in full.
func (c *checker) secrets(all []Secret) {
	for _, m := range evidence.All[*evidence.Mark](c.subject.File) {
		if m.Data.What == evidence.MarkSerial || m.Data.What == evidence.MarkMovementNumber {
			all = append(all, Secret{m.Data.Text, say.That("hand.private-number")})
		}
	}
	text := strings.ToLower(string(c.text))
	const shortest = 4
	for _, x := range all {
		want := strings.ToLower(strings.TrimSpace(x.Text))
		if len([]rune(want)) < shortest {
			continue
		}
		for at := 0; ; {
			i := strings.Index(text[at:], want)
			if i < 0 {
				break
			}
			from := len([]rune(text[:at+i]))
			to := from + len([]rune(want))
			if c.wholeAt(from, to) {
				c.mark(from, min(to, len(c.text)), Private, x.Why)
			}
			at += i + len(want)
		}
	}
}

// wholeAt reports whether no word or figure runs on over the ends of a place.
func (c *checker) wholeAt(from, to int) bool {
	letter := func(i int) bool {
		return i >= 0 && i < len(c.text) && len(wordsOf(string(c.text[i]))) > 0
	}
	return to <= len(c.text) && !letter(from-1) && !letter(to)
}

var (
	mostForm = regexp.MustCompile(`(?i)\b(?:the\s+)?(?:most|least)\s+(\p{L}+)`)
	estForm  = regexp.MustCompile(`(?i)\b\p{L}{3,}est\b|\b(?:best|second to none|unsurpassed|number one|top[- ]quality|first[- ]class)\b`)
)

// noSuperlative are words that only look like one.
var noSuperlative = map[string]bool{"latest": true, "interest": true, "request": true, "honest": true, "modest": true,
	"chest": true, "forest": true, "guest": true, "harvest": true, "contest": true, "protest": true, "suggest": true,
	"digest": true, "arrest": true, "quest": true, "crest": true, "earnest": true, "manifest": true, "invest": true,
	"retest": true, "attest": true, "detest": true, "nearest": true, "rest": true, "west": true, "test": true}

// superlatives marks superlatives: what ranks a watch has to be shown.
func (c *checker) superlatives(s Sentence) {
	if c.machine.Language != "en" {
		return
	}
	each(estForm, s, func(from, to int, m []string) {
		if !noSuperlative[strings.ToLower(m[0])] && !c.marked(from, to) {
			c.mark(from, to, Adjective, say.That("hand.superlative", say.Name("said", m[0])))
		}
	})
	each(mostForm, s, func(from, to int, m []string) {
		switch strings.ToLower(m[1]) {
		case "likely", "of", "probably", "probable", "it", "recent", "recently", "parts", "useful":
			return
		}
		if !c.marked(from, to) && strings.Contains(strings.ToLower(m[0]), " ") {
			c.mark(from, to, Adjective, say.That("hand.superlative", say.Name("said", m[0])))
		}
	})
}

// praise marks adjectives in sentences that have no finding and no figure.
func (r *reader) praise() {
	for _, x := range r.said {
		s, ok := r.line.holds(x.From, x.To)
		if !ok || x.About != "praise" || x.Denied {
			continue
		}
		from, to := r.at(x.Span)
		if !r.borne(s.From, s.To) && !r.marked(from, to) {
			r.mark(from, to, Adjective, say.That("hand.adjective", say.Name("said", x.Text)))
		}
	}
}

// unread marks a sentence that speaks of the watch and of which nothing was understood,
// where it has words that nothing on record has.
func (c *checker) unread(s Sentence) {
	if c.touched(s.From, s.To) || c.courteous(s) {
		return
	}
	_, said := notes.ReadSaid(s.Text, notes.Options{}, c.words.About)
	if slices.ContainsFunc(said, func(x notes.Said) bool { return x.Denied && x.About != notes.SaidPart }) {
		return // a denial claims nothing, or was judged
	}
	speaks := wholeWords.MatchString(s.Text) || slices.ContainsFunc(said, func(x notes.Said) bool {
		return x.About == notes.SaidPart
	})
	if !speaks {
		return
	}
	for _, word := range wordsOf(s.Text) {
		w := stem(word)
		if _, err := strconv.Atoi(w); err == nil || len(w) < 3 || c.words.plain[w] || c.corpus[w] {
			continue
		}
		c.mark(s.From, s.To, Unsupported, say.That("hand.unread", say.Name("word", word)))
		return
	}
}

// courteous reports whether a sentence only speaks to the reader.
func (c *checker) courteous(s Sentence) bool {
	low := strings.ToLower(s.Text)
	return slices.ContainsFunc(c.words.Courtesy, func(w string) bool { return strings.Contains(low, w) })
}
