package cli

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"runtime/debug"
	"sort"
	"strings"

	"midcase/internal/shop/imports"
	"midcase/tables"
)

type readTableCmd struct {
	File   string            `arg:"" help:"CSV, TSV or XLSX file; for clients vCards, too."`
	As     string            `help:"What the table lists: ${enum}." enum:"sales,stock,clients,serials" required:""`
	Book   string            `help:"Folder of the book; the shop's book if not given." type:"existingdir" placeholder:"DIR"`
	Answer map[string]string `help:"Answer to a question, such as currency=EUR or day-order=day-first; may be repeated." placeholder:"ID=VALUE" mapsep:"none"`
	JSON   bool              `name:"json" help:"Print JSON."`
}

// collectAt is the share by which what a reading holds may grow before memory is collected: a command that reads one
// file and ends has little else, and a list of 50 MB is to fit on a small machine.
const collectAt = 40

// Run prints what the table was understood to say.
func (c readTableCmd) Run(a *app) error {
	defer debug.SetGCPercent(debug.SetGCPercent(collectAt))
	info, err := os.Stat(c.File)
	if err != nil {
		return err
	}
	if info.Size() > tables.MaxBytes {
		return wrong("%s has %d MB; tables of up to %d MB are read", c.File, info.Size()>>20, tables.MaxBytes>>20)
	}
	book, err := a.bookOf(c.Book)
	if err != nil {
		return err
	}
	own, err := a.ownWords()
	if err != nil {
		return err
	}
	r, err := c.read(info.Size(), tables.Options{Book: book, Now: a.now(), Answers: c.Answer, Own: own})
	if err != nil {
		return fmt.Errorf("%s: %s", c.File, strings.TrimPrefix(err.Error(), "tables: "))
	}
	if c.JSON {
		return writeReading(a.out, r)
	}
	a.printTable(r)
	return nil
}

// read reads the file; a workbook from where it lies, since it holds pictures more often than rows.
func (c readTableCmd) read(size int64, opt tables.Options) (tables.Reading, error) {
	f, err := os.Open(c.File)
	if err != nil {
		return tables.Reading{}, err
	}
	defer f.Close()
	var head [4]byte
	if n, _ := f.ReadAt(head[:], 0); tables.IsWorkbook(head[:n]) {
		return tables.ReadWorkbook(f, size, tables.Kind(c.As), opt)
	}
	data, err := io.ReadAll(f)
	if err != nil {
		return tables.Reading{}, err
	}
	return imports.Understood(data, tables.Kind(c.As), opt)
}

// writeReading writes a reading as JSON row by row: whole, that of a long list takes more memory than the list.
func writeReading(out io.Writer, r tables.Reading) error {
	rows := r.Rows
	r.Rows = []tables.Row{}
	var whole bytes.Buffer
	if err := writeJSON(&whole, r); err != nil {
		return err
	}
	const none = `"rows": []`
	head, tail, found := bytes.Cut(whole.Bytes(), []byte("\n  "+none))
	if !found || len(rows) == 0 {
		_, err := out.Write(whole.Bytes())
		return err
	}
	w := bufio.NewWriter(out)
	fmt.Fprintf(w, "%s\n  \"rows\": [", head)
	var one bytes.Buffer
	enc := json.NewEncoder(&one)
	enc.SetIndent("    ", "  ")
	enc.SetEscapeHTML(false)
	for i, row := range rows {
		one.Reset()
		if err := enc.Encode(row); err != nil {
			return err
		}
		if i > 0 {
			w.WriteByte(',')
		}
		w.WriteString("\n    ")
		w.Write(bytes.TrimRight(one.Bytes(), "\n"))
	}
	fmt.Fprintf(w, "\n  ]%s", tail)
	return w.Flush()
}

// printTable prints what was understood column by column, what is open and what was kept
// out.
func (a *app) printTable(r tables.Reading) {
	for _, col := range r.Columns {
		if col.Field == "" {
			fmt.Fprintf(a.out, "%s: not used\n", quoted(col.Header))
			continue
		}
		fmt.Fprintf(a.out, "%s: %s, %s understood\n", quoted(col.Header), col.Field, percent(col.Understood))
	}
	for _, text := range r.Notes {
		fmt.Fprintln(a.out, text)
	}
	fmt.Fprintf(a.out, "%s\n", count(len(r.Rows), "row"))
	for _, row := range r.Rows[:min(len(r.Rows), 5)] {
		fmt.Fprintf(a.out, "  line %d: %s\n", row.Line, fieldList(row.Fields))
	}
	for _, q := range r.Questions {
		fmt.Fprintf(a.out, "Please say: %s (--answer %s=%s)\n", q.About, q.ID, strings.Join(q.Choices, "|"))
	}
	for _, k := range r.KeptOut {
		fmt.Fprintf(a.out, "  %s: %s rejected: %s\n", placeOf(k.Line, k.Field), quoted(k.Found), k.Reason)
	}
	for _, p := range r.Repeated {
		fmt.Fprintf(a.out, "  line %d repeats line %d\n", p.Line, p.Of)
	}
}

// placeOf is a line and a field; what is said of the whole line names no field.
func placeOf(line int, field string) string {
	if field == "" {
		return fmt.Sprintf("line %d", line)
	}
	return fmt.Sprintf("line %d, %s", line, field)
}

func quoted(s string) string { return "“" + s + "”" }

// fieldList writes fields by name.
func fieldList(fields map[string]any) string {
	names := make([]string, 0, len(fields))
	for n := range fields {
		names = append(names, n)
	}
	sort.Strings(names)
	parts := make([]string, len(names))
	for i, n := range names {
		parts[i] = n + " " + fmt.Sprint(fields[n])
	}
	return strings.Join(parts, ", ")
}
