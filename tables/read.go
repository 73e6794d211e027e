package tables

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"midcase/notes"
	"midcase/refbook"
)

// Kind is what a table lists.
type Kind string

// The kinds of tables.
const (
	Stock   Kind = "stock"
	Sales   Kind = "sales"
	Clients Kind = "clients"
	Serials Kind = "serials"
)

// Kinds lists the kinds of tables.
func Kinds() []Kind { return []Kind{Sales, Stock, Clients, Serials} }

// Ids of the questions that a reading may ask; --answer takes them.
const (
	AskCurrency = "currency"
	AskDayOrder = "day-order"
	AskBasis    = "basis"
	AskConsent  = "consent"
	AskMaker    = "maker"
	AskRange    = "range"    // which end of a range of prices counts: low or high
	AskSeverity = "severity" // how bad findings of the notes are that do not say it: 1 to 4
	AskNet      = "net"      // whether amounts without tax stand as they are: "as written" or "keep out"
	AskHeadings = "headings"
	AskColumn   = "column." // with the number of the column from 1: the field that it is, or "none"
	EditCell    = "cell."   // with line and field, as in cell.12.cost: what stands there instead
)

// notUsed is the answer that a column is none of the fields.
const notUsed = "none"

// What AskNet is answered with.
const (
	netAsIs = "as written"
	netOut  = "keep out"
)

// Options say what is known beforehand.
type Options struct {
	Book    *refbook.Book // may be nil
	Now     time.Time     // for years of two figures
	Answers map[string]string
	Base    string      // currency of the shop; empty where none is known
	Own     []notes.Own // words that the shop uses in its own way, in note columns
	Rows    int         // how many rows of each sheet of a workbook are read; 0 for all
}

// Row is one row as understood: canonical fields, and items of evidence read from note
// columns. Amounts are {"amount","currency"}, days EDTF.
type Row struct {
	Line   int            `json:"line"`
	Fields map[string]any `json:"fields"`
	Items  []notes.Item   `json:"items,omitempty"`

	remarks []string // words that no field holds
}

// Plain are the fields as text. An amount of money gives the field, and its currency as NAME.currency.
func (r Row) Plain() map[string]string {
	out := make(map[string]string, len(r.Fields)+2)
	for name, v := range r.Fields {
		switch v := v.(type) {
		case string:
			out[name] = v
		case wireMoney:
			out[name], out[name+".currency"] = v.Amount, v.Currency
		case float64:
			out[name] = strconv.FormatFloat(v, 'g', -1, 64)
		}
	}
	return out
}

// Question is what only a person can answer, for all its lines at once.
type Question struct {
	ID      string   `json:"id"`
	About   string   `json:"about"`
	Choices []string `json:"choices,omitempty"`
	Lines   []int    `json:"lines"`
}

// KeptOut is a cell that was not taken, with the reason.
type KeptOut struct {
	Line   int    `json:"line"`
	Field  string `json:"field"`
	Found  string `json:"found"`
	Reason string `json:"reason"`
}

// Repeat is a row that says what an earlier one says.
type Repeat struct {
	Line int `json:"line"`
	Of   int `json:"of"`
}

// Reading is what was understood of a table.
type Reading struct {
	Columns   []Column   `json:"columns"`
	Rows      []Row      `json:"rows"`
	Questions []Question `json:"questions"`
	KeptOut   []KeptOut  `json:"kept_out"`
	Repeated  []Repeat   `json:"repeated"`
	Notes     []string   `json:"notes,omitempty"` // on the file as a whole: what in it was not looked at
}

// Read reads a table of the kind from the bytes of a file.
func Read(data []byte, as Kind, opt Options) (Reading, error) {
	return read(as, opt, data, func() (opened, error) { return openAll(data, opt.Rows) })
}

// IsWorkbook reports whether a file that begins so is a workbook, which ReadWorkbook reads.
func IsWorkbook(head []byte) bool { return isZip(head) }

