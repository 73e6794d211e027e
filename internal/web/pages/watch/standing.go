package watch

import (
	"context"
	"fmt"
	"slices"
	"time"

	"github.com/a-h/templ"

	"midcase/internal/shop"
	"midcase/internal/shop/rights"
	"midcase/internal/shop/trade"
	"midcase/internal/web/pages/wording"
	"midcase/money"
	"midcase/opinion"
)

// Standing is how a watch stands in the shop today, as whoever asks may see it.
type Standing struct {
	Life  trade.Life
	Names map[string]string // of those who have to do with it, by id
	Today string
}

func (s *Standing) name(id string) string {
	if n := s.Names[id]; n != "" {
		return n
	}
	if s.Names == nil {
		return ""
	}
	return id
}

// standing are the figures that the state of the watch asks for, the first ones first.
func standing(ctx context.Context, d Data) []fact {
	if d.Standing == nil {
		return nil
	}
	var out []fact
	add := func(name, value, reach string) {
		if value != "" {
			out = append(out, fact{name, value, reach})
		}
	}
	w := d.Watch
	switch w.State {
	case shop.Offered:
		d.offered(ctx, add)
	case shop.Sold:
		d.sold(ctx, add)
	case shop.Reserved:
		add("Reserved for", d.Standing.name(w.Client), "")
		add("Until", dueDay(ctx, w), "")
		d.owned(ctx, add)
	case shop.OnMemo:
		add("On memo with", d.Standing.name(holder(w)), "")
		add("Due back", dueDay(ctx, w), "")
		d.owned(ctx, add)
	default:
		if w.Ownership() == shop.OfOthers {
			d.consigned(ctx, add)
		}
		d.owned(ctx, add)
	}
	return out
}

func holder(w shop.Watch) string {
	if w.Holder != "" {
		return w.Holder
	}
	return w.Client
}

func dueDay(ctx context.Context, w shop.Watch) string {
	if w.Due.IsZero() {
		return "no day agreed"
	}
	return wording.Day(ctx, w.Due.String())
}

type adding func(name, value, reach string)

// offered says what to pay at most. Figures of the opinion are left out of it for those who may not see them.
func (d Data) offered(ctx context.Context, add adding) {
	if p := d.Opinion.Deal.HighestPrice; p != nil {
		add("Pay at most", wording.About(ctx, *p), "")
	} else if rights.May(ctx, rights.Cost) {
		add("Pay at most", "cannot tell yet", "")
	}
	if !d.Watch.Asked.IsZero() {
		add("Asked of us", wording.Money(ctx, d.Watch.Asked), "")
	}
	if rights.May(ctx, rights.Clients) {
		add("Offered by", d.Standing.name(d.Watch.Client), "")
	}
}

// owned says what is asked, below which price money is lost, and for how long it has been here.
func (d Data) owned(ctx context.Context, add adding) {
	ask := "no price yet"
	if !d.Watch.Asking.IsZero() {
		ask = wording.Money(ctx, d.Watch.Asking)
	}
	add("We ask", ask, "")
	if floor := d.floor(); floor.Sign() > 0 && d.Watch.Ownership() != shop.OfOthers {
		add("Floor", wording.Money(ctx, floor), "what it has cost so far")
	}
	if n, ok := d.days(d.Standing.Today); ok {
		add("In stock", daysWords(n), "")
	}
}

// floor is what the watch has cost so far with the fees of selling it, by the ledger, else by its record.
func (d Data) floor() money.Money {
	l := d.Standing.Life
	if !l.Known || l.CostSoFar.IsZero() {
		return d.Watch.Cost
	}
	sum, err := l.CostSoFar.Add(l.Fees)
	if err != nil {
		return l.CostSoFar
	}
	return sum
}

// consigned says whose it is, what the owner gets at least, and until when it is here.
func (d Data) consigned(ctx context.Context, add adding) {
	c := d.Standing.Life.Holding.Consign
	owner := d.Watch.Client
	if c != nil {
		owner = c.Party
	}
	add("Owner", d.Standing.name(owner), "")
	switch {
	case c == nil:
	case c.Net.Sign() > 0:
		add("The owner gets", wording.Money(ctx, c.Net), "")
	default:
		add("Agreed value", wording.Money(ctx, c.Value), "")
	}
	if !d.Watch.Due.IsZero() {
		add("Until", dueDay(ctx, d.Watch), "")
	}
}

// sold says what it brought. Profit and tax are left out of the life for those who may not see costs.
func (d Data) sold(ctx context.Context, add adding) {
	l := d.Standing.Life
	day := ""
	if h := l.Holding.Sale; h != nil && h.Goods != nil {
		add("Sold for", wording.Money(ctx, h.Goods.Original), "")
		day = h.Day
	}
	if l.Known && l.Holding.Sale != nil {
		add("Profit", wording.Money(ctx, l.Profit), "")
	}
	if day == "" {
		day = l.Where.Since
	}
	if n, ok := d.days(day); ok {
		add("Sold after", daysWords(n), "")
	}
}

