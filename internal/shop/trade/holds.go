package trade

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/money"
)

// Holds lists what stands against selling the watch on a day, by the shop's local
// rules, and what to think of when it is sent.
func (r *Room) Holds(ctx context.Context, id shop.WatchID, day time.Time) ([]shop.Hold, error) {
	w, err := r.stores.Watches.Watch(ctx, id)
	if err != nil {
		return nil, fmt.Errorf("holds: %w", err)
	}
	rules, err := r.Rules(ctx)
	if err != nil {
		return nil, err
	}
	log, err := r.shop.Log(ctx, id)
	if err != nil {
		return nil, fmt.Errorf("holds: %w", err)
	}
	var out []shop.Hold
	out = append(out, HoldDays(w, rules, day)...)
	seller, err := r.sellerHolds(ctx, w, rules)
	if err != nil {
		return nil, err
	}
	out = append(out, seller...)
	known := r.shop.Now() // what was recorded since counts, also for a sale entered late
	if day.After(known) {
		known = day
	}
	file := evidence.Fold(log, known)
	out = append(out, statementHold(file, w, rules)...)
	out = append(out, registerHold(file, w, rules, day)...)
	return append(out, sendingNotes(file, rules)...), nil
}

// blocking are the holds that stand in the way of a sale.
func blocking(all []shop.Hold) []shop.Hold {
	var out []shop.Hold
	for _, h := range all {
		if h.Blocks {
			out = append(out, h)
		}
	}
	return out
}

func HoldDays(w shop.Watch, rules LocalRules, day time.Time) []shop.Hold {
	if rules.HoldDays == 0 || w.Ownership() == shop.OfOthers || w.Ownership() == "" {
		return nil
	}
	if w.Acquired.IsZero() {
		return []shop.Hold{{Rule: "days to hold", Why: "the day on which the watch was bought is not on record",
			Blocks: true}}
	}
	last, ok := w.Acquired.Last()
	if !ok {
		return []shop.Hold{{Rule: "days to hold", Why: fmt.Sprintf("bought %s, which has no end to count from",
			w.Acquired), Blocks: true}}
	}
	until := shop.DayOf(last).AddDate(0, 0, rules.HoldDays)
	if !shop.DayOf(day).Before(until) {
		return nil
	}
	return []shop.Hold{{Rule: "days to hold",
		Why: fmt.Sprintf("bought %s; it must be held %d days, so not sold before %s", w.Acquired, rules.HoldDays,
			until.Format(time.DateOnly)),
		Until: shop.DateOf(until), Blocks: true}}
}

func (r *Room) sellerHolds(ctx context.Context, w shop.Watch, rules LocalRules) ([]shop.Hold, error) {
	if !rules.Identity || w.Ownership() == "" {
		return nil, nil
	}
	seller, err := r.sellerOf(ctx, w)
	if err != nil {
		return nil, err
	}
	if seller == "" {
		return []shop.Hold{{Rule: "identity", Why: "it is not on record from whom the watch came", Blocks: true}}, nil
	}
	c, err := r.stores.Clients.Client(ctx, seller)
	if err != nil {
		return nil, fmt.Errorf("holds: seller: %w", err)
	}
	if c.Identity == nil && c.Erased.IsZero() && c.Kind != "dealer" && c.Kind != "firm" {
		return []shop.Hold{{Rule: "identity",
			Why: "the identity of the person from whom the watch came is not on record", Blocks: true}}, nil
	}
	return nil, nil
}

// sellerOf is the client from whom the watch came: by the movements, else by the record.
func (r *Room) sellerOf(ctx context.Context, w shop.Watch) (string, error) {
	moves, err := r.History(ctx, w.ID)
	if err != nil {
		return "", err
	}
	seller := ""
	for _, m := range shop.Effective(moves) {
		if m.From == shop.Offered && m.Person != "" {
			seller = m.Person
		}
	}
	if seller == "" && w.State != shop.Sold && w.State != shop.OnMemo && w.State != shop.Reserved {
		seller = w.Client
	}
	return seller, nil
}

func statementHold(file evidence.File, w shop.Watch, rules LocalRules) []shop.Hold {
	if !rules.Statement || w.Ownership() == "" {
		return nil
	}
	for _, d := range evidence.All[*evidence.Document](file) {
		if strings.Contains(strings.ToLower(d.Data.Text), "statement of ownership") {
			return nil
		}
	}
	return []shop.Hold{{Rule: "statement",
		Why: "no statement of ownership is on record (add a document with these words)", Blocks: true}}
}

func registerHold(file evidence.File, w shop.Watch, rules LocalRules, day time.Time) []shop.Hold {
	var last *evidence.Check
	for _, c := range evidence.All[*evidence.Check](file) {
		if c.Data.Result == "match" {
			return []shop.Hold{{Rule: "register", Why: fmt.Sprintf("%s answered on %s that the watch is listed; ask the register and the police before anything else", c.Data.Register, c.Data.Date), Blocks: true}}
		}
		if c.Data.Result == "clear" {
			last = c.Data
		}
	}
	if rules.RegisterDays == 0 || w.Ownership() == "" {
		return nil
	}
	if last == nil {
		return []shop.Hold{{Rule: "register",
			Why: "no clear look-up in a register of lost and stolen watches is on record", Blocks: true}}
	}
	if asked, ok := last.Date.Last(); !ok ||
		shop.DayOf(day).Sub(shop.DayOf(asked)) > time.Duration(rules.RegisterDays)*24*time.Hour {
		return []shop.Hold{{Rule: "register",
			Why: fmt.Sprintf("the last look-up is of %s; it must not be older than %d days", last.Date,
				rules.RegisterDays), Blocks: true}}
	}
	return nil
}

