package notes

import (
	"slices"
	"strings"

	"midcase/evidence"
	"midcase/money"
)

// sellerSpeaks are words by which a whole text shows that a seller wrote it.
var sellerSpeaks = []string{"i am selling", "im selling", "i would like to sell", "id like to sell", "i want to sell",
	"i wish to sell", "we would like to sell", "we are selling", "i am offering", "we are offering", "for sale is my",
	"selling my", "selling this for", "i inherited", "we inherited", "my late", "would you be interested",
	"are you interested in buying", "my fathers", "my grandfathers", "my husbands", "my uncles", "my aunts", "my mothers",
	"my grandfather", "my grandmother", "my father", "my aunt", "my uncle", "our father", "our mother", "my dad", "my dads",
	"my grandad", "my grandads", "my brothers", "we hope to get", "i hope to get", "we found in a drawer", "kind regards",
	"best regards", "best wishes", "many thanks", "yours sincerely", "yours faithfully", "warm regards", "i have owned",
	"i have had it", "ive had it", "ive owned", "i have worn it", "in my possession", "in our possession", "in my time",
	"in my ownership", "open to offers", "or near offer", "or nearest offer", "would you buy", "do you buy", "would you pay",
	"would you give", "would you offer", "what is it worth", "how much is it worth",
	"sehr geehrte", "sehr geehrter", "guten tag", "guten abend", "mit freundlichen gruessen", "mit freundlichen grüßen",
	"freundliche grüße", "viele grüße", "beste grüße", "herzliche grüße", "möchte ich verkaufen", "ich verkaufe", "zu verkaufen ist",
	"mein vater", "meines vaters", "mein großvater", "meines großvaters", "meinem vater", "von meinem", "meiner mutter",
	"ich habe die uhr", "bonjour", "bonsoir", "cordialement", "bien à vous", "je vends", "je souhaite vendre", "mon père",
	"mon grand-père", "ma mère", "mon mari", "mon oncle", "de mon père", "buongiorno", "buonasera", "cordiali saluti",
	"distinti saluti", "vorrei vendere", "mio padre", "mio nonno", "mia madre", "mio marito", "mio zio", "di mio padre"}

// salutations open a letter.
var salutations = []string{"dear", "hi", "hello", "good morning", "good evening", "good afternoon", "hallo", "liebe", "lieber",
	"guten morgen", "gentile", "gentili", "egregio", "salve", "madame", "monsieur", "cher", "chers"}

// buyerSpeaks are words by which a greeting shows that it comes from somebody who looked at the watch to buy it.
var buyerSpeaks = []string{"he wants", "she wants", "they want", "he asks", "she asks", "the seller", "the owner", "i said",
	"i offered", "ive offered", "i have offered", "i paid", "cost me", "been to see it", "went to see it", "had a look at it",
	"looked at it", "my max", "id pay", "i would pay", "picked it up", "bought it"}

// byTheSeller reports whether the writer of a text sells the watch himself.
func (r *script) byTheSeller() bool {
	var typed []string
	for _, t := range tokens(r.runes) {
		typed = append(typed, t.norm)
	}
	text := " " + strings.Join(typed, " ") + " "
	buys := slices.ContainsFunc(buyerSpeaks, func(s string) bool { return strings.Contains(text, " "+s+" ") })
	opens := !buys && slices.ContainsFunc(salutations, func(s string) bool { return strings.HasPrefix(text, " "+s+" ") })
	return opens || slices.ContainsFunc(sellerSpeaks, func(s string) bool {
		return strings.Contains(text, " "+strings.ReplaceAll(s, "-", " - ")+" ")
	})
}

// asked claims the price that is asked: "asking 4,200 euros", "wants 5200 EUR for it".
func (r *reader) asked() {
	for i := range r.all {
		m, ok := r.sumAt(i)
		if !ok {
			m, ok = r.bareSum(i)
		}
		if !ok || r.used[m.first] || !m.high.IsZero() {
			continue
		}
		if first, ok := r.asksBefore(i); ok {
			if r.opt.Seller {
				first, m.last = r.clause(first, m.last)
			}
			r.propose(&evidence.Claim{About: "price", Text: r.words(first, m.last), From: "seller", Price: m.low},
				first, m.last, 0.9)
		}
	}
}

// bareSum is an amount without a currency in a seller's letter, where the letter names one elsewhere.
func (r *reader) bareSum(i int) (sum, bool) {
	const least = 100
	s := sum{first: i}
	if n, ok := r.numberEvent(i); ok && r.opt.Currency != "" && n.whole() && !isNumberWord(r.at0(i-1)) {
		text := n.digits()
		if r.at0(n.last+1) == "hundred" { // "fifty two hundred"
			text, n.last = text+"00", n.last+1
		}
		amount, err := money.Parse(text, r.opt.Currency)
		s.low, s.last = amount, n.last
		return s, err == nil && len(text) >= fewestOfPrice && len(text) <= mostOfPrice
	}
	if !r.opt.Seller || r.all[i].kind != figure || i > 0 && r.all[i-1].kind == figure {
		return s, false
	}
	text, next, ok := r.amountAt(i)
	if !ok || typedNumber(r.all, i).value() < least && r.at0(next-1) != "k" {
		return s, false
	}
	for j := range r.all {
		if cur := currencies[r.at0(j)]; cur != "" {
			amount, err := money.Parse(text, cur)
			s.low, s.last = amount, next-1
			return s, err == nil
		}
	}
	return s, false
}

// Figures that a price asked has.
const (
	fewestOfPrice = 3
	mostOfPrice   = 7
)

