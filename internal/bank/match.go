package bank

import (
	"cmp"
	"slices"
	"strings"
	"unicode"

	"github.com/govalues/decimal"
	"golang.org/x/text/unicode/norm"

	"midcase/money"
)

// Open is a sum that stands open: above zero it is to come in, below zero it is to be paid.
type Open struct {
	ID      string      `json:"id"`
	Account string      `json:"account"` // of the ledger
	Party   string      `json:"party"`   // a client's id
	Name    string      `json:"name"`
	Watch   string      `json:"watch,omitempty"`
	Title   string      `json:"title,omitempty"`
	Numbers []string    `json:"numbers,omitempty"` // of invoices and receipts
	Since   string      `json:"since"`
	Amount  money.Money `json:"amount"`
}

// Part is what a line pays of one open sum.
type Part struct {
	Open   Open        `json:"open"`
	Amount money.Money `json:"amount"` // with the sign of the line
}

// Proposal is what a line may be.
type Proposal struct {
	Line  Line     `json:"line"`
	Parts []Part   `json:"parts,omitempty"`
	Fee   bool     `json:"fee,omitempty"` // a charge of the bank
	Sure  float64  `json:"sure"`          // 0 to 1; a rule of thumb, no measured chance
	Why   []string `json:"why,omitempty"` // number, amount, name, part, several
	Rest  bool     `json:"rest,omitempty"`
}

// How sure a proposal is by what speaks for it: rules of thumb of bookkeeping, no published source.
const (
	sureNumberAndAmount = 0.99
	sureNumbersOfMany   = 0.98
	sureNameAndAmount   = 0.93
	sureNumber          = 0.85 // a part, or more than is open
	sureNamesOfMany     = 0.80
	sureName            = 0.50
	sureAmount          = 0.60
	sureFee             = 0.90
)

// Match proposes for each line which open sums it pays. Each sum is used up once: the surest proposals come first.
func Match(lines []Line, open []Open) []Proposal {
	left := slices.Clone(open)
	out := make([]Proposal, len(lines))
	done := make([]bool, len(lines))
	for range lines {
		best := -1
		var chosen Proposal
		for i, l := range lines {
			if done[i] {
				continue
			}
			if p := propose(l, left); best < 0 || p.Sure > chosen.Sure {
				best, chosen = i, p
			}
		}
		done[best], out[best] = true, chosen
		for _, part := range chosen.Parts {
			left = used(left, part)
		}
	}
	return out
}

// used takes what a proposal pays off what is open.
func used(left []Open, p Part) []Open {
	i := slices.IndexFunc(left, func(o Open) bool { return o.ID == p.Open.ID })
	if i < 0 {
		return left
	}
	rest, err := left[i].Amount.Add(p.Amount.Neg())
	if err != nil || rest.Sign() == 0 || rest.Sign() != left[i].Amount.Sign() {
		return slices.Delete(left, i, i+1)
	}
	left[i].Amount = rest
	return left
}

// propose finds the best reading of one line.
func propose(l Line, open []Open) Proposal {
	best := Proposal{Line: l}
	if l.Reversal {
		return best
	}
	take := func(p Proposal) {
		if p.Sure > best.Sure {
			best = p
		}
	}
	amount := l.Amount
	if l.Charges.Sign() > 0 { // what was sent is what arrived and what was taken off
		if whole, err := amount.Add(l.Charges); err == nil {
			amount = whole
		}
	}
	said := words(l.Text + " " + l.Reference)
	var numbered, named []Open
	var sameAmount []Open
	for _, o := range open {
		if o.Amount.Currency() != amount.Currency() || o.Amount.Sign() != amount.Sign() || l.Day < o.Since {
			continue
		}
		number := slices.ContainsFunc(o.Numbers, func(n string) bool { return mentions(said, n) })
		name := alike(l.Name, o.Name)
		if number {
			numbered = append(numbered, o)
		}
		if name {
			named = append(named, o)
		}
		if o.Amount.Decimal().Cmp(amount.Decimal()) == 0 {
			sameAmount = append(sameAmount, o)
		}
		take(single(l, amount, o, number, name))
	}
	if len(sameAmount) == 1 {
		take(Proposal{Line: l, Parts: []Part{{sameAmount[0], amount}}, Sure: sureAmount, Why: []string{"amount"}})
	}
	take(several(l, amount, numbered, sureNumbersOfMany, "number"))
	take(several(l, amount, named, sureNamesOfMany, "name"))
	if l.BankFee || amount.Sign() < 0 && isFee(l) {
		take(Proposal{Line: l, Fee: true, Sure: sureFee, Why: []string{"charge"}})
	}
	return best
}

