package refbook

import (
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"reflect"
	"sort"
	"strings"
)

// Load reads all *.yaml files at the top of the folder, in the order of their
// names, and checks them together. What is wrong comes back as Problems, all of it
// at once, sorted by file and line; there is no Book then. Other errors are those
// of reading the folder.
func Load(fsys fs.FS) (*Book, error) {
	entries, err := fs.ReadDir(fsys, ".")
	if err != nil {
		return nil, fmt.Errorf("reference book: %w", err)
	}
	var files []file
	for _, e := range entries {
		if e.IsDir() {
			continue
		}
		switch path.Ext(e.Name()) {
		case ".yaml":
			b, err := readFile(fsys, e.Name())
			if err != nil {
				return nil, fmt.Errorf("reference book: %w", err)
			}
			files = append(files, file{e.Name(), b})
		case ".yml":
			files = append(files, file{name: e.Name()})
		}
	}
	return load(files)
}

// LoadTexts is Load for files that are in memory, by their names.
func LoadTexts(texts map[string][]byte) (*Book, error) {
	var files []file
	for _, name := range sorted(texts) {
		files = append(files, file{name, texts[name]})
	}
	return load(files)
}

type file struct {
	name string
	text []byte
}

func load(files []file) (*Book, error) {
	var reports []*report
	var makers []Maker
	for _, f := range files {
		r := newReport(f.name)
		reports = append(reports, r)
		if path.Ext(f.name) == ".yml" {
			r.at(1, "", "a file named .yml", "name it .yaml; the book reads no other ending")
			continue
		}
		makers = append(makers, readMaker(f.text, r))
	}
	if len(reports) == 0 {
		return nil, Problems{{Found: "no *.yaml file in the folder",
			Hint: "write one file a maker, such as corvane.yaml"}}
	}
	return assemble(makers, reports)
}

// readMaker reads one file of the book; what is wrong with it goes into the report.
func readMaker(text []byte, r *report) Maker {
	var m Maker
	if n := parseNode(text, r); n != nil {
		r.decode(n, reflect.ValueOf(&m).Elem(), "")
		r.check(&m)
	}
	return m
}

// LoadDir is Load for a folder on disk.
func LoadDir(dir string) (*Book, error) {
	b, err := Load(os.DirFS(dir))
	if err != nil {
		if _, is := err.(Problems); is {
			return nil, err
		}
		return nil, fmt.Errorf("%s: %w", dir, err)
	}
	return b, nil
}

// New makes a Book of makers that are values already, under the same checks as
// Load. The makers are not changed.
func New(makers ...Maker) (*Book, error) {
	var reports []*report
	own := append([]Maker(nil), makers...)
	for i := range own {
		r := newReport(own[i].ID)
		r.require(reflect.ValueOf(own[i]), "")
		r.check(&own[i])
		reports = append(reports, r)
	}
	return assemble(own, reports)
}

func assemble(makers []Maker, reports []*report) (*Book, error) {
	names := checkNames(makers, reports)
	var all Problems
	for _, r := range reports {
		all = append(all, r.problems...)
	}
	all = append(all, names...)
	if err := all.err(); err != nil {
		return nil, err
	}
	sort.SliceStable(makers, func(i, j int) bool { return makers[i].ID < makers[j].ID })
	b := &Book{Makers: makers}
	b.index()
	return b, nil
}

// readFile reads a file up to just over the limit, so that a huge one is noticed
// without being held in memory.
func readFile(fsys fs.FS, name string) ([]byte, error) {
	f, err := fsys.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	b, err := io.ReadAll(io.LimitReader(f, maxFileBytes+1))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return b, nil
}

// checkNames reports makers of different files that answer to one name.
func checkNames(makers []Maker, reports []*report) Problems {
	var out Problems
	byFile := map[string]*report{}
	for _, r := range reports {
		byFile[r.file] = r
	}
	owner := map[string]string{} // folded name → file
	files := filesOf(reports)
	for i, m := range makers {
		file := files[i]
		r := byFile[file]
		seen := map[string]bool{}
		for _, name := range append([]string{m.ID, m.Name}, m.Aliases...) {
			key := fold(name)
			if key == "" || seen[key] {
				continue
			}
			seen[key] = true
			if other, taken := owner[key]; taken {
				at := "id"
				if !strings.EqualFold(name, m.ID) {
					at = "name"
				}
				out = append(out, Problem{file, r.line(at), at,
					fmt.Sprintf("the name %q, which %s has too", name, other),
					"one maker a file, each with names of its own"})
				continue
			}
			owner[key] = file
		}
	}
	return out
}

// filesOf lists the files that hold a maker, in order.
func filesOf(reports []*report) []string {
	var out []string
	for _, r := range reports {
		if path.Ext(r.file) != ".yml" {
			out = append(out, r.file)
		}
	}
	return out
}