// ReadWorkbook reads a table from a workbook that is not held in memory.
func ReadWorkbook(file io.ReaderAt, size int64, as Kind, opt Options) (Reading, error) {
	return read(as, opt, nil, func() (opened, error) { return openWorkbook(file, size, opt.Rows) })
}

// read reads the table of a file that open opens; data is its text, where it is one.
func read(as Kind, opt Options, data []byte, open func() (opened, error)) (Reading, error) {
	l := vocabulary()
	if l.headers[as] == nil {
		return Reading{}, fmt.Errorf("tables: there is no kind %q; use sales, stock, clients or serials", as)
	}
	for id, answer := range opt.Answers {
		if err := l.checkAnswer(id, answer, as); err != nil {
			return Reading{}, err
		}
	}
	f, err := open()
	if err != nil {
		return Reading{}, fmt.Errorf("tables: %w", err)
	}
	return l.understood(f, as, opt, data)
}

// understood is what the tables of a file say.
func (l *lexicon) understood(f opened, as Kind, opt Options, data []byte) (Reading, error) {
	chosen, tabs := l.choose(f, as, opt.Answers[AskSheet])
	header, body, ok := l.headerAt(chosen.rows, as)
	rows, bare := chosen.rows, false
	if ok {
		above := rows[max(0, body-2):body]
		rows = withoutHeadingsAgain(header, above, dropFooter(rows, body)[body:])
	} else {
		header, rows, bare = l.withoutHeadings(data, rows, as)
		rows = dropFooter(rows, 0)
	}
	if !ok && !bare {
		return Reading{}, fmt.Errorf("tables: no row of the first %d names two columns of a list of %s; "+
			"the first row is %q: %w", headerRows, as, strings.Join(firstFilled(chosen.rows).cells, " | "), ErrNoTable)
	}
	r := reader{lexicon: l, as: as, opt: opt, orders: map[int]order{}, dotted: map[int]bool{}, bare: bare, file: f,
		edits: cellEdits(opt.Answers)}
	r.columns = l.columns(header, rows, as, opt.Answers)
	if bare {
		l.nameBare(r.columns, rows, as, opt.Answers)
	}
	joinOverflow(r.columns, rows, len(header.cells))
	r.out = Reading{
		Columns:   r.columns,
		Rows:      []Row{},
		Questions: []Question{},
		KeptOut:   []KeptOut{},
		Repeated:  []Repeat{},
		Notes:     f.notes,
	}
	r.askSheet(tabs)
	r.learn(rows)
	for _, row := range rows {
		r.row(row)
	}
	r.finish()
	r.remarks(header, ok)
	return r.out, nil
}

func firstFilled(rows []gridRow) gridRow {
	for _, r := range rows {
		if !r.empty() {
			return r
		}
	}
	return gridRow{}
}

// reader holds one table while it is read.
type reader struct {
	*lexicon
	as           Kind
	opt          Options
	columns      []Column
	orders       map[int]order // how a column writes its days
	dotted       map[int]bool  // columns that write the month first, with points: 03.31.2025
	watches      map[string]watchNamed
	told         map[string]map[string]any // what a part of a description tells
	days         map[dayAt]dayRead
	sums         map[string]amount
	designations [][]string        // the different ones of a column that holds makers and names
	spell        map[string]string // makers and references by their letters and figures, as first spelled
	out          Reading
	raw          []gridRow // rows of sales, for finding those that repeat another
	bare         bool      // no row of headings was found
	file         opened
	seen         []string // currencies that amounts named, in their order
	edits        map[cellAt]string

	ranges, noSeverity []int // lines
	openFindings       int

	usual map[int]float64 // the middle amount of a column

	noCurrency, anyOrder, anyConsent, bothPrices, noMaker, net []int
	filled, understood                                         map[string]int
}