// single is a line that pays one sum, or a part of it.
func single(l Line, amount money.Money, o Open, number, name bool) Proposal {
	p := Proposal{Line: l, Parts: []Part{{o, amount}}}
	same := o.Amount.Decimal().Cmp(amount.Decimal())
	if amount.Sign() < 0 {
		same = -same
	}
	switch {
	case number && same == 0:
		p.Sure, p.Why = sureNumberAndAmount, []string{"number", "amount"}
	case name && same == 0:
		p.Sure, p.Why = sureNameAndAmount, []string{"name", "amount"}
	case number && same > 0:
		p.Sure, p.Why = sureNumber, []string{"number", "part"}
	case number: // more than is open: the rest stays for a person to say
		p.Parts[0].Amount, p.Rest = o.Amount, true
		p.Sure, p.Why = sureName, []string{"number", "rest"}
	case name && same > 0:
		p.Sure, p.Why = sureName, []string{"name", "part"}
	default:
		return Proposal{Line: l}
	}
	return p
}

// mostTogether bounds the sums that are tried together.
const mostTogether = 12

// several finds sums of one party that together make the amount: all of them, or the fewest that do.
func several(l Line, amount money.Money, of []Open, sure float64, why string) Proposal {
	if len(of) < 2 || len(of) > mostTogether {
		return Proposal{Line: l}
	}
	var best []Open
	for set := 1; set < 1<<len(of); set++ {
		var chosen []Open
		sum, ok := decimal.Zero, true
		for i, o := range of {
			if set&(1<<i) != 0 {
				var err error
				chosen = append(chosen, o)
				sum, err = sum.Add(o.Amount.Decimal())
				ok = ok && err == nil && o.Party == chosen[0].Party
			}
		}
		if ok && len(chosen) > 1 && sum.Cmp(amount.Decimal()) == 0 && (best == nil || len(chosen) < len(best)) {
			best = chosen
		}
	}
	if best == nil {
		return Proposal{Line: l}
	}
	p := Proposal{Line: l, Sure: sure, Why: []string{why, "several"}}
	for _, o := range best {
		p.Parts = append(p.Parts, Part{o, o.Amount})
	}
	return p
}

// feeWords are how banks name their charges.
var feeWords = []string{"bank charge", "bank charges", "account fee", "service charge", "monthly fee", "kontofuhrung",
	"kontofuehrung", "entgelt", "spesen", "bankgebuhr", "frais bancaires", "frais de tenue", "commission",
	"commissioni",
	"spese", "canone"}

func isFee(l Line) bool {
	if l.Name != "" && l.Account != "" {
		return false
	}
	said := words(l.Text)
	return slices.ContainsFunc(feeWords, func(w string) bool { return strings.Contains(said, " "+w) })
}

// words is text in small letters without accents, signs as spaces.
func words(s string) string {
	var b strings.Builder
	b.WriteByte(' ')
	for _, c := range norm.NFD.String(strings.ToLower(s)) {
		switch {
		case unicode.Is(unicode.Mn, c):
		case unicode.IsLetter(c) || unicode.IsDigit(c):
			b.WriteRune(c)
		default:
			b.WriteByte(' ')
		}
	}
	return " " + strings.Join(strings.Fields(b.String()), " ") + " "
}

// leastNumber is the shortest number that counts without a word before it.
const leastNumber = 4

// mentions reports whether a number stands in what was said, written together or apart.
func mentions(said, number string) bool {
	n := strings.ReplaceAll(words(number), " ", "")
	if len(n) < leastNumber {
		return false
	}
	parts := strings.Fields(said)
	for i := range parts {
		joined := ""
		for _, p := range parts[i:min(len(parts), i+4)] {
			joined += p
			if joined == n {
				return true
			}
		}
		if strings.HasSuffix(parts[i], n) && !unicode.IsDigit(before(parts[i], n)) { // INV20260001
			return true
		}
	}
	return false
}

// before is the letter in front of an ending; a figure where there is none.
func before(word, end string) rune {
	head := []rune(strings.TrimSuffix(word, end))
	if len(head) == 0 {
		return '0'
	}
	return head[len(head)-1]
}

// alike reports whether two names share what names a person or firm: the longest word of each and, where there are
// more, one other.
func alike(a, b string) bool {
	wa, wb := nameWords(a), nameWords(b)
	if len(wa) == 0 || len(wb) == 0 {
		return false
	}
	common := 0
	for _, w := range wa {
		if slices.Contains(wb, w) {
			common++
		}
	}
	return common >= min(2, len(wa), len(wb)) && slices.Contains(wb, wa[0]) || common >= 2
}

// nameWords are the words of a name, the longest first, without forms of firms and titles.
func nameWords(s string) []string {
	var out []string
	for _, w := range strings.Fields(words(s)) {
		if len(w) > 1 && !slices.Contains([]string{"mr", "mrs", "ms", "dr", "herr", "frau", "mme", "ltd", "limited",
			"gmbh",
			"ag", "sa", "sarl", "srl", "bv", "inc", "llc", "and", "und", "et", "co"}, w) {
			out = append(out, w)
		}
	}
	slices.SortStableFunc(out, func(a, b string) int { return cmp.Compare(len(b), len(a)) })
	return out
}
