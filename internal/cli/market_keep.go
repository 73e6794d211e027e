package cli

import (
	"errors"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"

	"midcase/market"
)

// writeStream writes a file as it comes, first under another name beside it, so that
// an interrupted run leaves the old file as it was and a large one is never held in
// memory as a whole.
func writeStream(path string, write func(io.Writer) error) error {
	tmp, err := os.CreateTemp(filepath.Dir(path), ".midcase-*")
	if err != nil {
		return unwritable(path, err)
	}
	var fault *fs.PathError
	if err = write(tmp); err != nil && !errors.As(err, &fault) {
		tmp.Close()
		os.Remove(tmp.Name())
		return err // not the file's doing
	}
	if cerr := tmp.Close(); err == nil {
		err = cerr
	}
	if err == nil {
		err = os.Chmod(tmp.Name(), 0o644)
	}
	if err == nil {
		err = os.Rename(tmp.Name(), path)
	}
	if err != nil {
		os.Remove(tmp.Name())
		return unwritable(path, err)
	}
	return nil
}

// reportRows are the figures of a fit, one a row.
func reportRows(r market.FitReport) [][]string {
	number := func(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }
	rows := [][]string{{"figure", "value"},
		{"rows_read", strconv.Itoa(r.RowsRead)}, {"rows_used", strconv.Itoa(r.RowsUsed)}, {"rows_rejected", strconv.Itoa(r.RowsRejected)},
		{"seconds", number(r.Seconds)}, {"currency", string(r.Currency)}, {"residual_scale", number(r.ResidualScale)}, {"dof", number(r.DoF)},
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

// valueHead and valueRow are a value as CSV.
func valueHead() []string {
	return []string{"row", "median", "mean", "lo50", "hi50", "lo80", "hi80", "lo90", "hi90"}
}

func valueRow(row int, v *market.Valuation) []string {
	out := []string{strconv.Itoa(row), figure(v.Median), figure(v.Mean)}
	for _, level := range []int{50, 80, 90} {
		out = append(out, figure(v.Interval[level][0]), figure(v.Interval[level][1]))
	}
	return out
}
