package papers

import (
	"strings"

	"midcase/evidence"
	"midcase/internal/document"
	"midcase/money"
	"midcase/opinion"
)

// leaving is what the papers of a watch that leaves the house take from its opinion.
type leaving struct {
	o    opinion.Opinion
	file evidence.File
}

func (g gathered) leaving() (leaving, error) {
	o, file, err := g.s.OpinionOn(g.ctx, g.watch.ID, g.s.Now(), opinion.Settings{})
	return leaving{o, file}, err
}

// lume is what the opinion cautions of luminous paint; empty where it says nothing.
func (l leaving) lume() string {
	for _, c := range l.o.Cautions {
		if c.Kind == "caution.radium" || c.Kind == "caution.tritium" {
			return c.String()
		}
	}
	return ""
}

// workOrder says what is to be done: the work that is on record as needed, and the reason of the step.
func (g gathered) workOrder() (document.Slip, money.Money, error) {
	l, err := g.leaving()
	if err != nil {
		return nil, money.Money{}, err
	}
	g.goods.Faults = nil // the workshop is told what to do, not what a buyer is told
	n := &document.WorkOrder{Head: g.head, Goods: g.goods, Workshop: party(g.client, false), Handed: g.d.Step.Day,
		Due: g.d.Step.Due.String(), Lume: l.lume()}
	if t := strings.TrimSpace(g.d.Step.Note); t != "" {
		n.Work = append(n.Work, t)
	}
	for _, need := range evidence.All[*evidence.Need](l.file) {
		line := need.Data.What
		if need.Data.Slot != "" {
			line += " (" + need.Data.Slot.Name() + ")"
		}
		if note := strings.TrimSpace(need.Data.Note); note != "" {
			line += ": " + note
		}
		n.Work = append(n.Work, line)
		if need.Data.Cost.IsZero() {
			continue
		}
		if n.Limit.IsZero() {
			n.Limit = need.Data.Cost
		} else if sum, err := n.Limit.Add(need.Data.Cost); err == nil { // another currency is left to be agreed
			n.Limit = sum
		}
	}
	return n, n.Limit, nil
}

// packingList lists what is in the parcel.
func (g gathered) packingList() (document.Slip, money.Money, error) {
	l, err := g.leaving()
	if err != nil {
		return nil, money.Money{}, err
	}
	g.goods.Faults = nil
	n := &document.PackingList{Head: g.head, Goods: g.goods, To: party(g.client, false), Sent: g.d.Step.Day,
		Lume: l.lume(), Precious: l.o.Metal.Fineness > 0 && l.o.Metal.Contradiction == nil,
		Sold: g.d.Entry.Goods != nil, Value: g.d.Step.Price}
	if n.Value.IsZero() {
		n.Value = g.watch.Asking
	}
	n.Contents = []string{"the watch" + serialWords(g.goods.Serial)}
	switch l.o.Watch.Set {
	case "full":
		n.Contents = append(n.Contents, "its box", "its papers")
	case "papers":
		n.Contents = append(n.Contents, "its papers")
	}
	return n, n.Value, nil
}

func serialWords(serial string) string {
	if serial == "" {
		return ""
	}
	return ", serial number " + serial
}
