package life

import (
	"context"
	"fmt"
	"strings"

	"midcase/internal/shop"
	"midcase/internal/shop/rights"
	"midcase/internal/shop/trade"
	"midcase/internal/web/pages/wording"
	"midcase/say"
)

// name is who an id stands for; what is no client's id stands for itself.
func name(d Data, id string) string {
	if n, ok := d.Names[id]; ok {
		if n == "" {
			return id + " (data erased)"
		}
		return n
	}
	return id
}

// standing says in a sentence where the watch is.
func standing(ctx context.Context, d Data) string {
	x := d.Life.Where
	says := say.Capital(wording.State(x.State))
	if x.Since != "" {
		says += " since " + wording.Day(ctx, x.Since)
	}
	if x.Place != "" {
		says += ", " + x.Place
	}
	if x.Holder != "" {
		says += ", in the hands of " + name(d, x.Holder)
	}
	if !x.Due.IsZero() {
		says += map[shop.State]string{shop.Reserved: ", until ", shop.Sold: ", "}[x.State]
		if x.State != shop.Reserved {
			says += ", due back "
		}
		says += wording.Day(ctx, x.Due.String())
	}
	return says + "."
}

// account says on whose account the watch is held.
func account(ctx context.Context, d Data) string {
	h := d.Life.Holding
	switch d.Life.Where.Owned {
	case shop.Own:
		return "the shop's own"
	case shop.OfOthers:
		if h.Consign != nil {
			says := "on consignment of " + name(d, h.Consign.Party)
			if h.Consign.Net.Sign() > 0 {
				return says + ", who gets " + wording.Money(ctx, h.Consign.Net)
			}
			return says + ", commission " + percent(ctx, h.Consign.Commission.String())
		}
		return "on consignment"
	case shop.InPartner:
		var with []string
		for _, s := range h.Stakes {
			with = append(with, fmt.Sprintf("%s (%s)", name(d, s.Party), percent(ctx, s.Share.String())))
		}
		if len(with) == 0 {
			return "shared with partners"
		}
		says := "shared with " + strings.Join(with, ", ")
		if h.Leader != "" {
			says += "; " + name(d, h.Leader) + " paid and sells"
		}
		return says
	}
	if d.Life.Watch.State == shop.Offered {
		return "not the shop's"
	}
	return "the shop's no more"
}

func percent(ctx context.Context, share string) string {
	var f float64
	if _, err := fmt.Sscan(share, &f); err != nil {
		return share
	}
	return wording.Rate(ctx, f)
}

// intoState says how a watch came into a state whose name alone would not say it.
var intoState = map[shop.State]string{shop.Consigned: "On consignment", shop.PartShare: "Bought with partners",
	shop.AtWorkshop: "To the watchmaker", shop.OnMemo: "Out on memo"}

// stepWords is a step in words.
func stepWords(d Data, m shop.Movement) string {
	switch {
	case m.Undoes != "":
		return "Undone: back to " + wording.State(m.To)
	case m.From == "":
		return "Taken in as " + wording.State(m.To)
	case m.From == m.To && m.Note != "":
		return say.Capital(m.Note)
	case m.From == m.To:
		return "Stays " + wording.State(m.To)
	case m.From == shop.Reserved && m.To == shop.Listed:
		return "Reservation ended, listed again"
	case m.From != shop.Offered && (m.To == shop.Bought || m.To == shop.Consigned || m.To == shop.PartShare):
		return "Returned to stock"
	case m.To == shop.Sold && m.From == shop.OnMemo:
		return "Sold by the holder"
	}
	if says, ok := intoState[m.To]; ok {
		return says
	}
	return say.Capital(wording.State(m.To))
}

// details are what else a step says.
func details(ctx context.Context, d Data, m shop.Movement) string {
	var out []string
	add := func(label, text string) {
		if text != "" {
			out = append(out, label+text)
		}
	}
	if m.Person != "" {
		add("", name(d, m.Person))
	}
	add("at ", m.Place)
	if m.Holder != "" && m.Holder != m.Person {
		add("with ", name(d, m.Holder))
	}
	if !m.Due.IsZero() {
		add("until ", wording.Day(ctx, m.Due.String()))
	}
	if m.From != m.To && m.From != "" {
		add("", m.Note)
	}
	for _, k := range m.Removed {
		add("into the bag: ", strings.TrimSpace(k.Slot.Name()+" "+k.What))
	}
	for _, k := range m.PutBack {
		add("back from the bag: ", strings.TrimSpace(k.Slot.Name()+" "+k.What))
	}
	for _, h := range m.Ignored {
		add("against the hold “"+h.Rule+"”: ", m.Reason)
	}
	if len(m.Ignored) == 0 {
		add("reason: ", m.Reason)
	}
	return strings.Join(out, "; ")
}