// asking are the words by which a sum is asked for.
var asking = map[string]bool{"asking": true, "asks": true, "ask": true, "asked": true, "wants": true, "want": true,
	"price": true, "like": true, "hope": true, "hoping": true, "get": true, "expect": true, "looking": true, "happy": true,
	"accept": true, "take": true, "stelle": true, "preisvorstellung": true, "vorstellung": true, "vb": true, "vhb": true,
	"verlange": true, "verlangen": true, "preis": true, "demande": true, "demandons": true, "souhaite": true, "prix": true,
	"chiedo": true, "chiediamo": true, "vorrei": true, "prezzo": true, "richiesta": true, "denke": true, "verlangt": true, "fordert": true, "moechte": true, "möchte": true,
	"chiede": true, "chiedono": true, "hopes": true, "hoped": true, "expects": true, "demandent": true}

// asksBefore is the word by which a sum is asked for, not far before it.
func (r *script) asksBefore(i int) (int, bool) {
	const back = 6
	for j := i - 1; j >= max(0, i-back) && !r.ends(j); j-- {
		if asking[r.at0(j)] || asking[folded(r.all[j].text)] {
			return j, true
		}
	}
	return 0, false
}

// topics are the matters of a letter beside parts and faults, with words that tell them.
var topics = []struct{ about, words string }{
	{"ownership", "bought purchased inherited owned owner owners left belonged estate gift given wedding birthday possession " +
		"family wore wear worn husband wife father mother grandfather aunt uncle gekauft geerbt erworben besitz nachlass geschenk " +
		"getragen erbe erbstueck acheté achetée hérité héritée offert offerte porté portée famille propriétaire cadeau succession " +
		"comprato comprata acquistato acquistata ereditato ereditata regalo indossato indossata famiglia proprietario eredità " +
		"besitzer vorbesitzer"},
	{"service", "serviced service repaired repair watchmaker jeweller overhauled cleaned revision opened uhrmacher juwelier " +
		"repariert reparatur revidiert gewartet überholt horloger révisée révisé révision réparée réparé orologiaio revisione " +
		"revisionato riparato riparata"},
	{"running", "runs running goes stops stopped ticking ticks works working keeps wind läuft geht steht fonctionne marche " +
		"arrête retarde avance funziona cammina ferma gira"},
	{"metal", "gold golden silver plated carat karat hallmark hallmarks stamped stamp vergoldet punze poinçon punzone"},
	{"original", "original genuine authentic untouched originale originali originaux unberührt"},
	{"year", "dates circa about century"},
}

// statements keeps as claims, in the seller's own words, what his letter says of the watch and nothing else was read of.
func (r *reader) statements() {
	for from := 0; from < len(r.all); {
		to := from
		for to+1 < len(r.all) && !r.ends(to) && !r.newStatement(to+1) {
			to++
		}
		r.statement(from, to)
		from = to + 1
	}
}

// newStatement reports whether another statement begins at a token: behind a comma, a dash or "and", with somebody or
// something new to speak of.
func (r *script) newStatement(i int) bool {
	before := r.at0(i - 1)
	if before != "," && before != "-" && before != "–" && before != "and" && before != "but" && before != "although" && before != ":" {
		return false
	}
	switch folded(r.all[i].text) {
	case "one", "two", "some", "both", "somebody", "someone", "i", "we", "he", "she", "it", "they", "the", "there", "my", "our", "his", "her", "as", "which", "also", "had", "was", "has",
		"ich", "wir", "er", "sie", "es", "der", "die", "das", "mein", "je", "nous", "il", "elle", "le", "la", "les", "mon", "ma",
		"lo", "mio", "mia", "non", "und", "aber", "geht", "läuft", "mais", "et":
		return true
	}
	return false
}

// statement claims the tokens of one statement, unless something was read of it or it says nothing of the watch.
func (r *reader) statement(from, to int) {
	const fewest = 3
	says := 0
	for i := from; i <= to; i++ {
		if r.used[i] && r.itemAt(i) {
			return
		}
		if k := r.all[i].kind; k == word || k == figure {
			says++
		}
	}
	about := r.aboutOf(from, to)
	if says < fewest || about == "" || r.asksYou(from, to) {
		return
	}
	for from < to && r.all[from].kind != word && r.all[from].kind != figure {
		from++
	}
	for to > from && r.all[to].kind != word && r.all[to].kind != figure {
		to--
	}
	r.propose(&evidence.Claim{About: about, Text: r.words(from, to), From: "seller"}, from, to, 0.6)
}

// itemAt reports whether a proposal stands on a token.
func (r *reader) itemAt(i int) bool {
	at := r.all[i].from
	return slices.ContainsFunc(r.out, func(it Item) bool { return it.From <= at && at < it.To })
}

// aboutOf is what a statement is about: a part named in it, or a matter; empty where it is neither.
func (r *reader) aboutOf(from, to int) string {
	part := ""
	for i := from; i <= to; i++ {
		if r.all[i].kind != word {
			continue
		}
		typed := strings.ToLower(r.all[i].text)
		for _, t := range topics {
			if words := strings.Fields(t.words); slices.Contains(words, r.all[i].norm) || slices.Contains(words, typed) {
				return t.about
			}
		}
		if k := r.at[i]; k >= 0 && part == "" {
			if slot, ok := r.slotOfEvent(r.ev[k]); ok {
				part = string(slot)
			}
		}
	}
	return part
}

// asksYou reports whether a statement is a question or a request to the reader.
func (r *script) asksYou(from, to int) bool {
	for i := from; i <= to; i++ {
		switch r.at0(i) {
		case "you", "your", "regards", "thank", "thanks", "sincerely", "faithfully", "dear":
			return true
		}
		switch strings.ToLower(r.all[i].text) {
		case "ihnen", "sehr", "grüßen", "vous", "votre", "cordialement", "saluti", "geehrte":
			return true
		}
	}
	return r.at0(to) == "?" || r.at0(to+1) == "?"
}
