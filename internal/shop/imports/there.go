package imports

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"midcase/internal/shop"
	"midcase/internal/shop/trade"
	"midcase/money"
	"midcase/say"
	"midcase/tables"
)

// AskThere is the question what holds where a list says something else of a watch than the shop does. AskThere, a dot
// and the line, as in there.12, answers it for one row.
const AskThere = "there"

// What AskThere is answered with; their first words are enough.
const (
	keepOurs   = "keep the shop's"
	takeTheirs = "take the file's"
)

// ThereChoices are the answers to AskThere.
func ThereChoices() []string { return []string{keepOurs, takeTheirs} }

// takes reports what an answer to AskThere says; ok is false where it says neither.
func takes(answer string) (theirs, ok bool) {
	switch strings.ToLower(strings.TrimSpace(answer)) {
	case keepOurs, "keep":
		return false, true
	case takeTheirs, "take":
		return true, true
	}
	return false, false
}

// checkThere refuses an answer to AskThere that is none.
func checkThere(answers map[string]string) error {
	for id, answer := range answers {
		line, ofRow := strings.CutPrefix(id, AskThere+".")
		if id != AskThere && !ofRow {
			continue
		}
		if _, err := strconv.Atoi(line); ofRow && err != nil {
			return fmt.Errorf("answer %s: use the line, such as there.12=take", id)
		}
		if _, ok := takes(answer); !ok {
			return fmt.Errorf("answer %s=%s: use %s or %s", id, answer, keepOurs, takeTheirs)
		}
	}
	return nil
}

// inShop knows the watches of the shop again in a list.
type inShop map[string][]shop.Watch

func watchesOf(all []shop.Watch) inShop {
	out := inShop{}
	for _, w := range all {
		for _, key := range identities(w) {
			out[key] = append(out[key], w)
		}
	}
	return out
}

// take finds the watch that a row is about by one of its keys, and lets no other row be about it.
func (in inShop) take(key string) (shop.Watch, bool) {
	all := in[key]
	if key == "" || len(all) == 0 {
		return shop.Watch{}, false
	}
	w := all[0]
	for _, k := range identities(w) {
		for i, x := range in[k] {
			if x.ID == w.ID {
				in[k] = append(in[k][:i:i], in[k][i+1:]...)
				break
			}
		}
	}
	return w, true
}

// match finds for each row the watch of the shop that it is about: first those that say the same of it in all, so
// that of two alike none is taken for the other.
func (in inShop) match(rows []shop.Watch) []*shop.Watch {
	out := make([]*shop.Watch, len(rows))
	for pass := range 2 {
		for i, w := range rows {
			keys := identities(w)
			if out[i] != nil || pass >= len(keys) {
				continue
			}
			if old, ok := in.take(keys[pass]); ok {
				out[i] = &old
			}
		}
	}
	return out
}

// identities are what a watch is known again by: its serial number, else all that a list says of its buying and what is
// asked for it, else the same with another price asked.
func identities(w shop.Watch) []string {
	name := strings.ToLower(w.Maker + "|" + w.Reference)
	if w.Serial != "" {
		return []string{name + "|no|" + strings.ToLower(w.Serial)}
	}
	bought := name + "|" + w.Acquired.String() + "|" + w.Cost.String()
	out := []string{bought + "|" + w.Asking.String()}
	if !w.Acquired.IsZero() && !w.Cost.IsZero() {
		out = append(out, bought)
	}
	return out
}

// difference is what a row says of a watch that the shop says otherwise.
type difference struct {
	field, found string
	says         say.Statement
	file         money.Money
	to           shop.State
}

// told is the difference as a person reads it.
func (d difference) told(w shop.Watch) string {
	return say.That("bringing.there", say.Count("number", w.Number), say.Name("title", w.Title),
		say.Saying("otherwise", d.says)).String()
}

// same reports whether two amounts are the same, however many noughts they were written with.
func same(a, b money.Money) bool {
	return a.IsZero() && b.IsZero() || a.String() == b.String()
}

func stateNamed(s shop.State) string {
	if s == shop.Bought {
		return "in stock"
	}
	return strings.ReplaceAll(string(s), "_", " ")
}

