package workbook

import (
	"archive/zip"
	"bytes"
	"fmt"
	"strings"
	"testing"
)

const space = `xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" ` +
	`xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"`

// parts are those of a workbook with one sheet; sheet is the content of its sheetData and
// what follows it.
func parts(sheet string) map[string]string {
	const rel = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/"
	return map[string]string{
		"_rels/.rels": `<Relationships><Relationship Id="a" Type="` + rel +
			`officeDocument" Target="/xl/workbook.xml"/></Relationships>`,
		"xl/workbook.xml": `<?xml version="1.0"?><workbook ` + space + `><workbookPr/><sheets>` +
			`<sheet name="Stock &amp; co" sheetId="1" r:id="s1"/></sheets></workbook>`,
		"xl/_rels/workbook.xml.rels": `<Relationships><Relationship Id="s1" Type="` + rel +
			`worksheet" Target="worksheets/sheet1.xml"/>` +
			`<Relationship Id="y" Type="` + rel + `styles" Target="styles.xml"/>` +
			`<Relationship Id="t" Type="` + rel + `sharedStrings" Target="sharedStrings.xml"/></Relationships>`,
		"xl/styles.xml": `<styleSheet><numFmts><numFmt numFmtId="170" formatCode="mmm\ yy"/>` +
			`<numFmt numFmtId="171" formatCode="#,##0.00\ &quot;days&quot;"/></numFmts>` +
			`<cellStyleXfs><xf numFmtId="14"/></cellStyleXfs>` +
			`<cellXfs><xf numFmtId="0"/><xf numFmtId="14"/><xf numFmtId="170"/><xf numFmtId="171"/>` +
			`<xf numFmtId="9"/></cellXfs></styleSheet>`,
		"xl/sharedStrings.xml": `<sst><si><t>Orbenau</t></si><si><r><t>T </t></r><r><t xml:space="preserve">218</t></r>` +
			`<rPh sb="0"><t>never</t></rPh></si><si/></sst>`,
		"xl/worksheets/sheet1.xml": `<?xml version="1.0"?><x:worksheet ` + space +
			` xmlns:x="y"><!-- <row> --><x:sheetData>` + sheet + `</x:worksheet>`,
	}
}