// learn looks over the columns before rows are read.
func (r *reader) learn(body []gridRow) {
	r.watches, r.spell = map[string]watchNamed{}, map[string]string{}
	r.told, r.days, r.sums = map[string]map[string]any{}, map[dayAt]dayRead{}, map[string]amount{}
	r.filled, r.understood = map[string]int{}, map[string]int{}
	r.usual = map[int]float64{}
	if c, ok := r.column("watch"); ok {
		seen := map[string]bool{}
		for _, cell := range columnCells(body, c.at) {
			if !seen[cell] {
				seen[cell] = true
				r.designations = append(r.designations, strings.Fields(cell))
			}
		}
	}
	for _, c := range r.columns {
		switch c.Field {
		case "price", "hammer", "all-in", "cost", "asking", "sold_for":
			r.usual[c.at] = r.middle(columnCells(body, c.at))
		case "date", "bought", "sold", "signed_up":
			// What a column shows by itself holds for it; the answer is for those that could be either.
			cells := allCells(body, c.at)
			r.orders[c.at] = cmp.Or(orderOf(cells, slashed), order(r.opt.Answers[AskDayOrder]))
			r.dotted[c.at] = orderOf(cells, dotted) == monthFirst
		}
	}
}

// middle is the middle one of the amounts in some cells; 0 where there are too few to tell what is usual.
func (l *lexicon) middle(cells []string) float64 {
	const fewest = 5
	var all []float64
	for _, c := range cells {
		if a, ok := l.amountOf(c); ok {
			all = append(all, a.number())
		}
	}
	if len(all) < fewest {
		return 0
	}
	slices.Sort(all)
	return all[len(all)/2]
}

func allCells(body []gridRow, at int) []string {
	out := make([]string, 0, len(body))
	for _, row := range body {
		out = append(out, row.cell(at))
	}
	return out
}

// column is the column of a field.
func (r *reader) column(field string) (Column, bool) {
	for _, c := range r.columns {
		if c.Field == field {
			return c, true
		}
	}
	return Column{}, false
}

// get is the cell of a field; it counts that the cell was filled.
func (r *reader) get(row gridRow, field string) string {
	c, ok := r.column(field)
	var cell string
	edited := false
	if len(r.edits) > 0 {
		cell, edited = r.edits[cellAt{row.line, field}]
	}
	if !ok && !edited {
		return ""
	}
	if !edited {
		cell = row.cell(c.at)
		if field == "note" {
			cell = r.noted(row)
		}
	}
	if cell != "" {
		r.filled[field]++
	}
	return cell
}

// took notes that a cell of a field was understood.
func (r *reader) took(field string) { r.understood[field]++ }

func (r *reader) keepOut(line int, field, found, reason string) {
	r.out.KeptOut = append(r.out.KeptOut, KeptOut{line, field, found, reason})
}

// usualFields is how many fields most rows have; a map that grows costs more than one of the right size.
const usualFields = 12

// row reads one row; rows of totals and rows without content are passed over.
func (r *reader) row(row gridRow) {
	if row.empty() || r.isTotal(row) {
		return
	}
	if r.as == Sales {
		r.raw = append(r.raw, row)
	}
	if row.line == r.file.cut && r.file.cut > 0 {
		r.lost(row, "", "the file ends in the middle of this row: save the file whole, or type the row at its end")
		return
	}
	row = r.valued(row)
	out := Row{Line: row.line, Fields: make(map[string]any, usualFields)}
	keep := true
	switch r.as {
	case Sales:
		keep = r.sale(row, &out)
	case Stock:
		keep = r.stock(row, &out)
	case Clients:
		keep = r.client(row, &out)
	case Serials:
		keep = r.serial(row, &out)
	}
	if keep {
		r.out.Rows = append(r.out.Rows, out)
		return
	}
	for _, lines := range []*[]int{&r.noCurrency, &r.anyOrder, &r.anyConsent, &r.bothPrices, &r.noMaker, &r.net} {
		if lastIs(*lines, row.line) {
			*lines = (*lines)[:len(*lines)-1] // nothing is asked of a row that is out anyway
		}
	}
}

