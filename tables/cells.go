package tables

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"midcase/edtf"
	"midcase/tables/workbook"
)

// What stands in cells that hold no value, with what to do about it.
const (
	reasonError   = "an error of the spreadsheet: mend the formula there, or type the value"
	reasonFormula = "a formula whose result the file does not hold: " +
		"open the file in a spreadsheet and save it, or type the value"
	reasonTurned = "the spreadsheet turned this into a day: type what was meant, as text, such as 3/12"
	reasonDay    = "a day where an amount should be: type the amount, or leave the cell empty"
	reasonNarrow = "the column was too narrow when the file was saved: widen it and save again, or type the value"
)

// errorMarks are how spreadsheets mark errors, in the languages in which they save text.
var errorMarks = regexp.MustCompile(`^#(?:REF!|N/A|NAME\?|VALUE!|DIV/0 ?!|NUM!|NULL!|SPILL!|CALC!|GETTING_DATA|` +
	`BEZUG!|NV|WERT!|ZAHL!|VALEUR ?!|NOM ?\?|NOMBRE ?!|RIF!|N/D|VALORE!|NOME\?|ERROR!)$|^Err:\d{3}$`)

var (
	tooNarrow = regexp.MustCompile(`^#{3,}$`)
	formula   = regexp.MustCompile(`^=(?:\?$|\s*[-+(]*\s*(?:[A-Za-zÄÖÜ.]+\(|(?:'[^']*'!|[\w.]+!)?\$?[A-Z]{1,3}\$?\d|\[\d+\]))`)
)

// namesWatch are fields that a spreadsheet spoils where it takes "3/12" for a day; amounts
// are fields of money.
var (
	namesWatch = []string{"reference", "serial", "movement", "watch", "maker"}
	amounts    = []string{"cost", "asking", "price", "hammer", "all-in", "sold_for", "estimate_low", "estimate_high"}
)

// valued leaves out the cells of a row that hold no value: errors, formulas without a
// result, days where there should be none. Each is named.
func (r *reader) valued(row gridRow) gridRow {
	copied := false
	for _, c := range r.columns {
		if c.Field == "" || c.at >= len(row.cells) {
			continue
		}
		year, typed := r.yearTyped(row, c)
		reason := r.noValue(row, c)
		switch {
		case typed:
			row.cells, copied = slices.Clone(row.cells), true
			row.cells[c.at] = year
			continue
		case reason == "":
			continue
		}
		if _, edited := r.edits[cellAt{row.line, c.Field}]; !edited {
			r.keepOut(row.line, c.Field, row.cell(c.at), reason)
			r.filled[c.Field]++
		}
		if !copied {
			row.cells, copied = slices.Clone(row.cells), true
		}
		row.cells[c.at] = ""
	}
	return row
}

// yearTyped is the year that somebody typed into a cell which shows days: a spreadsheet takes 1965 for
// the 1965th of them, in May 1905.
func (r *reader) yearTyped(row gridRow, c Column) (string, bool) {
	if c.Field != "year" || c.at >= 64 || row.days>>c.at&1 == 0 {
		return "", false
	}
	day, err := time.Parse(time.DateOnly, row.cell(c.at))
	if err != nil {
		return "", false
	}
	first, _ := workbook.Day(1, r.file.from1904)
	if !r.file.from1904 {
		first, _ = workbook.Day(unreal1900+1, false)
		first = first.AddDate(0, 0, -unreal1900)
	}
	n := int(day.Sub(first).Hours()/24+0.5) + 1
	return strconv.Itoa(n), n >= 1800 && n < 2100
}

// unreal1900 is the day that a spreadsheet counts and that never was: 29 February 1900.
const unreal1900 = 60

// future reports whether a day is still to come; a day later is let pass, for clocks elsewhere.
func (r *reader) future(date string) bool {
	d, err := edtf.Parse(date)
	if err != nil || r.opt.Now.IsZero() {
		return false
	}
	first, ok := d.First()
	return ok && first.After(r.opt.Now.AddDate(0, 0, 1))
}

// noValue is why a cell holds no value; empty where it does.
func (r *reader) noValue(row gridRow, c Column) string {
	text := row.cell(c.at)
	switch {
	case row.days>>c.at&1 == 1 && c.at < 64:
		switch {
		case slices.Contains(namesWatch, c.Field):
			return reasonTurned
		case slices.Contains(amounts, c.Field):
			return reasonDay
		}
	case text == "" || text[0] != '#' && text[0] != '=' && text[0] != 'E':
	case errorMarks.MatchString(text):
		return reasonError
	case tooNarrow.MatchString(text):
		return reasonNarrow
	case formula.MatchString(text):
		return reasonFormula
	}
	return ""
}