func packed(t testing.TB, parts map[string]string) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for name, text := range parts {
		w, err := z.Create(name)
		if err == nil {
			_, err = w.Write([]byte(text))
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// text writes the rows of a sheet with the marks of their cells.
func text(rows []Row) string {
	var out []string
	for _, r := range rows {
		var cells []string
		for i, c := range r.Cells {
			if r.Numbers>>i&1 == 1 {
				c = "#" + c
			}
			if r.Days>>i&1 == 1 {
				c = "@" + c
			}
			cells = append(cells, c)
		}
		out = append(out, fmt.Sprintf("%d:%s", r.Line, strings.Join(cells, "|")))
	}
	return strings.Join(out, "\n")
}

// Every sort of cell comes out as it is shown, and where it is.
func TestCells(t *testing.T) {
	t.Parallel()
	for name, tt := range map[string]struct{ sheet, want string }{
		"texts": {`<row r="3"><c r="B3" t="s"><v>0</v></c><c r="C3" t="s"><v>1</v></c>` +
			`<c r="D3" t="inlineStr"><is><r><t>a &lt; b&#10;c</t></r><r><t>_x0041_</t></r></is></c>` +
			`<c t="str"><f>B3&amp;"x"</f><v>y</v></c></row></sheetData>`, "3:|Orbenau|T 218|a < b\ncA|y"},
		"numbers": {`<row><c><v>1234.5599999999999</v></c><c><v>1850</v></c><c><v>1E-2</v></c>` +
			`<c><v>1.2345678901234568E+17</v></c></row></sheetData>`,
			"1:#1234.56|#1850|#0.01|#1.2345678901234568E+17"},
		"days": {`<row><c s="1"><v>45363.5</v></c><c s="2"><v>45363</v></c><c s="3"><v>45363</v></c>` +
			`<c s="1"><v>59</v></c><c t="d"><v>2024-03-12T00:00</v></c><c s="1"><v>-4</v></c>` +
			`<c s="4"><v>0.25</v></c></row></sheetData>`,
			"1:@2024-03-12|@2024-03|#45363|@1900-02-28|@2024-03-12|#-4|25%"},
		"no values": {`<row r="2"><c t="e"><v>#REF!</v></c><c t="b"><v>1</v></c><c><f>A1*2</f></c>` +
			`<c><f t="shared" si="0"/></c><c t="str"><f>IF(1,"")</f><v></v></c><c t="s"><v>99</v></c><c/></row>` +
			`<row r="3"/></sheetData>`, "2:#REF!|true|=A1*2|=?"},
		"merged downwards": {`<row r="1"><c r="B1"><v>7</v></c></row><row r="2"><c r="A2"><v>1</v></c></row>` +
			`<row r="4"><c r="A4"><v>2</v></c></row></sheetData><mergeCells><mergeCell ref="B1:B3"/>` +
			`<mergeCell ref="A1:D1"/><mergeCell ref="A9:A99"/></mergeCells>`, "1:|#7\n2:#1|#7\n4:#2"},
		"text that is not parsed": {`<row><c t="str"><v>a<![CDATA[<b & c]]>d</v></c></row></sheetData>`,
			"1:a<b & cd"},
		"nothing": {`</sheetData>`, ""},
	} {
		b, err := OpenBytes(packed(t, parts(tt.sheet)))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if got := text(b.Sheets[0].Rows); got != tt.want || b.Sheets[0].Name != "Stock & co" {
			t.Errorf("%s, sheet %q:\n%s; want\n%s", name, b.Sheets[0].Name, got, tt.want)
		}
	}
}

// A workbook whose days count from 1904 shows the days that it means.
func TestDaysFrom1904(t *testing.T) {
	t.Parallel()
	p := parts(`<row><c s="1"><v>43901</v></c></row></sheetData>`)
	p["xl/workbook.xml"] = strings.Replace(p["xl/workbook.xml"], "<workbookPr/>", `<workbookPr date1904="true"/>`, 1)
	b, err := OpenBytes(packed(t, p))
	if err != nil || text(b.Sheets[0].Rows) != "1:@2024-03-12" {
		t.Errorf("%v, %v; want 12 March 2024", b, err)
	}
}

// Formats that show days, and those that only look like it.
func TestFormats(t *testing.T) {
	t.Parallel()
	for code, want := range map[string]shown{
		"dd.mm.yyyy": asDay, `d\.m\.yy`: asDay, "[$-409]mmm d, yyyy;@": asDay, "m/d": asDay, "mmmm yyyy": asMonth,
		"yyyy": asYear, "General": noDay, "#,##0.00": noDay, `0 "days"`: noDay, "0.0%": asPercent, "[Red]0": noDay,
		"h:mm:ss": noDay, "[$EUR] 0": noDay, `0\d`: noDay,
	} {
		if got := formatShows(code); got != want {
			t.Errorf("%s: %d; want %d", code, got, want)
		}
	}
}

// What is no workbook is refused with what it is and what to do.
func TestRefused(t *testing.T) {
	t.Parallel()
	whole := packed(t, parts(`<row><c><v>1</v></c></row></sheetData>`))
	unfinished := parts(`<row><c><v>1</v>`)
	unfinished["xl/worksheets/sheet1.xml"] = "<worksheet><sheetData><row><c r=\"A1"
	for name, tt := range map[string]struct {
		data []byte
		want string
	}{
		"cut off":        {whole[:len(whole)/2], "damaged"},
		"unfinished":     {packed(t, unfinished), "damaged"},
		"open document":  {packed(t, map[string]string{"content.xml": "x", "mimetype": "y"}), ".ods"},
		"of numbers":     {packed(t, map[string]string{"Index/Document.iwa": "x"}), ".numbers"},
		"binary":         {packed(t, map[string]string{"xl/workbook.bin": "x"}), ".xlsb"},
		"text document":  {packed(t, map[string]string{"word/document.xml": "x"}), ".docx"},
		"packed folder":  {packed(t, map[string]string{"list.csv": "x"}), "unpack it"},
		"without sheets": {packed(t, map[string]string{"xl/workbook.xml": "<workbook/>"}), "no sheet"},
	} {
		_, err := OpenBytes(tt.data)
		if err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: %v; want %q in it", name, err, tt.want)
		}
	}
}

// What a workbook unpacks to is counted as it comes, and bounded, whatever the file says of it.
func TestZipBombIsRefused(t *testing.T) {
	t.Parallel()
	long := parts(`<row><c t="inlineStr"><is><t>` + strings.Repeat("0", 2*longestToken) +
		"</t></is></c></row></sheetData>")
	z, err := zip.NewReader(bytes.NewReader(packed(t, long)), int64(len(packed(t, long))))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := read(z, longestToken, 0); err == nil || !strings.Contains(err.Error(), "save the one sheet as CSV") {
		t.Errorf("%v; want it refused by its size", err)
	}
	if _, err := read(z, MaxUnpacked, 0); err == nil || !strings.Contains(err.Error(), "damaged") {
		t.Errorf("%v; want a cell of two megabytes refused", err)
	}
	for _, f := range z.File {
		f.UncompressedSize64 = 1 // as a file may say that lies
	}
	if _, err := read(z, longestToken, 0); err == nil {
		t.Error("a file that lies about its size was read")
	}
	wide := parts(strings.Repeat(`<row><c r="XFD1"><v>1</v></c><c r="A1"><v>1</v></c></row>`, 100) + "</sheetData>")
	b, err := OpenBytes(packed(t, wide))
	if err != nil || len(b.Sheets[0].Rows) != 100 || len(b.Sheets[0].Rows[0].Cells) != 1 {
		t.Errorf("%v; want what stands far out left alone", err)
	}
	many := parts(strings.Repeat(`<row><c r="SA1"><v>1</v></c></row>`, MaxCells/490) + "</sheetData>")
	if _, err := OpenBytes(packed(t, many)); err == nil || !strings.Contains(err.Error(), "several files") {
		t.Errorf("%v; want too many cells refused", err)
	}
}

// Macros and links to other files are noted, not looked at.
func TestNoted(t *testing.T) {
	t.Parallel()
	p := parts(`<row><c><f>[1]Prices!A1</f><v>5</v></c></row></sheetData>`)
	p["xl/vbaProject.bin"], p["xl/externalLinks/externalLink1.xml"] = "x", "<externalLink/>"
	b, err := OpenBytes(packed(t, p))
	if err != nil || !b.Macros || !b.Linked || text(b.Sheets[0].Rows) != "1:#5" {
		t.Errorf("%+v, %v; want the saved value, and both noted", b, err)
	}
}

// The beginning of a sheet is enough to tell what it lists.
func TestHead(t *testing.T) {
	t.Parallel()
	data := packed(t, parts(strings.Repeat("<row><c><v>1</v></c></row>", 50)+"</sheetData>"))
	b, err := OpenHead(bytes.NewReader(data), int64(len(data)), 20)
	if err != nil || len(b.Sheets[0].Rows) != 20 {
		t.Errorf("%v, %v; want twenty rows", b, err)
	}
}

func FuzzSheet(f *testing.F) {
	f.Add(`<row r="1"><c r="A1" t="s"><v>0</v></c></row></sheetData><mergeCells><mergeCell ref="A1:A9"/></mergeCells>`)
	f.Add(`<row><c t="inlineStr"><is><t>x<![CDATA[y]]></t></is></c>`)
	f.Fuzz(func(t *testing.T, sheet string) {
		b, err := OpenBytes(packed(t, parts(sheet)))
		if err != nil {
			return
		}
		for _, r := range b.Sheets[0].Rows {
			if len(r.Cells) == 0 || len(r.Cells) > widest {
				t.Errorf("a row of %d cells", len(r.Cells))
			}
		}
	})
}
