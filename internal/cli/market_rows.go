package cli

import (
	"maps"
	"slices"
	"strconv"

	"midcase/market"
)

// reportRows are the figures of a fit, one a row.
func reportRows(r market.FitReport) [][]string {
	number := func(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }
	rows := [][]string{{"figure", "value"},
		{"rows_read", strconv.Itoa(r.RowsRead)}, {"rows_used", strconv.Itoa(r.RowsUsed)},
		{"rows_rejected", strconv.Itoa(r.RowsRejected)}, {"seconds", number(r.Seconds)},
		{"currency", string(r.Currency)}, {"residual_scale", number(r.ResidualScale)}, {"dof", number(r.DoF)},
		{"error_share", number(r.ErrorShare)}, {"iterations", strconv.Itoa(r.Iterations)},
		{"condition_curvature", number(r.Condition.Estimate)}, {"condition_curvature_se", number(r.Condition.SE)}}
	for _, name := range slices.Sorted(maps.Keys(r.Variance)) {
		rows = append(rows, []string{"variance_" + name, number(r.Variance[name])})
	}
	return rows
}

// rejectedRows are rows that were kept out, with the reason.
func rejectedRows(bad []market.RowError) [][]string {
	rows := [][]string{{"file", "line", "field", "found", "want"}}
	for _, e := range bad {
		rows = append(rows, []string{e.File, strconv.Itoa(e.Line), e.Field, e.Found, e.Want})
	}
	return rows
}

// valueHead is the head of values as CSV.
func valueHead() []string {
	return []string{"row", "median", "mean", "lo50", "hi50", "lo80", "hi80", "lo90", "hi90"}
}

// valueRow is a value; without one its cells are empty.
func valueRow(row int, v *market.Valuation) []string {
	if v == nil {
		out := make([]string, len(valueHead()))
		out[0] = strconv.Itoa(row)
		return out
	}
	out := []string{strconv.Itoa(row), machine(v.Median), machine(v.Mean)}
	for _, level := range []int{50, 80, 90} {
		out = append(out, machine(v.Interval[level][0]), machine(v.Interval[level][1]))
	}
	return out
}