// rounded is the text of a cell of money. A spreadsheet keeps 1111.11111 where it shows
// 1111.11; its point is a decimal point, whatever the other cells write.
func (r *reader) rounded(row gridRow, c Column, cell string) string {
	if c.at >= 64 || row.numbers>>c.at&1 == 0 || cell != row.cell(c.at) {
		return cell
	}
	v, err := strconv.ParseFloat(cell, 64)
	if _, after, _ := strings.Cut(cell, "."); err != nil || len(after) <= 2 {
		return cell
	}
	return strings.TrimSuffix(strconv.FormatFloat(v, 'f', 2, 64), ".00")
}

// counted1904 is the day of a bare number in a workbook whose days count from 1904.
func (r *reader) counted1904(cell string) string {
	if !r.file.from1904 || !serialDay.MatchString(cell) {
		return cell
	}
	v, err := strconv.ParseFloat(cell, 64)
	if err != nil {
		return cell
	}
	if day, ok := workbook.Day(v, true); ok {
		return day.Format("2006-01-02")
	}
	return cell
}

// lost names a row that says too little to be one of the list, so that none goes missing
// without a word. A line of one cell parts a list and says nothing.
func (r *reader) lost(row gridRow, field, reason string) bool {
	if row.filled() > 1 || row.filled() == 1 && row.cell(0) == "" {
		var said []string
		for i := range row.cells {
			if c := row.cell(i); c != "" && len(said) < 4 {
				said = append(said, c)
			}
		}
		r.keepOut(row.line, field, strings.Join(said, ", "), reason)
	}
	return false
}

// mostKept bounds how many readings of cells are kept for those that come again.
const mostKept = 1 << 15

// dayAt is a cell of days with its column, whose order of day and month counts.
type dayAt struct {
	at   int
	cell string
}

// dayRead is what such a cell says.
type dayRead struct {
	date                  string
	future, ambiguous, ok bool
}

// dayIn reads the day of a cell, once for all cells of a column that say the same.
func (r *reader) dayIn(at int, cell string) (date string, future, ambiguous, ok bool) {
	key := dayAt{at, cell}
	d, known := r.days[key]
	if !known {
		d.date, d.ambiguous, d.ok = r.dayOf(r.monthBefore(at, r.counted1904(cell)), r.orders[at], r.opt.Now)
		d.future = d.ok && r.future(d.date)
		if len(r.days) < mostKept {
			r.days[key] = d
		}
	}
	return d.date, d.future, d.ambiguous, d.ok
}

// amountIn reads the amount of a cell, once for all cells that say the same; ok is false where it is none.
func (r *reader) amountIn(cell string) (amount, bool) {
	a, known := r.sums[cell]
	if !known {
		var ok bool
		if a, ok = r.amountOf(cell); !ok || !a.valid() {
			a = amount{}
		}
		if len(r.sums) < mostKept {
			r.sums[cell] = a
		}
	}
	return a, a.Amount != ""
}

// isTotal reports whether a row only sums up: it says so, and names no watch.
func (r *reader) isTotal(row gridRow) bool {
	if row.filled() > max(3, len(r.columns)/2) {
		return false
	}
	for i := range row.cells {
		c := strings.TrimRight(row.cell(i), ":")
		if first, year, two := strings.Cut(c, " "); two && yearOnly.MatchString(strings.TrimSpace(year)) {
			c = first // "Summe 2022"
		}
		if c != "" && r.total.has(c) {
			return true
		}
	}
	return r.sumsUp(row)
}

// sumsUp reports whether the first words of a row are a total with a word or a figure beside it: "Totale parziale",
// "Total: 22", "Q1 total".
func (r *reader) sumsUp(row gridRow) bool {
	for i := range row.cells {
		words := strings.Fields(plain(row.cell(i)))
		if len(words) == 0 {
			continue
		}
		const most = 3
		if r.as == Clients && !hasFigure(row.cell(i)) {
			return false // a firm may be called "Total Vintage"
		}
		return len(words) <= most && (r.total.has(words[0]) || r.total.has(words[len(words)-1]) && hasFigure(words[0]))
	}
	return false
}

// noted is what all the columns of notes say of a row; a list may have two ("Remarks" and "Details").
func (r *reader) noted(row gridRow) string {
	var said []string
	for _, c := range r.columns {
		if text := row.cell(c.at); c.Field == "note" && text != "" && !slices.Contains(said, text) {
			said = append(said, text)
		}
	}
	return strings.Join(said, "; ")
}
