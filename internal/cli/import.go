package cli

import (
	"fmt"
	"maps"
	"os"
	"slices"
	"strings"
	"time"

	"midcase/internal/shop"
	"midcase/internal/shop/imports"
	"midcase/tables"
)

type importCmd struct {
	File   string            `arg:"" help:"CSV, TSV or XLSX file."`
	As     string            `help:"What the file lists: ${enum}." enum:"sales,stock,clients" required:""`
	Answer map[string]string `help:"Answer to a question, such as currency=EUR; may be repeated." placeholder:"ID=VALUE" mapsep:"none"`
	By     string            `help:"Who imports; the user of this machine if not given."`
	JSON   bool              `name:"json" help:"Print JSON."`
}

// Run records what a file says as one batch.
func (c importCmd) Run(a *app) error {
	info, err := os.Stat(c.File)
	if err != nil {
		return err
	}
	if info.Size() > tables.MaxBytes {
		return wrong("%s has %d MB; tables of up to %d MB are read", c.File, info.Size()>>20, tables.MaxBytes>>20)
	}
	data, err := os.ReadFile(c.File)
	if err != nil {
		return err
	}
	s, err := a.open(true)
	if err != nil {
		return err
	}
	defer s.close()
	got, err := s.Imports.Bring(a.ctx, imports.File{Name: c.File, Data: data, As: tables.Kind(c.As), Answers: c.Answer,
		Written: a.progress("writing")}, user(c.By))
	if err != nil {
		return err
	}
	b := got.Batch
	if got.Remembered {
		fmt.Fprintf(a.err, "As for the last file with these headings: %s\n", answersGiven(got.Answers))
	}
	for _, text := range got.Notes {
		fmt.Fprintln(a.err, text)
	}
	for _, q := range got.Questions {
		fmt.Fprintf(a.err, "Please say: %s (--answer %s=%s)\n", q.About, q.ID, strings.Join(q.Choices, "|"))
	}
	for _, k := range b.KeptOut[:min(len(b.KeptOut), 50)] {
		fmt.Fprintln(a.err, outRow(k))
	}
	for _, text := range b.Says[:min(len(b.Says), 50)] {
		fmt.Fprintln(a.err, text)
	}
	id := b.ID
	if !b.Brings() {
		id = "" // nothing was added, so no batch was kept
	}
	if c.JSON {
		return a.printJSON(map[string]any{"batch": id, "added": b.Added(), "changed": len(b.Changed),
			"repeated": b.Repeated, "kept_out": b.RowsOut(), "waiting": b.RowsWaiting(),
			"cells_left_out": b.CellsOut(), "questions": len(got.Questions)})
	}
	if id == "" {
		id = "no batch"
	}
	_, err = fmt.Fprintf(a.out, "%s: %s\n", id, counts(b))
	return err
}

// answersGiven lists answers as they are typed.
func answersGiven(answers map[string]string) string {
	var out []string
	for _, id := range slices.Sorted(maps.Keys(answers)) {
		out = append(out, id+"="+answers[id])
	}
	return strings.Join(out, ", ")
}

// counts says what became of the rows of a file.
func counts(b shop.Batch) string {
	text := fmt.Sprintf("%d added, %d there already, %d kept out", b.Added(), b.Repeated, b.RowsOut())
	if n := len(b.Changed); n > 0 {
		text += fmt.Sprintf(", %d changed", n)
	}
	if n := b.RowsWaiting(); n > 0 {
		text += fmt.Sprintf(", %d waiting for an answer", n)
	}
	if n := b.CellsOut(); n > 0 {
		text += fmt.Sprintf("; %s left out", count(n, "cell"))
	}
	return text
}

type batchesCmd struct {
	List batchesListCmd `cmd:"" default:"1" help:"List what was imported, the latest first."`
	Show batchesShowCmd `cmd:"" help:"Show one batch."`
	Undo batchesUndoCmd `cmd:"" help:"Take back all of a batch that nothing later stands on, and name the rest."`
}

type batchesListCmd struct {
	JSON bool `name:"json" help:"Print JSON."`
}

// Run lists the batches.
func (c batchesListCmd) Run(a *app) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	all, err := s.Imports.Batches(a.ctx)
	if err != nil {
		return err
	}
	if c.JSON {
		if all == nil {
			all = []shop.Batch{}
		}
		return a.printJSON(all)
	}
	for _, b := range all {
		a.printBatch(b)
	}
	return nil
}

func (a *app) printBatch(b shop.Batch) {
	undone := ""
	if b.Undone != nil {
		undone = fmt.Sprintf("; undone %s, %d taken back, %d stayed", b.Undone.At.Format(time.DateOnly), b.Undone.Taken,
			len(b.Undone.Kept))
	}
	fmt.Fprintf(a.out, "%s  %s  %s as %s: %s%s\n", b.ID, b.At.Format(time.DateOnly), b.File, b.As, counts(b), undone)
}

// outRow says what was kept out, left out of its row, or waits.
func outRow(k shop.OutRow) string {
	switch {
	case k.Waits:
		return fmt.Sprintf("line %d %s", k.Line, k.Reason)
	case k.Cell:
		return fmt.Sprintf("%s: %s left out: %s", placeOf(k.Line, k.Field), quoted(k.Found), k.Reason)
	}
	return fmt.Sprintf("%s: %s kept out: %s", placeOf(k.Line, k.Field), quoted(k.Found), k.Reason)
}

type batchesShowCmd struct {
	ID   string `arg:"" help:"Id of the batch."`
	JSON bool   `name:"json" help:"Print JSON."`
}

// Run shows a batch.
func (c batchesShowCmd) Run(a *app) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	b, err := s.Imports.Batch(a.ctx, c.ID)
	if err != nil {
		return err
	}
	return a.showBatch(b, c.JSON)
}

type batchesUndoCmd struct {
	ID   string `arg:"" help:"Id of the batch."`
	By   string `help:"Who undoes it; the user of this machine if not given."`
	JSON bool   `name:"json" help:"Print JSON."`
}

// Run takes a batch back.
func (c batchesUndoCmd) Run(a *app) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	b, err := s.Imports.Undo(a.ctx, c.ID, user(c.By))
	if err != nil {
		return err
	}
	return a.showBatch(b, c.JSON)
}

func (a *app) showBatch(b shop.Batch, asJSON bool) error {
	if asJSON {
		return a.printJSON(b)
	}
	a.printBatch(b)
	for _, k := range b.KeptOut {
		fmt.Fprintln(a.out, "  "+outRow(k))
	}
	for _, text := range b.Says {
		fmt.Fprintln(a.out, "  "+text)
	}
	if b.Undone != nil {
		for _, k := range b.Undone.Kept {
			fmt.Fprintf(a.out, "  %s %s stays: %s\n", k.What, k.Name, k.Why)
		}
	}
	return nil
}
