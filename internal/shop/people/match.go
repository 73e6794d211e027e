package people

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
	"unicode"

	"midcase/condition"
	"midcase/edtf"
	"midcase/estimate"
	"midcase/internal/shop"
	"midcase/money"
	"midcase/say"
)

// Match is one want that a watch meets.
type Match struct {
	Watch      shop.WatchID   `json:"watch"`
	Title      string         `json:"title"`
	Client     string         `json:"client"`
	Name       string         `json:"name"`
	Want       int            `json:"want"`   // its place in the client's list, from 0
	Fit        float64        `json:"fit"`    // 0–1: how far the watch is what was asked for
	Chance     float64        `json:"chance"` // 0–1: fit, price and past answers together; orders the list
	Price      float64        `json:"price"`  // 0–1: how the price lies to the budget, or to the value
	CallFirst  bool           `json:"call_first"`
	MayContact bool           `json:"may_contact"`   // the client allowed to be offered watches by some channel
	Refused    bool           `json:"refused"`       // the client refused that by every channel
	Contacts   []shop.Contact `json:"contacts"`      // by channel
	Saw        string         `json:"saw,omitempty"` // what passed about this watch last, such as offered
	State      string         `json:"state"`         // of the watch, such as reserved
	// Promised says that this client has the first refusal; NotBefore the day before which
	// the watch may not go to this one, since another has it.
	Promised  bool      `json:"promised"`
	NotBefore edtf.Date `json:"not_before,omitzero"`
	Reasons   []string  `json:"reasons"`

	narrow float64 // how narrow the want is: among equals the narrower comes first
}

// The figures of matching. All are common practice, no published source; they order a
// list and are no measured chances. docs/methods/matching.md says what each does.
const (
	unknownFit   = 0.5  // for a wish about something that is not on record
	leastFit     = 0.05 // below, it is no match
	leastChance  = 0.05 // fit and price together: below, nobody is listed
	budgetSD     = 0.12 // how far, in log price, a client goes beyond the budget named
	valueSD      = 0.20 // how far, in log price, a client lets the price be above the value
	priorBought  = 1.0  // before anything is known, one in four of what is shown is bought
	priorShown   = 4.0
	leastGradeSD = 0.3
)

// specific is how strongly a want points to a watch, by the narrowest thing it names. It
// orders equals and enters no figure: a looser want is met no worse than a narrow one.
func specific(w shop.Want) float64 {
	switch {
	case w.Reference != "":
		return 1
	case w.Family != "":
		return 0.9
	case w.Maker != "":
		return 0.75
	}
	return 0.5
}

// FitWant scores how far a watch is what a want asks for; ok is false where it is
// not. day is the day on which it counts.
func FitWant(w shop.Want, f Facts, day time.Time) (fit float64, reasons []string, ok bool) {
	if w.Ended(day) {
		return 0, nil, false
	}
	fit = 1
	if !w.Names() || !mayMean(&w, &f) {
		return 0, nil, false
	}
	var names []string
	for _, x := range []struct{ wish, what string }{{w.Maker, "maker"}, {w.Reference, "reference"},
		{w.Family, "family"}, {w.Metal, "metal"}} {
		if x.wish != "" {
			names = append(names, x.what+" "+x.wish)
		}
	}
	if len(names) > 0 {
		reasons = append(reasons, strings.Join(names, ", "))
	}
	for _, wish := range []func(shop.Want, Facts) (float64, string){fitDial, fitCondition, fitOriginality, fitSet,
		fitYears, fitMust, fitMustNot} {
		part, why := wish(w, f)
		fit *= part
		if why != "" {
			reasons = append(reasons, why)
		}
	}
	return fit, reasons, fit >= leastFit
}

// mayMean reports whether maker, reference, metal and family are those wanted, where they
// are named.
func mayMean(w *shop.Want, f *Facts) bool {
	return sameName(w.Maker, f.Maker) && sameName(w.Reference, f.Reference) && sameName(w.Metal, f.Metal) &&
		(sameName(w.Family, f.Family) || sameName(w.Family, f.FamilyName))
}

