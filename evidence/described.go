package evidence

import (
	"cmp"
	"fmt"
	"math"
	"strconv"
	"strings"

	"midcase/condition"
	"midcase/edtf"
	"midcase/say"
)

// Described says in one line what an item holds. What a seller asks, what work cost and the note that was
// written beside it are named only inside the shop.
func Described(it Item, inside bool) say.Statement {
	is := described(it, inside)
	if !inside || it.Note == "" {
		return is
	}
	return one(is, say.Verbatim(it.Note))
}

func described(it Item, inside bool) say.Statement {
	switch d := it.Data.(type) {
	case *Mark:
		return one(d.says(), say.Verbatim(d.Device), say.Verbatim(d.Where), sure(d.Confidence))
	case *Fitted:
		return d.says()
	case *Finding:
		return d.says()
	case *Dimension:
		return d.says()
	case *Weighing:
		return say.That("item.weighed", say.Term("what", "slot", d.What, ""), say.Term("in", "medium", d.In, d.In),
			measured("weight", d.G, d.PlusMinusG, say.Gram, 2))
	case *Rate:
		return d.says()
	case *Recording:
		return one(say.That("item.sound"), SayPosition(d.Position), lift(d.LiftAngleDeg))
	case *Photo:
		return d.says()
	case *Reading:
		return d.says()
	case *Document:
		return d.says()
	case *Claim:
		return d.says(inside)
	case *Work:
		return d.says(inside)
	case *Comparison:
		return say.That("item.compared", slot("part", d.Slot), say.Term("result", "compared", d.Result, d.Result),
			say.Name("other", cmp.Or(d.Named, d.Other)))
	case *Check:
		return one(say.That("item.register", say.Name("register", d.Register),
			say.Term("result", "searched", d.Result, d.Result)),
			when(!d.Date.IsZero(), say.That("item.on", written("day", d.Date))),
			when(d.Reference != "", say.That("item.number", say.Name("number", d.Reference))))
	case *Trial:
		return d.says()
	case *Need:
		return one(say.That("item.need", WorkArg("what", d.What)), when(d.Slot != "", say.That("item.on-part",
			slot("part", d.Slot))),
			when(inside && !d.Cost.IsZero(), say.That("item.estimate", say.Money("cost", d.Cost))),
			say.Verbatim(d.Note))
	case *Ownership:
		return one(say.That("item.owner", say.Name("owner", d.Owner)), say.Verbatim(d.How),
			when(!d.From.IsZero(), say.That("item.owned-from", written("day", d.From))),
			when(!d.Until.IsZero(), say.That("item.owned-until", written("day", d.Until))),
			when(d.Shown != "", say.That("item.shown", say.Name("by", d.Shown))), say.Verbatim(d.Note))
	case *Correction:
		return say.That("item.correction", say.Name("was", d.WasMaker+" "+d.WasReference),
			say.Name("now", d.Maker+" "+d.Reference), say.Name("reason", d.Reason))
	case *Redacted:
		return say.That("item.redacted", say.Term("was", "evidence_kind", string(d.Was), ""))
	case *Withdrawal:
		return say.That("item.withdrawal", say.Name("of", string(d.Of)), say.Name("reason", d.Reason))
	}
	return say.That("item.unknown")
}

// one is a line of clauses; those that say nothing are left out.
func one(clauses ...say.Statement) say.Statement {
	var all []say.Value
	for _, c := range clauses {
		if !c.IsZero() {
			all = append(all, c)
		}
	}
	if len(all) == 1 {
		return all[0].(say.Statement)
	}
	return say.That("item.line", say.All("clauses", all...))
}

// WorkArg is a piece of work as a word of the trade where there is one, and else as it was typed.
func WorkArg(name, what string) say.Arg {
	return say.Term(name, "work", strings.ReplaceAll(strings.ToLower(strings.TrimSpace(what)), " ", "_"), what)
}

// about is what a claim is about, in the same way.
func about(name, what string) say.Arg {
	return say.Term(name, "about", strings.ToLower(strings.TrimSpace(what)), what)
}

func slot(name string, s Slot) say.Arg { return say.Term(name, "slot", string(s), s.Name()) }

// when is a clause that is said only where something is known.
func when(known bool, clause say.Statement) say.Statement {
	if !known {
		return say.Statement{}
	}
	return clause
}

// written is a date as far as it is known: a day, else its months.
func written(name string, d edtf.Date) say.Arg {
	first, ok := d.FirstMonth()
	last, ok2 := d.LastMonth()
	if len(d.String()) == len("2006-01-02") || !ok && !ok2 {
		return say.Day(name, d.String())
	}
	return say.Span(name, first, last)
}

func sure(chance float64) say.Statement {
	return when(chance > 0, say.That("item.sure", say.Chance("chance", chance)))
}