// differences are what a row says otherwise than the shop. A watch that is listed is in stock, too.
func differences(old, w shop.Watch, row tables.Row) []difference {
	var out []difference
	plain := row.Plain()
	asked := old.Asking
	if old.State == shop.Offered {
		asked = old.Asked
	}
	if !same(w.Asking, asked) && !w.Asking.IsZero() {
		says := say.That("bringing.no-asking", say.Money("file", w.Asking))
		if !asked.IsZero() {
			says = say.That("bringing.other-asking", say.Money("file", w.Asking), say.Money("ours", asked))
		}
		out = append(out, difference{field: "asking", found: plain["asking"], says: says, file: w.Asking})
	}
	if !same(w.Cost, old.Cost) && !w.Cost.IsZero() {
		says := say.That("bringing.no-cost", say.Money("file", w.Cost))
		if !old.Cost.IsZero() {
			says = say.That("bringing.other-cost", say.Money("file", w.Cost), say.Money("ours", old.Cost))
		}
		out = append(out, difference{field: "cost", found: plain["cost"], says: says})
	}
	inStock := w.State == shop.Bought && slices.Contains([]shop.State{shop.Listed, shop.Photographed, shop.Returned,
		shop.PartShare}, old.State)
	if row.Fields["state"] != nil && w.State != old.State && !inStock {
		out = append(out, difference{field: "state", found: string(w.State), to: w.State,
			says: say.That("bringing.other-state", say.Name("file", stateNamed(w.State)),
				say.Name("ours", stateNamed(old.State)))})
	}
	return out
}

// there deals with a row whose watch is in the shop: it is settled where both say the same or somebody said what
// holds, and waits otherwise.
func (p *planned) there(ctx context.Context, old, w shop.Watch, row tables.Row) error {
	all := differences(old, w, row)
	theirs, answered := takes(p.file.Answers[AskThere+"."+strconv.Itoa(row.Line)])
	if !answered {
		theirs, answered = takes(p.file.Answers[AskThere])
	}
	if len(all) == 0 || answered && !theirs || !answered && p.again {
		p.batch.Repeated++
		p.settled[row.Line] = true
		return nil
	}
	if !answered {
		for _, d := range all {
			p.batch.KeptOut = append(p.batch.KeptOut, shop.OutRow{Line: row.Line, Field: d.field, Found: d.found,
				Reason: d.told(old), Waits: true, There: true})
		}
		p.thereLines = append(p.thereLines, row.Line)
		return nil
	}
	p.settled[row.Line] = true
	return p.change(ctx, old, all, row.Line)
}

// change makes the record of a watch say what the file says, as far as no money is booked with it.
func (p *planned) change(ctx context.Context, old shop.Watch, all []difference, line int) error {
	w := old
	for _, d := range all {
		switch {
		case d.field == "asking" && old.State != shop.Offered:
			w.Asking = d.file
		case d.field == "state" && trade.ByHand(old, d.to):
			w.State = d.to
		default:
			p.says(line, "%s. It is booked: change it on the page of the watch.", d.told(old))
		}
	}
	if w == old {
		p.batch.Repeated++
		return nil
	}
	by := p.by
	if by == "" {
		by = "preview"
	}
	step, err := p.trade.RecordStep(ctx, w, by, p.where(line))
	if err != nil {
		return fmt.Errorf("import %s: line %d: %w", p.file.Name, line, err)
	}
	p.step.Watches = append(p.step.Watches, step.Watches...)
	p.step.Movements = append(p.step.Movements, step.Movements...)
	p.batch.Changed = append(p.batch.Changed, shop.WatchChange{Watch: w.ID, Asking: w.Asking, AskingBefore: old.Asking,
		State: w.State, StateBefore: old.State})
	return nil
}

// askThere asks about the rows whose watches the shop has otherwise.
func (p *planned) askThere() {
	n := len(p.thereLines)
	if n == 0 {
		return
	}
	about := strconv.Itoa(n) + " watches are in the shop already, with another price or state"
	if n == 1 {
		about = "1 watch is in the shop already, with another price or state"
	}
	p.reading.Questions = append(p.reading.Questions, tables.Question{ID: AskThere,
		About: about + ", see below: which holds?", Choices: []string{keepOurs, takeTheirs}, Lines: p.thereLines})
}

// broughtBefore reports whether this very file was brought in before, and not taken back: what the shop says otherwise
// since then is news that the file does not have.
func (p *planned) broughtBefore(ctx context.Context) (bool, error) {
	all, err := p.Batches(ctx)
	if err != nil {
		return false, err
	}
	for _, b := range all {
		if b.SHA256 == p.batch.SHA256 && b.As == p.batch.As && b.Undone == nil {
			return true, nil
		}
	}
	return false, nil
}
