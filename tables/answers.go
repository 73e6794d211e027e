package tables

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	iso4217 "golang.org/x/text/currency"
)

// cellAt is a cell by its line and the field of its column.
type cellAt struct {
	line  int
	field string
}

// cellEdits are the answers that say what stands in single cells.
func cellEdits(answers map[string]string) map[cellAt]string {
	out := map[cellAt]string{}
	for id, text := range answers {
		if at, is := strings.CutPrefix(id, EditCell); is {
			line, field, _ := strings.Cut(at, ".")
			n, _ := strconv.Atoi(line)
			out[cellAt{n, field}] = strings.TrimSpace(text)
		}
	}
	return out
}

// checkAnswer refuses an answer that cannot be one.
func (l *lexicon) checkAnswer(id, answer string, as Kind) error {
	if at, is := strings.CutPrefix(id, EditCell); is {
		line, field, ok := strings.Cut(at, ".")
		if _, err := strconv.Atoi(line); err != nil || !ok || !slices.Contains(Fields(as), field) {
			return fmt.Errorf("tables: answer %s=%s: use line and field, such as cell.12.cost", id, answer)
		}
	}
	if n, is := strings.CutPrefix(id, AskColumn); is {
		if at, err := strconv.Atoi(n); err != nil || at < 1 {
			return fmt.Errorf("tables: answer %s=%s: use the number of the column, such as column.3=cost", id, answer)
		}
		if answer != notUsed && !slices.Contains(Fields(as), answer) {
			return fmt.Errorf("tables: answer %s=%s: use one of %s, or none", id, answer, strings.Join(Fields(as), ", "))
		}
	}
	switch id {
	case AskCurrency:
		if _, err := iso4217.ParseISO(answer); err != nil || strings.ToUpper(answer) != answer {
			return fmt.Errorf("tables: answer currency=%s: use a code of ISO 4217, such as EUR", answer)
		}
	case AskDayOrder:
		if order(answer) != dayFirst && order(answer) != monthFirst {
			return fmt.Errorf("tables: answer day-order=%s: use %s or %s", answer, dayFirst, monthFirst)
		}
	case AskBasis:
		if answer != "hammer" && answer != "all-in" {
			return fmt.Errorf("tables: answer basis=%s: use hammer or all-in", answer)
		}
	case AskRange:
		if answer != "low" && answer != "high" {
			return fmt.Errorf("tables: answer range=%s: use low or high", answer)
		}
	case AskNet:
		if answer != netAsIs && answer != netOut {
			return fmt.Errorf("tables: answer net=%s: use %q or %q", answer, netAsIs, netOut)
		}
	case AskSeverity:
		if n, err := strconv.Atoi(answer); err != nil || n < 1 || n > 4 {
			return fmt.Errorf("tables: answer severity=%s: use 1, 2, 3 or 4", answer)
		}
	case AskConsent:
		if answer != "yes" && answer != "no" {
			return fmt.Errorf("tables: answer consent=%s: use yes or no", answer)
		}
	}
	return nil
}