func lift(deg float64) say.Statement {
	return when(deg != 0, say.That("item.lift", say.Fixed("angle", deg, say.Degree, 0)))
}

// measured is a reading with half the range that was stated; without one it is written as it was read.
func measured(name string, v, plusMinus float64, u say.Unit, decimals int) say.Arg {
	if plusMinus == 0 && v*10 == math.Round(v*10) {
		decimals = 1
	}
	return say.Measured(name, v, [2]float64{v - plusMinus, v + plusMinus}, u, decimals)
}

func (m *Mark) says() say.Statement {
	if m.Slot == "" {
		return say.That("item.mark", markKind("what", m.What), say.Name("text", m.Text))
	}
	return say.That("item.mark-on", markKind("what", m.What), slot("part", m.Slot), say.Name("text", m.Text))
}

func markKind(name, what string) say.Arg { return say.Term(name, "mark", what, "") }

func (f *Fitted) says() say.Statement {
	if f.Absent {
		return say.That("item.missing", slot("part", f.Slot))
	}
	is := say.That("item.fitted", slot("part", f.Slot), say.Name("version", f.Variant))
	if f.Variant == Unknown {
		is = say.That("item.unidentified", slot("part", f.Slot))
	}
	metal := when(f.Metal != "", say.That("item.metal", say.Term("metal", "sold_metal", f.Metal, "")))
	return one(is, say.Verbatim(f.Description), metal, sure(f.Confidence))
}

// says what was found, or that a fault was looked for and not found.
func (f *Finding) says() say.Statement {
	term, _ := condition.Lookup(f.Term)
	how := say.That("item.none")
	switch {
	case f.Severity > 0:
		how = say.That("item.severity", say.Count("n", f.Severity))
	case term.Good:
		how = say.That("item.good")
	}
	extent := when(f.Extent > 0, say.That("item.extent", say.Share("share", f.Extent)))
	return one(say.That("item.finding", slot("part", f.Slot), say.Term("finding", "finding", f.Term, term.Name)),
		how, extent, where(f.Where), plots(f.Plots), say.Verbatim(f.Note))
}

// where is a place on a part: as a word of the trade where it was typed as one, and else as it was typed.
func where(typed string) say.Statement {
	var from, to int
	says := say.That("phrase.word", say.Term("word", "place", strings.ReplaceAll(typed, " ", "_"), typed))
	if n, err := fmt.Sscanf(typed, "at %d", &from); n == 1 && err == nil {
		says = say.That("item.at", say.Count("hour", from))
	} else if n, err := fmt.Sscanf(typed, "between %d and %d", &from, &to); n == 2 && err == nil {
		says = say.That("item.between", say.Count("from", from), say.Count("to", to))
	}
	if typed == "" || says.String() != typed { // there is more to it
		return say.Verbatim(typed)
	}
	return says
}

func plots(hours []int) say.Statement {
	var all []say.Value
	for _, h := range hours {
		all = append(all, say.Number(h))
	}
	return when(len(all) > 0, say.That("item.plots", say.All("hours", all...)))
}

// says is what was tried and what came of it.
func (t *Trial) says() say.Statement {
	var figure say.Statement
	switch t.Unit {
	case "bar":
		figure = say.That("item.bar", say.Fixed("value", t.Value, say.None, 1))
	case "h":
		figure = say.That("item.hours", say.Fixed("value", t.Value, say.None, 1))
	case "uSv/h":
		figure = say.That("item.dose", say.Fixed("value", t.Value, say.None, 2))
	case "cps":
		figure = say.That("item.counts", say.Fixed("value", t.Value, say.None, 0))
	}
	is := say.That("item.trial", say.Name("what", t.What), say.Name("of", t.Of))
	if t.What == TrialLookedOver {
		return one(say.That("item.looked-over", slot("part", t.Slot)), say.Verbatim(t.Note))
	}
	return one(is, when(t.Slot != "", say.That("item.on-part", slot("part", t.Slot))),
		when(t.Result != "", say.That("item.result", say.Name("result", t.Result))), figure,
		when(!t.Date.IsZero(), say.That("item.day", written("day", t.Date))), say.Verbatim(t.Instrument),
		say.Verbatim(t.Note))
}

func (d *Dimension) says() say.Statement {
	return one(say.That("item.size", say.Term("what", "size", d.What, ""),
		measured("size", d.MM, d.PlusMinusMM, say.MM, 2)),
		when(d.FreeLengthMM != 0, say.That("item.free-length", say.Fixed("length", d.FreeLengthMM, say.MM, 0))),
		when(d.Links > 0, say.That("item.links", say.Count("n", d.Links))),
		when(d.PullN != 0, say.That("item.pull", say.Fixed("force", d.PullN, say.Newton, 1))),
		say.Verbatim(d.Instrument))
}