// sendingNotes are what to think of when the watch is sent across a border. They look
// for words in the evidence, so that they miss what was never written down.
func sendingNotes(file evidence.File, rules LocalRules) []shop.Hold {
	text := strings.ToLower(wordsOf(file))
	var out []shop.Hold
	if rules.Straps != "" && holdsAny(text, "crocod", "alligator", "caiman", "exotic", "lizard", "ostrich", "python") {
		out = append(out, shop.Hold{Rule: "straps", Why: rules.Straps})
	}
	if rules.Lume != "" && holdsAny(text, "radium", "tritium", "promethium", "lume", "luminous") {
		out = append(out, shop.Hold{Rule: "lume", Why: rules.Lume})
	}
	if len(rules.Headings) > 0 {
		var all []string
		for _, h := range rules.Headings {
			all = append(all, h.Heading+": "+h.When)
		}
		out = append(out, shop.Hold{Rule: "customs", Why: strings.Join(all, "; ")})
	}
	return out
}

func wordsOf(file evidence.File) string {
	var b strings.Builder
	for _, it := range file.Items {
		b.WriteString(it.Note + "\n")
		switch d := it.Data.(type) {
		case *evidence.Fitted:
			b.WriteString(d.Variant + " " + d.Description + "\n")
		case *evidence.Finding:
			b.WriteString(d.Term + " " + d.Note + "\n")
		case *evidence.Mark:
			b.WriteString(d.Text + "\n")
		case *evidence.Document:
			b.WriteString(d.Text + "\n")
		case *evidence.Claim:
			b.WriteString(d.Text + "\n")
		}
	}
	return b.String()
}

func holdsAny(text string, words ...string) bool {
	for _, w := range words {
		if strings.Contains(text, w) {
			return true
		}
	}
	return false
}

// cashHold says whether cash of this client, with what was paid before within the
// months that count together, goes over the limit.
func (r *Room) cashHold(ctx context.Context, rules LocalRules, party, day string, now money.Money) ([]shop.Hold,
	error) {
	limit := rules.CashLimit
	if limit.IsZero() || now.IsZero() {
		return nil, nil
	}
	if now.Currency() != limit.Currency() {
		return []shop.Hold{{Rule: "cash",
			Why: fmt.Sprintf("cash of %s; the limit is %s: reckon it at the day's rate and check", now, limit)}}, nil
	}
	on, err := time.Parse(time.DateOnly, day)
	if err != nil {
		return nil, shop.Refuse("cash", "day", day, "a day such as 2026-03-01")
	}
	from := on.AddDate(0, -rules.CashMonths, 0).Format(time.DateOnly)
	sum := now
	entries, err := r.shop.Entries(ctx, shop.EntryFilter{Party: party})
	if err != nil {
		return nil, err
	}
	for _, e := range entries {
		if e.Day < from || e.Day > day || e.Party != party {
			continue
		}
		for _, l := range e.Lines {
			if l.Account != ledger.Cash || l.Amount.Currency() != limit.Currency() {
				continue
			}
			m := l.Amount
			if m.Sign() < 0 {
				m = m.Neg()
			}
			if sum, err = sum.Add(m); err != nil {
				return nil, err
			}
		}
	}
	if sum.Decimal().Cmp(limit.Decimal()) <= 0 {
		return nil, nil
	}
	return []shop.Hold{{Rule: "cash",
		Why: fmt.Sprintf("cash of this client within %d months comes to %s; the limit is %s", rules.CashMonths, sum,
			limit), Blocks: true}}, nil
}

// promised are the promises of a watch to clients other than one that hold on a day.
func (r *Room) PromisedToOthers(ctx context.Context, watch shop.WatchID, but string, day time.Time) ([]shop.Hold,
	error) {
	all, err := r.stores.Steps.Showings(ctx, shop.ShowingFilter{Watch: watch})
	if err != nil {
		return nil, err
	}
	open := map[string]shop.Showing{}
	for _, v := range all {
		switch v.Kind {
		case shop.Promised:
			open[v.Client] = v
		case shop.Declined, shop.Withdrawn:
			delete(open, v.Client)
		}
	}
	var out []shop.Hold
	for client, v := range open {
		if last, ok := v.Until.Last(); client != but && (!ok || !shop.DayOf(day).After(shop.DayOf(last))) {
			out = append(out, shop.Hold{Rule: "promise",
				Why: fmt.Sprintf("client %s was promised the first refusal until %s", client,
					v.Until), Until: v.Until, Blocks: true})
		}
	}
	slices.SortFunc(out, func(a, b shop.Hold) int { return strings.Compare(a.Why, b.Why) })
	return out, nil
}
