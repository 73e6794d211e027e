package papers

import (
	"strings"

	"midcase/evidence"
	"midcase/internal/document"
	"midcase/money"
	"midcase/opinion"
	"midcase/say"
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
func (l leaving) lume(w say.Writer) string {
	for _, c := range l.o.Cautions {
		if c.Kind == "caution.radium" || c.Kind == "caution.tritium" {
			return w.String(c)
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
	n := &document.WorkOrder{Head: g.head, Goods: g.goods, Workshop: g.party(false), Handed: g.d.Step.Day,
		Due: g.d.Step.Due.String(), Lume: l.lume(g.words)}
	if t := strings.TrimSpace(g.d.Step.Note); t != "" {
		n.Work = append(n.Work, t)
	}
	for _, need := range evidence.All[*evidence.Need](l.file) {
		line := need.Data.What
		if id := strings.ReplaceAll(strings.ToLower(line), " ", "_"); say.Lists("work", id) { // else as it was typed
			line = g.words.Value(say.Noun{Set: "work", ID: id}, "")
		}
		if need.Data.Slot != "" {
			line += " (" + g.words.Value(say.Noun{Set: "slot", ID: string(need.Data.Slot)}, "") + ")"
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
	n := &document.PackingList{Head: g.head, Goods: g.goods, To: g.party(false), Sent: g.d.Step.Day,
		Lume: l.lume(g.words), Precious: l.o.Metal.Fineness > 0 && l.o.Metal.Contradiction == nil,
		Sold: g.d.Entry.Goods != nil, Value: g.d.Step.Price}
	if n.Value.IsZero() {
		n.Value = g.watch.Asking
	}
	text := func(s say.Statement) string { return g.words.String(s) }
	n.Contents = []string{text(say.That("packing.the-watch", say.Name("serial", orOther(g.goods.Serial, "none"))))}
	switch l.o.Watch.Set {
	case "full":
		n.Contents = append(n.Contents, text(say.That("packing.its-box")), text(say.That("packing.its-papers")))
	case "papers":
		n.Contents = append(n.Contents, text(say.That("packing.its-papers")))
	}
	return n, n.Value, nil
}