func (r *Rate) says() say.Statement {
	return one(say.That("item.rate", say.Saying("position", SayPosition(r.Position)),
		signed("rate", r.SecPerDay, say.SecondPerDay, 1)),
		when(r.AmplitudeDeg != 0, say.That("item.amplitude", say.Fixed("amplitude", r.AmplitudeDeg, say.Degree, 0))),
		r.saysBeat(),
		lift(r.LiftAngleDeg),
		when(r.HoursSinceWind != 0, say.That("item.since-wind", say.Fixed("hours", r.HoursSinceWind, say.None, 1))),
		when(r.TempC != 0, say.That("item.warmth", say.Fixed("temperature", r.TempC, say.Celsius, 0))),
		say.Verbatim(r.Instrument))
}

// saysBeat says the beat error; a watch in beat has one of 0.
func (r *Rate) saysBeat() say.Statement {
	if r.BeatErrorMS == nil {
		return say.Statement{}
	}
	return say.That("item.beat-error", say.Fixed("error", *r.BeatErrorMS, say.Millisecond, 1))
}

func signed(name string, v float64, u say.Unit, decimals int) say.Arg {
	return say.Arg{Name: name, Value: say.Measure{Value: v, Unit: u, Decimals: decimals, Signed: true}}
}

// says names what a photograph shows once.
func (p *Photo) says() say.Statement {
	view := strings.ReplaceAll(p.View, "_", " ")
	switch {
	case p.Caption == "" && view == "":
		return say.That("item.photo")
	case p.Caption == "" || strings.EqualFold(view, p.Caption):
		return say.That("item.photo-of", say.Term("view", "view", p.View, view))
	case view == "":
		return say.That("item.photo-of", say.Name("view", p.Caption))
	}
	return say.That("item.photo-shows", say.Term("view", "view", p.View, view), say.Name("caption", p.Caption))
}

func (r *Reading) says() say.Statement {
	var colour say.Statement
	if r.Lab != nil {
		colour = say.That("item.colour", say.Fixed("l", r.Lab[0], say.None, 0), say.Fixed("a", r.Lab[1], say.None, 0),
			say.Fixed("b", r.Lab[2], say.None, 0))
	}
	what := say.That("phrase.word", say.Term("word", "read", r.What, r.What))
	if n, err := strconv.Atoi(strings.TrimPrefix(r.What, "plot ")); err == nil && strings.HasPrefix(r.What, "plot ") {
		what = say.That("item.plot", say.Count("n", n))
	}
	return one(say.That("item.reading", say.Saying("what", what)), colour,
		when(r.LengthMM > 0, say.That("item.length", measured("length", r.LengthMM, r.PlusMinus, say.MM, 2))))
}

func (d *Document) says() say.Statement {
	return one(say.That("item.document", say.Term("what", "document", d.What, "")),
		when(!d.Date.IsZero(), say.That("item.dated", written("day", d.Date))),
		when(!d.MadeDate.IsZero(), say.That("item.made", written("day", d.MadeDate))),
		when(d.Serial != "", say.That("item.serial", say.Name("serial", d.Serial))),
		when(d.Reference != "", say.That("item.reference", say.Name("reference", d.Reference))))
}

// says leaves out what is asked where the reader is not of the shop.
func (c *Claim) says(inside bool) say.Statement {
	if !inside && (!c.Price.IsZero() || strings.Contains(strings.ToLower(c.About), "price")) {
		return say.That("item.claim-kept", about("about", c.About))
	}
	is := say.That("item.claim-unnamed", about("about", c.About), say.Name("text", c.Text))
	if c.From != "" {
		is = say.That("item.claim", about("about", c.About), say.Name("from", c.From), say.Name("text", c.Text))
	}
	return one(is, when(!c.Price.IsZero(), say.That("item.price", say.Money("price", c.Price))),
		say.That("item.no-fact"))
}

func (w *Work) says(inside bool) say.Statement {
	var replaced []say.Value
	for _, r := range w.Replaced {
		part := say.That("item.replaced", slot("part", r.Slot))
		if r.Kept {
			part = say.That("item.replaced-kept", slot("part", r.Slot))
		}
		replaced = append(replaced, part)
	}
	return one(say.That("item.work", WorkArg("what", w.What)),
		when(w.By != "", say.That("item.by", say.Name("name", w.By))),
		when(!w.Date.IsZero(), say.That("item.day", written("day", w.Date))),
		when(len(replaced) > 0, say.That("item.all-replaced", say.All("parts", replaced...))),
		when(inside && !w.Cost.IsZero(), say.That("item.cost", say.Money("cost", w.Cost))), say.Verbatim(w.Text))
}
