package cli

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"sort"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/schollz/progressbar/v3"

	"midcase/money"
	"midcase/typed"
)

// output is how the result of a command is printed: as text, or as one JSON document.
type output struct {
	JSON bool `name:"json" help:"Print JSON."`
}

// print prints what a command came to; text prints it for reading.
func (o output) print(a *app, v any, err error, text func() error) error {
	switch {
	case err != nil:
		return refused(err)
	case o.JSON:
		return a.printJSON(v)
	}
	return text()
}

// line prints what a command came to in one line.
func (o output) line(a *app, v any, err error, format string, args ...any) error {
	return o.print(a, v, err, func() error {
		_, err := fmt.Fprintf(a.out, format+"\n", args...)
		return err
	})
}

// table is how a list is printed: in columns, as CSV or as JSON.
type table struct {
	output
	CSV bool `name:"csv" help:"Print CSV."`
}

// cells are one row of a list.
type cells []any

// list prints a list. The head names the columns, set apart by bars; none is said where
// the list is empty.
func list[T any](a *app, t table, all []T, err error, none, head string, row func(T) cells) error {
	all = filled(all)
	return t.print(a, all, err, func() error {
		if len(all) == 0 && !t.CSV {
			_, err := fmt.Fprintln(a.out, none)
			return err
		}
		rows := [][]string{strings.Split(head, "|")}
		for _, x := range all {
			rows = append(rows, row(x).texts(t.CSV))
		}
		if t.CSV {
			return a.csvRows(rows)
		}
		return a.table(rows)
	})
}

// filled is the list, never nil, so that JSON has [] and not null.
func filled[T any](all []T) []T { return append([]T{}, all...) }

// number is a figure in a list: to so many decimals for reading, a plain decimal for
// other programs.
type number struct {
	value    float64
	decimals int
}

func (c cells) texts(machineRead bool) []string {
	out := make([]string, len(c))
	for i, v := range c {
		switch v := v.(type) {
		case money.Money:
			switch {
			case v.IsZero():
			case machineRead:
				out[i] = v.String()
			default:
				out[i] = exact(v)
			}
		case number:
			if out[i] = figure(v.value, v.decimals); machineRead {
				out[i] = machine(v.value)
			}
		case time.Time:
			out[i] = v.Format("2006-01-02 15:04")
		default:
			out[i] = fmt.Sprint(v)
		}
	}
	return out
}

// printJSON writes one JSON document, indented for reading.
func (a *app) printJSON(v any) error { return writeJSON(a.out, v) }

func writeJSON(w io.Writer, v any) error {
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(v)
}

// table writes rows in columns; the first row is the head.
func (a *app) table(rows [][]string) error {
	w := tabwriter.NewWriter(a.out, 0, 4, 2, ' ', 0)
	for _, row := range rows {
		fmt.Fprintln(w, strings.Join(row, "\t"))
	}
	return w.Flush()
}

// csvRows prints rows as CSV, of which a spreadsheet computes nothing.
func (a *app) csvRows(rows [][]string) error { return typed.NewSheet(a.out).WriteAll(rows) }

// file is where a command writes.
type file struct {
	Output string `short:"o" help:"File to write (default: standard output)." placeholder:"FILE"`
}

// write writes a whole file, or to standard output where none is named.
func (f file) write(a *app, write func(io.Writer) error) error {
	if f.Output == "" {
		return write(a.out)
	}
	var b bytes.Buffer
	if err := write(&b); err != nil {
		return err
	}
	return writeWhole(f.Output, b.Bytes())
}

// lines writes sentences one a line, each with a dash.
func lines[T any](a *app, sentences []T) error {
	for _, s := range sentences {
		if _, err := fmt.Fprintf(a.out, "- %v\n", s); err != nil {
			return err
		}
	}
	return nil
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

// orElse is the text, or another where it is empty.
func orElse(s, other string) string {
	if s == "" {
		return other
	}
	return s
}
