package tables_test

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"midcase/tables"
)

// saved is a workbook of sheets, written by a writer that is not ours.
func saved(t *testing.T, from1904 bool, sheets map[string][][]any) []byte {
	t.Helper()
	f := excelize.NewFile()
	defer f.Close()
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	must(f.SetWorkbookProps(&excelize.WorkbookPropsOptions{Date1904: &from1904}))
	day, err := f.NewStyle(&excelize.Style{NumFmt: 14})
	must(err)
	for name, rows := range sheets {
		_, err := f.NewSheet(name)
		must(err)
		for i, row := range rows {
			for j, v := range row {
				at, _ := excelize.CoordinatesToCellName(j+1, i+1)
				if n, isDay := v.(shownAsDay); isDay {
					must(f.SetCellValue(name, at, float64(n)))
					must(f.SetCellStyle(name, at, at, day))
					continue
				}
				if text, _ := v.(string); strings.HasPrefix(text, "=") {
					must(f.SetCellFormula(name, at, text[1:]))
					continue
				}
				must(f.SetCellValue(name, at, v))
			}
		}
	}
	var b bytes.Buffer
	must(f.Write(&b))
	return b.Bytes()
}

// shownAsDay is a number in a cell that shows a day.
type shownAsDay float64

func told(r tables.Reading) string {
	var out []string
	for _, row := range r.Rows {
		p := row.Plain()
		out = append(out, fmt.Sprintf("%d %s %s %s %s %s %s", row.Line, p["maker"], p["reference"], p["year"],
			p["bought"], p["cost"], p["asking"]))
	}
	for _, k := range r.KeptOut {
		out = append(out, fmt.Sprintf("out %d %s %s: %s", k.Line, k.Field, k.Found, k.Reason))
	}
	for _, q := range r.Questions {
		out = append(out, "ask "+q.ID+" "+strings.Join(q.Choices, ", "))
	}
	return strings.Join(append(out, r.Notes...), "\n")
}

var headings = []any{"Maker", "Ref", "Year", "Bought", "Paid EUR", "Ask EUR"}

// What a spreadsheet spoils is named or mended, never taken as it stands.
func TestSpoiltCells(t *testing.T) {
	t.Parallel()
	for name, tt := range map[string]struct {
		from1904 bool
		row      []any
		want     []string
	}{
		"a day that the number means": {false, []any{"Orbenau", "T 218", 1965, shownAsDay(45363), 1200, 2400.5},
			[]string{"2 Orbenau T 218 1965 2024-03-12 1200 2400.5"}},
		"days from 1904": {true, []any{"Orbenau", "T 218", 1965, shownAsDay(43901), 1200, 2400},
			[]string{"2 Orbenau T 218 1965 2024-03-12 1200 2400"}},
		"days from 1904, shown as numbers": {true, []any{"Orbenau", "T 218", 1965, 43901, 1200, 2400},
			[]string{"2 Orbenau T 218 1965 2024-03-12 1200 2400"}},
		"a year typed where days are shown": {false, []any{"Orbenau", "T 218", shownAsDay(1965), "", 1200, 2400},
			[]string{"2 Orbenau T 218 1965  1200 2400"}},
		"amounts that were computed": {false, []any{"Orbenau", "T 218", 1965, "", 1111.111, 1234.5599999999999},
			[]string{"2 Orbenau T 218 1965  1111.11 1234.56"}},
		"errors": {false, []any{"Orbenau", "T 218", "#N/A", "#REF!", "#DIV/0!", "#####"},
			[]string{"out 2 year #N/A: an error", "out 2 bought #REF!: an error", "out 2 cost #DIV/0!: an error",
				"out 2 asking #####: the column was too narrow"}},
		"a reference turned into a day": {false, []any{"Orbenau", shownAsDay(45363), 1965, "", 1200, 2400},
			[]string{"2 Orbenau  1965  1200 2400", "out 2 reference 2024-03-12: the spreadsheet turned this into a day"}},
		"a day where an amount should be": {false, []any{"Orbenau", "T 218", 1965, "", 1200, shownAsDay(1500)},
			[]string{"out 2 asking 1904-02-08: a day where an amount should be"}},
		"formulas without a result": {false, []any{"Orbenau", "=CONCAT(A9)", 1965, "", "=E9*2", "=[1]Prices!A1"},
			[]string{"out 2 reference =CONCAT(A9): a formula", "out 2 cost =E9*2: a formula",
				"out 2 asking =[1]Prices!A1: a formula"}},
		"a bought day to come": {false, []any{"Orbenau", "T 218", 1965, "2062-01-01", 1200, 2400},
			[]string{"out 2 bought 2062-01-01: a day that is still to come"}},
	} {
		r := mustRead(t, saved(t, tt.from1904, map[string][][]any{"Sheet1": {headings, tt.row}}))
		for _, want := range tt.want {
			if got := told(r); !strings.Contains(got, want) {
				t.Errorf("%s:\n%s; want %q in it", name, got, want)
			}
		}
	}
}

