package tables

import (
	"regexp"
	"strconv"
	"strings"
	"unicode"

	"midcase/money"
)

// withoutHeadings takes a table that has no row of headings for what stands in its
// columns; ok is false where too little of it is understood. Serial numbers written down
// line by line in a text are such a table too.
func (l *lexicon) withoutHeadings(data []byte, rows []gridRow, as Kind) (header gridRow, body []gridRow, ok bool) {
	if as == Serials {
		if text, err := decoded(data); err == nil {
			if listed := l.serialLines(text); len(listed) >= 2 {
				return gridRow{cells: []string{"number", "when"}}, listed, true
			}
		}
	}
	for len(rows) > 0 && rows[0].filled() < 2 {
		rows = rows[1:] // a title
	}
	width, filled := 0, 0
	for _, r := range rows {
		if r.filled() >= 2 {
			filled++
			width = max(width, len(r.cells))
		}
	}
	if filled == 0 {
		return gridRow{}, nil, false
	}
	header = gridRow{cells: make([]string, width)}
	cols := l.columns(header, rows, as, nil)
	l.nameBare(cols, rows, as, nil)
	known := map[string]bool{}
	for _, c := range cols {
		known[c.Field] = true
	}
	switch as {
	case Stock:
		ok = (known["watch"] || known["reference"]) && (known["cost"] || known["serial"] || known["bought"])
	case Sales:
		ok = known["watch"] && known["price"] && known["date"]
	case Clients:
		ok = known["name"] && (known["email"] || known["phone"])
	}
	return header, rows, ok
}

// filled counts the cells of a row in which something stands.
func (r gridRow) filled() int {
	n := 0
	for i := range r.cells {
		if r.cell(i) != "" {
			n++
		}
	}
	return n
}

var (
	watchLike  = regexp.MustCompile(`^\p{L}[\p{L}&.' -]+.*\d`)
	numberLike = regexp.MustCompile(`^\d[\d .']{3,10}$`)
	nameLike   = regexp.MustCompile(`^\p{Lu}[\p{L}.'-]*(?: [\p{Lu}\p{L}.'-]+){1,3}$`)
)

// nameBare names the columns of a table without headings. Of two columns of amounts in a
// stock list the smaller is what was paid.
func (l *lexicon) nameBare(cols []Column, rows []gridRow, as Kind, answers map[string]string) {
	taken := map[string]bool{}
	for _, c := range cols {
		taken[c.Field] = true
	}
	free := func(c Column) bool {
		_, told := answers[AskColumn+strconv.Itoa(c.at+1)]
		return c.Field == "" && !told
	}
	set := func(field string, is func(string) bool) {
		for i := range cols {
			cells := columnCells(rows, cols[i].at)
			if free(cols[i]) && !taken[field] && 2*len(cells) >= len(rows) && share(cells, is) > 0.7 {
				cols[i].Field, taken[field] = field, true
			}
		}
	}
	day := func(c string) bool { return l.dayish(c) || spreadsheetDays.MatchString(c) }
	isWatch := func(c string) bool { return watchLike.MatchString(c) && !l.dayish(c) && len(c) < 60 }
	switch as {
	case Clients:
		set("name", nameLike.MatchString)
	case Sales:
		set("watch", isWatch)
		set("date", day)
		set("price", l.amountish)
	case Stock:
		set("watch", isWatch)
		set("bought", day)
		l.bareAmounts(cols, rows, free, taken)
		set("serial", numberLike.MatchString)
	}
}

// bareAmounts tells what was paid from what is asked, and both from serial numbers, which
// do not come in round figures.
func (l *lexicon) bareAmounts(cols []Column, rows []gridRow, free func(Column) bool, taken map[string]bool) {
	type amounts struct {
		at   int
		mean float64
	}
	var found []amounts
	for i := range cols {
		cells := columnCells(rows, cols[i].at)
		round := share(cells, func(c string) bool {
			a, ok := l.amountOf(c)
			return ok && (a.Currency != "" || strings.HasSuffix(a.Amount, "0") || strings.Contains(a.Amount, "."))
		})
		if !free(cols[i]) || len(cells) == 0 || round < 0.7 {
			continue
		}
		sum := 0.0
		for _, c := range cells {
			if a, ok := l.amountOf(c); ok && a.valid() {
				m, _ := money.Parse(a.Amount, "EUR")
				v, _ := strconv.ParseFloat(strings.Fields(m.String())[0], 64)
				sum += v
			}
		}
		found = append(found, amounts{i, sum / float64(len(cells))})
	}
	if len(found) != 2 || taken["cost"] || taken["asking"] {
		return // one column of amounts may be either: its heading or an answer has to say
	}
	low, high := found[0], found[1]
	if low.mean > high.mean {
		low, high = high, low
	}
	cols[low.at].Field, cols[high.at].Field = "cost", "asking"
	taken["cost"], taken["asking"] = true, true
}

var serialLine = regexp.MustCompile(`^(?:about |ca\.? |c\.? |um |vers )?#?(\d[\d.,' ]*\d)` +
	`\s*(?:[-–:=,;\t]|\s)\s*(\p{L}.*|['’]?\d{2,4}.*)$`)

// serialLines reads lines of a number and when it was made ("310000   early 1966").
func (l *lexicon) serialLines(text string) []gridRow {
	var out []gridRow
	for i, line := range strings.Split(text, "\n") {
		line = strings.TrimSpace(line)
		m := serialLine.FindStringSubmatch(line)
		if m == nil {
			continue
		}
		number, when := m[1], strings.TrimSpace(m[2])
		if _, ok := l.whenOf(when, anyYear); !ok || len(digits.ReplaceAllString(number, "")) < 4 {
			continue
		}
		out = append(out, gridRow{line: i + 1, cells: []string{number, when}})
	}
	return out
}

// dropFooter leaves out what stands beneath a table: lines of one cell of several words
// after its last row, such as "Prices without tax".
func dropFooter(rows []gridRow, body int) []gridRow {
	for len(rows) > body {
		last := rows[len(rows)-1]
		if last.filled() > 1 || last.filled() == 1 && !isRemark(last) {
			break
		}
		rows = rows[:len(rows)-1]
	}
	return rows
}

// isRemark reports whether the one filled cell of a row is a sentence.
func isRemark(r gridRow) bool {
	text := strings.TrimSpace(strings.Join(r.cells, ""))
	letters := strings.Count(text, " ") >= 2 || strings.HasSuffix(text, ":")
	return letters && strings.ContainsFunc(text, unicode.IsLower)
}

// joinOverflow joins what stands beyond the last heading to it, where the last column is
// a note whose commas were taken for separators.
func joinOverflow(cols []Column, body []gridRow, headings int) {
	last := headings - 1
	for last >= 0 && (last >= len(cols) || cols[last].Header == "") {
		last--
	}
	if last < 0 || cols[last].Field != "note" {
		return
	}
	for _, c := range cols[last+1:] {
		if c.Field != "" {
			return
		}
	}
	for i := range body {
		if len(body[i].cells) <= last+1 {
			continue
		}
		kept := append([]string(nil), body[i].cells[:last+1]...)
		for _, c := range body[i].cells[last+1:] {
			if c = strings.TrimSpace(c); c != "" {
				kept[last] = strings.TrimSpace(kept[last]) + ", " + c
			}
		}
		body[i].cells = kept
	}
}