// sameName reports whether a wish is empty or the same without regard to case.
func sameName(wish, have string) bool {
	return wish == "" || wish == have || strings.EqualFold(strings.TrimSpace(wish), strings.TrimSpace(have))
}

func fitDial(w shop.Want, f Facts) (float64, string) {
	if w.Dial == "" {
		return 1, ""
	}
	if f.Dial == "" {
		return unknownFit, "dial not on record; wanted: " + w.Dial
	}
	have := affirmed(f.Dial)
	for _, word := range words(w.Dial) {
		if !slices.Contains(have, word) {
			return 0, ""
		}
	}
	return 1, "dial " + f.Dial
}

// words are the words of a text, in small letters.
func words(s string) []string {
	return strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
}

// affirmed are the words of a text that it does not deny: what follows "not", "no" or
// "without" up to the next comma or stop is left out.
func affirmed(s string) (out []string) {
	for _, part := range strings.FieldsFunc(s, func(r rune) bool { return strings.ContainsRune(",;.:()", r) }) {
		for _, w := range words(part) {
			if slices.Contains([]string{"not", "no", "never", "without", "isn", "non"}, w) {
				break
			}
			out = append(out, w)
		}
	}
	return out
}

// listed are the terms of a list with commas, as they were typed.
func listed(s string) (out []string) {
	for _, t := range strings.Split(s, ",") {
		if t = strings.TrimSpace(t); t != "" {
			out = append(out, t)
		}
	}
	return out
}

// termIDs are the ids of the terms of a list; a word that is no term stands for itself.
func termIDs(s string) (out []string) {
	for _, typed := range listed(s) {
		if t, ok := condition.Lookup(typed); ok {
			typed = t.ID
		}
		out = append(out, typed)
	}
	return out
}

func termName(id string) string {
	if t, ok := condition.Lookup(id); ok {
		return t.Name
	}
	return id
}

func fitMust(w shop.Want, f Facts) (float64, string) {
	p := 1.0
	var missing []string
	for _, term := range termIDs(w.Must) {
		if !f.Has[term] {
			p *= unknownFit
			missing = append(missing, termName(term))
		}
		if f.HasNot[term] {
			return 0, ""
		}
	}
	if len(missing) > 0 {
		return p, "not on record: " + strings.Join(missing, ", ")
	}
	if w.Must == "" {
		return 1, ""
	}
	return 1, "as wanted: " + w.Must
}

func fitMustNot(w shop.Want, f Facts) (float64, string) {
	for _, term := range termIDs(w.MustNot) {
		if f.Has[term] {
			return 0, ""
		}
	}
	if w.MustNot == "" {
		return 1, ""
	}
	return 1, "none of: " + w.MustNot
}

func fitCondition(w shop.Want, f Facts) (float64, string) {
	if w.ConditionFloor == 0 {
		return 1, ""
	}
	if f.Condition == nil {
		return unknownFit, fmt.Sprintf("condition not known; wanted: %.3g or better", w.ConditionFloor)
	}
	p := normalCDF((*f.Condition - w.ConditionFloor) / max(f.ConditionSD, leastGradeSD))
	return p, fmt.Sprintf("condition %.1f, wanted %.3g or better (%s)", *f.Condition, w.ConditionFloor,
		estimate.Percent(p))
}

func fitOriginality(w shop.Want, f Facts) (float64, string) {
	if w.OriginalityFloor == 0 {
		return 1, ""
	}
	if f.Originality == nil {
		return unknownFit, fmt.Sprintf("originality not known; wanted: %.2f or more", w.OriginalityFloor)
	}
	p := normalCDF((*f.Originality - w.OriginalityFloor + 0.05) / 0.05)
	return p, fmt.Sprintf("originality %.2f, wanted %.2f or more", *f.Originality, w.OriginalityFloor)
}

var sets = []string{"watch", "papers", "full"}

func fitSet(w shop.Want, f Facts) (float64, string) {
	want, have := slices.Index(sets, w.Set), slices.Index(sets, f.Set)
	switch {
	case want <= 0:
		return 1, ""
	case have < 0:
		return unknownFit, "set not known; wanted: " + w.Set
	case have < want:
		return 0.2, fmt.Sprintf("set is %s, wanted %s", f.Set, w.Set)
	}
	return 1, "set: " + f.Set
}

