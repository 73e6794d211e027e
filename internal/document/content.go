package document

// A section opens with its finding and then gives its grounds. PDF and Markdown
// are both written from sections.
type section struct {
	id      string
	title   string
	finding string
	cites   string
	blocks  []block
	whole   bool // stands on one page, as what is signed should
}

// block is one of para, bullets, fine, facts, table, plates, figure, signing, index.
type block any

// para is running text. A note is set smaller.
type para struct {
	text  string
	cites string
	note  bool
	stays bool // a note that says something of the watch, which no shorter paper leaves out
}

// bullets is a list of sentences, each with what it rests on.
type bullets []cited

// fine is a list of sentences in smaller type.
type fine []cited

// signing is where the person who answers for the paper signs.
type signing struct{ issuer, by string }

// index is a list of short entries, each with its code, in two columns.
type index struct {
	caption string
	codes   []string
	texts   []string
}

type cited struct {
	text  string
	cites string
}

// facts is a list of names and what they come to.
type facts []fact

type fact struct {
	id         string // by which a shorter paper knows it; mostly empty
	name, text string
	sub        string // smaller, after the text
	cites      string
}

type align int

const (
	left align = iota
	right
	centre
)

// column is one column of a table; width is a share of the table's width.
type column struct {
	title string
	width float64
	align align
}

// table breaks across pages between its rows and repeats its head.
type table struct {
	caption string
	columns []column
	rows    []row
	full    bool   // over the outer margin too, for tables without citations
	empty   string // said in place of a table without rows
}

type row struct {
	cells  []cell
	cites  string
	strong bool
}

// cell is a text, a smaller text after it, and perhaps the mark of a verdict.
type cell struct {
	text, sub string
	mark      string // a verdict of package opinion
	number    int    // the number in a call-out, with mark
	mean      bool   // it says only that all is as it should be
}

func plain(texts ...string) []cell {
	out := make([]cell, len(texts))
	for i, t := range texts {
		out[i].text = t
	}
	return out
}

// plates are the photos after the main picture.
type plates struct{ photos []plate }

type plate struct {
	number  int
	caption string
	cites   string
	data    []byte
	cut     []byte // a detail as JPEG, where the text itself carries it
}
