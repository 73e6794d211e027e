package imports

import (
	"fmt"
	"strconv"
	"strings"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/tables"
)

// AskOdd is the question what to do with rows about which something is odd. AskOdd, a dot and
// the line, as in odd.12, says of one row why it is right.
const AskOdd = "odd"

// What AskOdd is answered with.
const (
	oddOut = "keep out"
	oddIn  = "bring in"
)

// checkOdd refuses an answer about odd rows that cannot be one.
func checkOdd(answers map[string]string) error {
	for id, answer := range answers {
		line, ofRow := strings.CutPrefix(id, AskOdd+".")
		if _, err := strconv.Atoi(line); ofRow && err != nil {
			return fmt.Errorf("answer %s: use the line, such as odd.12=\"read twice\"", id)
		}
		if id == AskOdd && answer != oddOut && answer != oddIn {
			return fmt.Errorf("answer odd=%s: use %s or %s", answer, oddOut, oddIn)
		}
	}
	return nil
}

// odd holds the evidence of a row against the book, the files and the rows before it. It reports
// whether the row stays out: kept out, or waiting until somebody says that it is right.
func (p *planned) odd(w shop.Watch, items []evidence.Item, row tables.Row) bool {
	reason := p.file.Answers[AskOdd+"."+strconv.Itoa(row.Line)]
	answer := p.file.Answers[AskOdd]
	if strings.TrimSpace(reason) == "" && answer == oddIn {
		reason = "brought in with its list"
	}
	doubts := p.holder.First(w, items, reason)
	if len(doubts) == 0 || strings.TrimSpace(reason) != "" {
		return false
	}
	of := p.holder.Doubts(evidence.File{ID: string(w.ID), Maker: w.Maker, Reference: w.Reference}, dataOf(items)...)
	plain := row.Plain()
	for i, it := range items {
		for _, d := range of[i] {
			field := fieldOf(it.Data)
			p.batch.KeptOut = append(p.batch.KeptOut, shop.OutRow{Line: row.Line, Field: field,
				Found: plain[field], Reason: d.Says.String(), Waits: answer == "", Odd: true})
		}
	}
	if answer == "" {
		p.oddLines = append(p.oddLines, row.Line)
	}
	return true
}

func dataOf(items []evidence.Item) []evidence.Data {
	out := make([]evidence.Data, len(items))
	for i, it := range items {
		out[i] = it.Data
	}
	return out
}

// fieldOf is the column that an item of a row comes from.
func fieldOf(d evidence.Data) string {
	switch d := d.(type) {
	case *evidence.Mark:
		if d.What == evidence.MarkSerial {
			return "serial"
		}
	case *evidence.Claim:
		if d.About == "year" {
			return "year"
		}
	}
	return "note"
}

// askOdd asks about the odd rows.
func (p *planned) askOdd() {
	n := len(p.oddLines)
	if n == 0 {
		return
	}
	about := strconv.Itoa(n) + " rows that look wrong"
	if n == 1 {
		about = "1 row that looks wrong"
	}
	p.reading.Questions = append(p.reading.Questions, tables.Question{ID: AskOdd,
		About: about + ", see below: bring in as they are, or keep out?", Choices: []string{oddOut, oddIn},
		Lines: p.oddLines})
}
