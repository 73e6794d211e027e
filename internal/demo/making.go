package demo

import (
	"fmt"
	"math"
	"strconv"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/refbook"
)

// spanOf is the first and the last month in which a reference was made.
func spanOf(ref *refbook.Reference) (first, last edtf.Month) {
	first, _ = ref.Made.FirstMonth()
	last, _ = ref.Made.LastMonth()
	return first, last
}

// fittedAt picks a variant that the factory fitted in a month, by the shares of the
// book; nil where the book has none.
func fittedAt(s stream, slot *refbook.Slot, ref *refbook.Reference, made edtf.Month) *refbook.Variant {
	var open []*refbook.Variant
	var weights []float64
	for i := range slot.Variants {
		v := &slot.Variants[i]
		for _, w := range v.Windows {
			first, last, ok := w.Months(ref.Made)
			if ok && first <= made && made <= last {
				open = append(open, v)
				weights = append(weights, w.Weight())
			}
		}
	}
	if len(open) == 0 {
		return nil
	}
	return open[s.choose(weights)]
}

// serialRun is the run of numbers of a kind in use in a month; nil where the maker
// has none.
func serialRun(m *refbook.Maker, ref *refbook.Reference, mark string, made edtf.Month) *refbook.Serial {
	var found *refbook.Serial
	for _, id := range ref.Serial {
		run, ok := m.Serial(id)
		if !ok || run.Mark != mark {
			continue
		}
		if found == nil || run.Anchors[0].Month <= made {
			found = run
		}
	}
	return found
}

// numberIn is the number that a run had reached in a month: straight lines between
// the anchors, in fractions of months.
func numberIn(run *refbook.Serial, month float64) int64 {
	a := run.Anchors
	i := 1
	for i < len(a)-1 && float64(a[i].Month) < month {
		i++
	}
	share := (month - float64(a[i-1].Month)) / float64(a[i].Month-a[i-1].Month)
	n := float64(a[i-1].Number) + share*float64(a[i].Number-a[i-1].Number)
	low, high := float64(a[0].Number)-500, float64(a[len(a)-1].Number)+500
	return int64(math.Max(1, math.Min(high, math.Max(low, n))))
}

// numberAt is the serial number of a watch made in a month: the run's number with
// the scatter of the book.
func numberAt(s stream, m *refbook.Maker, ref *refbook.Reference, made edtf.Month) int64 {
	run := serialRun(m, ref, evidence.MarkSerial, made)
	if run == nil {
		return 0
	}
	return numberNear(s, run, made)
}

// numberNear scatters by Student's t as the book says, cut at three scales so that
// what is planted stands out from what is not.
func numberNear(s stream, run *refbook.Serial, made edtf.Month) int64 {
	t := math.Max(-3, math.Min(3, s.t4()))
	return numberIn(run, float64(made)+0.5+run.ScatterMonths*t)
}

func serialText(n int64) string { return strconv.FormatInt(n, 10) }

// stampText writes a month in a stamp scheme; ok is false where the scheme has no
// way to say it.
func stampText(st *refbook.Stamp, m edtf.Month) (text string, ok bool) {
	switch st.Form {
	case "quarter-year":
		return fmt.Sprintf("%s %02d", []string{"I", "II", "III", "IV"}[(m.Calendar()-1)/3], m.Year()%100), inUse(st, m)
	case "year-month":
		return fmt.Sprintf("%02d-%02d", m.Year()%100, m.Calendar()), inUse(st, m)
	case "letter-year":
		for letter, year := range st.Letters {
			if year == m.Year() {
				return fmt.Sprintf("%s%d", letter, m.Calendar()), true
			}
		}
	case "table":
		for code, period := range st.Codes {
			if period == strconv.Itoa(m.Year()) {
				return code, true
			}
		}
	}
	return "", false
}

func inUse(st *refbook.Stamp, m edtf.Month) bool {
	first, _ := st.Used.FirstMonth()
	last, _ := st.Used.LastMonth()
	return first <= m && m <= last
}
