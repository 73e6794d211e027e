package cli

import (
	"encoding/json"
	"fmt"
	"sort"
	"text/tabwriter"

	"github.com/schollz/progressbar/v3"
)

// printJSON writes one JSON document, indented for reading.
func (a *app) printJSON(v any) error {
	enc := json.NewEncoder(a.out)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(v)
}

// table writes rows in columns; the first row is the head.
func (a *app) table(rows [][]string) error {
	w := tabwriter.NewWriter(a.out, 0, 4, 2, ' ', 0)
	for _, row := range rows {
		for j, cell := range row {
			if j > 0 {
				fmt.Fprint(w, "\t")
			}
			fmt.Fprint(w, cell)
		}
		fmt.Fprintln(w)
	}
	return w.Flush()
}

// bold marks a heading, on a terminal only.
func (a *app) bold(s string) string {
	if !a.colour {
		return s
	}
	return "\x1b[1m" + s + "\x1b[0m"
}

// progress returns a function that shows how far long work has come, on a terminal
// only.
func (a *app) progress(what string) func(done, total int) {
	if !a.live {
		return func(int, int) {}
	}
	var bar *progressbar.ProgressBar
	return func(done, total int) {
		if bar == nil {
			bar = progressbar.NewOptions(total, progressbar.OptionSetWriter(a.err),
				progressbar.OptionSetDescription(what),
				progressbar.OptionSetWidth(30), progressbar.OptionClearOnFinish())
		}
		_ = bar.Set(done)
	}
}

func sortByLengthThenName(keys []string) {
	sort.Slice(keys, func(i, j int) bool {
		if len(keys[i]) != len(keys[j]) {
			return len(keys[i]) > len(keys[j])
		}
		return keys[i] < keys[j]
	})
}