func base(d Data) string { return "/watches/" + string(d.Life.Watch.ID) }

// remedy is where a hold can be settled.
func remedy(d Data, h shop.Hold) (path, text string) {
	switch h.Rule {
	case "statement":
		return base(d) + "/record?kind=document", "Add the statement"
	case "register":
		return base(d) + "/record?kind=check", "Record a look-up"
	case "identity":
		return "/clients", "To the clients"
	case "days to hold":
		return "/settings/shop", "The rule"
	}
	return "", ""
}

func split(all []shop.Hold) (blocking, notes []shop.Hold) {
	for _, h := range all {
		if h.Blocks {
			blocking = append(blocking, h)
		} else {
			notes = append(notes, h)
		}
	}
	return blocking, notes
}

// against says in a clause whether anything stands against a sale.
func against(d Data) string {
	blocking, _ := split(d.Life.Holds)
	switch {
	case d.Life.Watch.State == shop.Sold || d.Life.Where.Owned == "":
		return ""
	case len(blocking) == 0:
		return "Nothing on record prevents a sale."
	case len(blocking) == 1:
		return "One thing to settle before a sale."
	}
	return fmt.Sprintf("%d things to settle before a sale.", len(blocking))
}

type row struct{ name, value string }

// moneyRows are what the watch has cost and brought.
func moneyRows(ctx context.Context, d Data) []row {
	l := d.Life
	var out []row
	if l.Holding.Purchase.Sign() > 0 {
		paid := "Price paid"
		if len(l.Holding.Stakes) > 0 {
			paid = "Price of the whole watch"
		}
		out = append(out, row{paid, wording.Money(ctx, l.Holding.Purchase)})
	}
	if l.Holding.Owned() && rights.May(ctx, rights.Cost) {
		cost := "Cost so far, work included"
		if len(l.Holding.Stakes) > 0 {
			cost = "Own part of the cost so far"
		}
		out = append(out, row{cost, wording.Money(ctx, l.CostSoFar)})
	}
	if l.Holding.Consign != nil {
		out = append(out, row{"Agreed value", wording.Money(ctx, l.Holding.Consign.Value)})
	}
	if l.Fees.Sign() != 0 {
		out = append(out, row{"Fees of selling so far", wording.Money(ctx, l.Fees)})
	}
	for _, x := range l.Holding.Deposits {
		out = append(out, row{"Deposit of " + name(d, x.Party), wording.Money(ctx, x.Amount)})
	}
	if !l.Watch.Asking.IsZero() && l.Watch.State != shop.Sold {
		out = append(out, row{"We ask", wording.Money(ctx, l.Watch.Asking)})
	}
	if l.Holding.Sale != nil && l.Holding.Sale.Goods != nil {
		g := l.Holding.Sale.Goods
		out = append(out, row{"Sold for", wording.Money(ctx, g.Original)})
		if l.Owed.Sign() > 0 {
			out = append(out, row{"Still owed", wording.Money(ctx, l.Owed)})
		}
		if rights.May(ctx, rights.Cost) { // the tax on a margin tells the margin
			out = append(out, row{"Tax on it", wording.Money(ctx, g.Tax)}, row{"Profit", wording.Money(ctx, l.Profit)})
		}
	}
	return out
}

// payingWords says how far a plan of instalments was kept.
func payingWords(ctx context.Context, l trade.Life) string {
	p := l.Paying
	if p.Next == "" || l.Owed.Sign() <= 0 {
		return "Paid off."
	}
	out := fmt.Sprintf("Paid so far: %s. Next: %s on %s.", wording.Money(ctx, p.Paid), wording.Money(ctx, p.Due),
		wording.Day(ctx, p.Next))
	if p.Overdue.Sign() > 0 {
		out += fmt.Sprintf(" Overdue since %s: %s.", wording.Day(ctx, p.Since), wording.Money(ctx, p.Overdue))
	}
	return out
}