// days counts the days from when the watch came in to a day.
func (d Data) days(to string) (int, bool) {
	from, ok := d.Watch.Acquired.First()
	if b := d.Standing.Life.Holding.Bought; b != "" {
		if t, err := time.Parse(time.DateOnly, b); err == nil {
			from, ok = t, true
		}
	}
	if !ok {
		from = shop.DayOf(d.Watch.Created)
	}
	end, err := time.Parse(time.DateOnly, to)
	if err != nil || end.Before(from) {
		return 0, false
	}
	return int(end.Sub(from).Hours() / 24), true
}

func daysWords(n int) string {
	if n == 1 {
		return "1 day"
	}
	return fmt.Sprintf("%d days", n)
}

// act is a way on from the head of the file.
type act struct {
	name, to, key string
	right         rights.Right
}

// clauses are those of the sentence at the head: what to pay is asked of what is offered alone.
func clauses(d Data) []opinion.Clause {
	all := d.Opinion.Summary.Clauses
	if d.Standing == nil || d.Watch.State == shop.Offered {
		return all
	}
	return slices.DeleteFunc(slices.Clone(all), func(c opinion.Clause) bool { return c.Section == "deal" })
}

// acts are the ways on: those that the state of the watch asks for, and the rest.
func acts(ctx context.Context, d Data) (first, more []act) {
	all := everyAct(d)
	used := map[string]bool{}
	for _, name := range wanted(d.Watch) {
		if a := all[name]; len(first) < 3 && rights.May(ctx, a.right) {
			first, used[a.to] = append(first, a), true
		}
	}
	for _, name := range actOrder {
		if a := all[name]; !used[a.to] && rights.May(ctx, a.right) {
			more = append(more, a)
		}
	}
	return first, more
}

// keyed is the key of a way that has one.
func keyed(a act) templ.Attributes {
	if a.key == "" {
		return nil
	}
	return templ.Attributes{"accesskey": a.key}
}

// wanted are the next steps by the state, the likeliest first.
func wanted(w shop.Watch) []string {
	switch w.State {
	case shop.Offered:
		return []string{"inspect", "deal", "buy", "report"}
	case shop.Listed:
		return []string{"sell", "reserve", "show", "matches", "listing", "inspect"}
	case shop.Reserved:
		return []string{"sell", "life", "listing", "inspect"}
	case shop.OnMemo:
		return []string{"back", "sell", "listing", "inspect"}
	case shop.Sold, shop.Returned:
		return []string{"papers", "life", "report"}
	case shop.Photographed:
		return []string{"list", "deal", "listing", "inspect"}
	}
	return []string{"inspect", "deal", "life", "listing"}
}

// actOrder is the order of the rest.
var actOrder = []string{"inspect", "notes", "record", "ear", "deal", "change", "life", "matches", "papers", "compare",
	"report", "listing", "show", "links", "markdown", "json"}

func everyAct(d Data) map[string]act {
	to, day := base(d), asOfQuery(d)
	return map[string]act{
		"inspect":  {"Inspect", to + "/sheet", "i", rights.Record},
		"notes":    {"Notes", to + "/notes", "n", rights.Record},
		"record":   {"Add evidence by a form", to + "/record", "", rights.Record},
		"ear":      {"Listen to the movement", to + "/ear", "", rights.See},
		"deal":     {"What to pay, what to ask", to + "/deal", "", rights.Cost},
		"change":   {"Change state or price", to + "/change", "", rights.Record},
		"life":     {"Status and accounts", to + "/life", "", rights.Trade},
		"buy":      {"Buy, consign or decline", to + "/life", "", rights.Trade},
		"sell":     {"Sell", to + "/life?act=sell#next", "", rights.Trade},
		"reserve":  {"Reserve", to + "/life?act=reserve#next", "", rights.Trade},
		"back":     {"Back from memo", to + "/life#next", "", rights.Trade},
		"list":     {"List it for sale", to + "/life?act=listed#next", "", rights.Trade},
		"matches":  {"Who wants it", to + "/matches", "", rights.Clients},
		"papers":   {"Papers", "/documents?watch=" + string(d.Watch.ID), "", rights.Papers},
		"compare":  {"Side by side", "/compare?a=" + string(d.Watch.ID), "", rights.See},
		"report":   {"Report (PDF)", to + "/report.pdf" + day, "", rights.See},
		"show":     {"Show to a client", to + "/show", "", rights.See},
		"links":    {"Private link to a client", to + "/links", "", rights.Clients},
		"listing":  {"Listing", to + "/listing" + day, "", rights.See},
		"markdown": {"Report as Markdown", to + "/report.md" + day, "", rights.See},
		"json":     {"Opinion as JSON", "/api" + to + "/opinion" + day, "", rights.See},
	}
}