// finish asks what is open and counts what was understood.
func (r *reader) finish() {
	if r.as == Sales || r.as == Stock {
		r.nameMakers()
	}
	ask := func(id string, lines []int, one, more string, choices ...string) {
		if len(lines) == 0 || r.opt.Answers[id] != "" {
			return
		}
		about := "1 " + one
		if n := len(lines); n > 1 {
			about = strconv.Itoa(n) + " " + more
		}
		r.out.Questions = append(r.out.Questions, Question{id, about, choices, lines})
	}
	ask(AskCurrency, r.noCurrency, "amount without a currency", "amounts without a currency", r.currencies()...)
	ask(AskDayOrder, r.anyOrder, "day that can be read day first or month first",
		"days that can be read day first or month first", string(dayFirst), string(monthFirst))
	ask(AskBasis, r.bothPrices, "sale with a hammer price and a price with premium: which one counts?",
		"sales with a hammer price and a price with premium: which one counts?", "hammer", "all-in")
	ask(AskConsent, r.anyConsent, "opt-in cell that is neither yes nor no", "opt-in cells that are neither yes nor no",
		"yes", "no")
	ask(AskMaker, r.noMaker, "row whose maker is not named", "rows whose maker is not named", r.makers()...)
	ask(AskRange, slices.Compact(r.ranges), "price that is a range: which end counts?",
		"rows whose price is a range: which end counts?", "low", "high")
	ask(AskNet, r.net, "amount without tax: does it stand as written?",
		"amounts without tax: do they stand as written?", netAsIs, netOut)
	if r.openFindings > 0 && r.opt.Answers[AskSeverity] == "" {
		about := "1 finding in the notes that does not say how bad it is"
		if r.openFindings > 1 {
			about = fmt.Sprintf("%d findings in the notes that do not say how bad they are", r.openFindings)
		}
		r.out.Questions = append(r.out.Questions, Question{AskSeverity, about + ", from 1 (slight) to 4 (ruinous)",
			[]string{"1", "2", "3", "4"}, r.noSeverity})
	}
	if r.bare && r.opt.Answers[AskHeadings] == "" {
		r.out.Questions = append(r.out.Questions, Question{AskHeadings,
			"the table has no headings: is each column what it was taken for?", []string{"yes"}, []int{}})
	}
	for i := range r.out.Columns {
		c := &r.out.Columns[i]
		if n := r.filled[c.Field]; n > 0 {
			c.Understood = float64(min(r.understood[c.Field], n)) / float64(n)
		}
	}
	r.repeats()
}

// currencies are the choices for an amount that names none: those that other amounts of
// the table name, the shop's own, then the usual ones.
func (r *reader) currencies() []string {
	out := slices.Clone(r.seen)
	if r.opt.Base != "" {
		out = append(out, r.opt.Base)
	}
	out = append(out, "EUR", "USD", "GBP", "CHF")
	var unique []string
	for _, c := range out {
		if !slices.Contains(unique, c) {
			unique = append(unique, c)
		}
	}
	return unique
}

// makers are the makers that other rows name, the commonest first.
func (r *reader) makers() []string {
	n := map[string]int{}
	for _, row := range r.out.Rows {
		if m, _ := row.Fields["maker"].(string); m != "" {
			n[m]++
		}
	}
	out := make([]string, 0, len(n))
	for m := range n {
		out = append(out, m)
	}
	slices.SortFunc(out, func(a, b string) int { return cmp.Or(cmp.Compare(n[b], n[a]), cmp.Compare(a, b)) })
	return out[:min(len(out), 12)]
}

// Fields are the fields that a column of a table of a kind may be.
func Fields(as Kind) []string {
	l := vocabulary()
	seen := map[string]bool{}
	for _, f := range l.headers[as] {
		seen[f] = true
	}
	for _, rule := range l.HeaderRules[as] {
		if rule.Field != "" && rule.Field != buying && rule.Field != selling && rule.Field != gone {
			seen[rule.Field] = true
		}
	}
	if seen["completeness"] {
		seen["box"], seen["papers"] = true, true
	}
	out := make([]string, 0, len(seen))
	for f := range seen {
		out = append(out, f)
	}
	slices.Sort(out)
	return out
}