// Of several tables one is read and the others are named.
func TestSeveralTables(t *testing.T) {
	t.Parallel()
	watch := func(ref string) []any { return []any{"Orbenau", ref, 1965, "2024-03-12", 1200, 2400} }
	data := saved(t, false, map[string][][]any{
		"Sheet1": {{"Rent", "January", 500}, {"Rent", "February", 500}, {"Light", "March", 60}, {"Light", "April", 60}},
		"2023":   {headings, watch("T 1")},
		"2024":   {headings, watch("T 2"), watch("T 3")},
	})
	r := mustRead(t, data)
	if got := told(r); !strings.Contains(got, "T 3") || !strings.Contains(got, "ask sheet 2024, 2023") {
		t.Errorf("%s; want the longer list, and the other named", got)
	}
	r, err := tables.Read(data, tables.Stock, tables.Options{Now: today, Answers: map[string]string{"sheet": "2023"}})
	if got := told(r); err != nil || !strings.Contains(got, "T 1") || len(r.Rows) != 1 || len(r.Questions) != 0 {
		t.Errorf("%s, %v; want the sheet that was asked for", got, err)
	}
	for name, tt := range map[string]struct{ text, want string }{
		"one below the other": {"In the shop\nMaker;Ref;Paid EUR;Ask EUR\nOrbenau;T 1;1200;2400\nOrbenau;T 2;1200;2400\n" +
			"In the safe;;;\nRef;Maker;Ask EUR;Paid EUR\nT 3;Orbenau;2400;1200\n",
			"3 Orbenau T 1   1200 2400\n4 Orbenau T 2   1200 2400\nask sheet from row 2, from row 6"},
		"headings on every page": {"Maker;Ref;Paid EUR;Ask EUR\nOrbenau;T 1;1200;2400\nMaker;Ref;Paid EUR;Ask EUR\n" +
			"Orbenau;T 2;1200;2400\n", "2 Orbenau T 1   1200 2400\n4 Orbenau T 2   1200 2400"},
		"side by side": {"Maker;Ref;Paid EUR;;Maker;Ref;Paid EUR\nOrbenau;T 1;1200;;Orbenau;T 2;1300\n",
			"2 Orbenau T 1   1200 \nFrom column 5 on the headings come again. " +
				"What stands there was not read: move it below the other rows."},
		"headings only": {"Maker;Ref;Paid EUR\n", "The table has headings, but no row below them."},
		"no watch": {"Paid EUR;Bought\n1200;2024-03-12\n", "out 2 reference 1200, 2024-03-12: no watch is named: " +
			"type its maker and reference\nNo column was understood as the watch (maker, reference): say which it is, " +
			"or add it."},
	} {
		if got := told(mustRead(t, []byte(tt.text))); got != tt.want {
			t.Errorf("%s:\n%s; want\n%s", name, got, tt.want)
		}
	}
}

// Nothing in a file of text goes missing without a word, and nothing is taken for what it does not say.
func TestNothingIsLost(t *testing.T) {
	t.Parallel()
	const head = "Maker;Ref;Serial;Bought;Paid EUR;Box/Papers;Status;Notes\n"
	for name, tt := range map[string]struct{ text, want string }{
		"half a file":        {head + strings.Repeat("Orbenau;T 1;;;1200;;;x\n", 12) + "Orbenau;T 2;;;12", "out 14  Orbenau, T 2, 12: the file ends in the middle"},
		"a row of a sum":     {head + "Orbenau;T 1;;;1200;;;\n;;;2024-03-12;800;;;\n", "out 3 reference 2024-03-12, 800: no watch is named"},
		"a remark alone":     {head + "Orbenau;T 1;;;1200;;;\n;;;;;;;see box 4\nOrbenau;T 1;;;;;;\n", "out 3 reference see box 4: no watch"},
		"not sold":           {head + "Orbenau;T 1;;;1200;;not sold yet;\n", "out 2 state not sold yet: not understood"},
		"to be sold":         {head + "Orbenau;T 1;;;1200;;to be sold;\n", "out 2 state to be sold: not understood"},
		"a share":            {head + "Orbenau;T 1;;;15 %;;;\n", "out 2 cost 15 %: a percentage"},
		"less than nothing":  {head + "Orbenau;T 1;;;500-;;;\n", "out 2 cost 500-: a negative amount"},
		"nothing":            {head + "Orbenau;T 1;;;0;;;\n", "out 2 cost 0: 0 is no price"},
		"as databases write": {head + "Orbenau;T 1;;;1850.000;;;\n", "2 Orbenau T 1   1850 "},
		"more than fits":     {head + "Orbenau;T 1;;;1850.125;;;\n", "out 2 cost 1850.125: not an amount"},
		"rounded":            {head + "Orbenau;T 1;;;1.2E+03;;;\n", "out 2 cost 1.2E+03: the spreadsheet rounded"},
		"month first": {head + "Orbenau;T 1;;03.14.2025;1200;;;\nOrbenau;T 2;;03.04.2025;1200;;;\n",
			"3 Orbenau T 2  2025-03-04 1200"},
		"no marks in a day":  {head + "Orbenau;T 1;;20240331;1200;;;\n", "2 Orbenau T 1  2024-03-31 1200"},
		"an error in a text": {head + "#N/A;T 1;;;1200;;;\nOrbenau;T 2;;;1200;;;#WERT!\n", "out 2 maker #N/A: an error"},
	} {
		if got := told(mustRead(t, []byte(tt.text))); !strings.Contains(got, tt.want) {
			t.Errorf("%s:\n%s; want %q in it", name, got, tt.want)
		}
	}
	for text, want := range map[string]string{"papers lost": "watch", "box and papers missing": "watch",
		"papers, box missing": "papers", "box, papers gone": "watch", "box and papers": "full"} {
		r := mustRead(t, []byte(head+"Orbenau;T 1;;;1200;"+text+";;\n"))
		if got := r.Rows[0].Plain()["completeness"]; got != want {
			t.Errorf("%s: %s; want %s", text, got, want)
		}
	}
}