func fitYears(w shop.Want, f Facts) (float64, string) {
	if w.YearFrom == 0 && w.YearTo == 0 {
		return 1, ""
	}
	to := w.YearTo
	if to == 0 {
		to = math.MaxInt
	}
	if len(f.Years) == 0 {
		return unknownFit, "year not known"
	}
	p := 0.0
	for year, share := range f.Years {
		if year >= w.YearFrom && year <= to {
			p += share
		}
	}
	p = min(p, 1)
	return p, fmt.Sprintf("made in the years wanted: %s", estimate.Percent(p))
}

// chance is the score by which matches are put in order: the fit, how the price
// lies to the budget or the value, and how the client answered before.
func chance(fit float64, w shop.Want, f Facts, past Past, convert func(money.Money, money.Currency) (float64,
	bool)) (score, price float64, reasons []string) {
	price, why := priceChance(w, f, convert)
	answer := (priorBought + float64(past.Bought)) / (priorShown + float64(past.Shown))
	reasons = []string{why, fmt.Sprintf("bought %d of %d shown before", past.Bought, past.Shown)}
	out := fit * price * min(answer, 1)
	if past.SawThis != "" {
		reasons = append(reasons, "this watch: "+past.SawThis)
	}
	if past.SawThis == shop.Declined {
		out *= 0.1
	}
	return out, price, reasons
}

// priceChance is how the price lies to the value, and to the budget where one is named. A
// budget only ever lowers it, so that a client who names none is not put behind.
func priceChance(w shop.Want, f Facts, convert func(money.Money, money.Currency) (float64, bool)) (float64, string) {
	ask, from := f.Value, "value"
	if f.Asking.Sign() > 0 {
		if a, ok := convert(f.Asking, f.Currency); ok {
			ask, from = a, "asking price"
		}
	}
	if ask <= 0 {
		return unknownFit, "no price known"
	}
	p, why := 1.0, "no budget named; "
	if w.Budget.Sign() > 0 {
		p, why = unknownFit, fmt.Sprintf("budget %s, no rate to %s, ", say.Plain.Money(w.Budget), f.Currency)
		if budget, ok := convert(w.Budget, f.Currency); ok {
			p, why = withinBudget(ask, budget), "budget "+say.Plain.Money(w.Budget)+", "
		}
	}
	why += from + " " + say.Plain.Number(ask, 0)
	if f.Value > 0 && from != "value" {
		p *= min(1, 2*normalCDF(math.Log(f.Value/ask)/valueSD))
		why += ", value " + say.Plain.Number(f.Value, 0)
	}
	return p, fmt.Sprintf("%s %s (%s)", why, f.Currency, estimate.Percent(p))
}

// withinBudget is the share of buyers with a budget who pay an asking price: nine in ten at
// the ceiling that they named, half of them 17 % beyond.
func withinBudget(ask, budget float64) float64 {
	const z = 1.2816 // Φ(z) = 0.9
	return normalCDF(z + math.Log(budget/ask)/budgetSD)
}

func normalCDF(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }

// worth reports whether fit and price together are enough for a client to be listed.
func worth(fit, price float64) bool { return fit*price >= leastChance }

// sortMatches puts the likeliest buyers first; before them who has the first refusal, then
// those who asked to be called first, and last those who refused to be offered watches.
func sortMatches(all []Match) {
	rank := func(m Match) int {
		switch {
		case m.Promised:
			return 0
		case m.Refused:
			return 3
		case m.CallFirst:
			return 1
		}
		return 2
	}
	slices.SortFunc(all, func(a, b Match) int {
		return cmp.Or(cmp.Compare(rank(a), rank(b)), cmp.Compare(b.Chance, a.Chance), cmp.Compare(b.Fit, a.Fit),
			cmp.Compare(b.narrow, a.narrow), cmp.Compare(a.Client, b.Client), cmp.Compare(a.Watch, b.Watch))
	})
}
