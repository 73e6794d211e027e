package layout

import (
	"encoding/json"
	"errors"
	"io"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// layers runs from the top to the bottom; a package may import only packages of
// layers below its own. An entry stands for the package and those inside it that have
// no entry of their own.
var layers = [][]string{
	{"midcase/cmd/midcase", "midcase/bench", "midcase/internal/attack"},
	{"midcase/internal/cli"},
	{"midcase/internal/web", "midcase/internal/status"},
	{"midcase/internal/web/pages"},
	{"midcase/internal/web/pages/terms"},
	{"midcase/internal/web/pages/frame", "midcase/internal/web/pages/plot"},
	{"midcase/internal/web/form"},
	{"midcase/internal/web/pages/wording"},
	{"midcase/internal/shop/shoptest"},
	{"midcase/internal/demo"},
	{"midcase/internal/papers"},
	{"midcase/internal/document"},
	{"midcase/internal/chart", "midcase/internal/squarecode"},
	{"midcase/internal/backup"},
	{"midcase/internal/check"},
	{"midcase/internal/store", "midcase/internal/blobs", "midcase/internal/bookdir", "midcase/internal/storetest"},
	{"midcase/internal/shop/rooms"},
	{"midcase/internal/shop/desk", "midcase/internal/shop/imports"},
	{"midcase/internal/shop/people"},
	{"midcase/internal/shop/intake", "midcase/internal/shop/trade", "midcase/internal/shop/staff",
		"midcase/internal/shop/accounts", "midcase/internal/shop/library", "midcase/internal/shop/hooks"},
	{"midcase/internal/shop"},
	{"midcase/internal/picture", "midcase/internal/soundfile", "midcase/internal/tesseract"},
	{"midcase/internal/publish"},
	{"midcase/hand"},
	{"midcase/telling"},
	{"midcase/opinion"},
	{"midcase/internal/bank"},
	{"midcase/lettering"},
	{"midcase/gate", "midcase/tables"},
	{"midcase/notes"},
	{"midcase/examples"},
	{"midcase/refbook"},
	{"midcase/evidence"},
	{"midcase/origin", "midcase/condition", "midcase/market", "midcase/deal", "midcase/timing", "midcase/photo",
		"midcase/metal"},
	{"midcase/market/table"},
	{"midcase/market/algebra", "midcase/market/fitfile"},
	{"midcase/internal/shop/ledger", "midcase/internal/shop/memo", "midcase/internal/shop/rights",
		"midcase/internal/proof", "midcase/internal/einvoice"},
	{"midcase/say"},
	{"midcase/estimate"},
	{"midcase/edtf", "midcase/money", "midcase/typed", "midcase/web", "midcase/client", "midcase/docs/schema",
		"midcase/internal/licences", "midcase/internal/layout"},
}

// apart are entries whose packages know nothing of one another, such as the pages:
// what two of them need is made in a layer below.
var apart = []string{"midcase/internal/web/pages", "midcase/bench"}

// pure lists the computing packages and what they may import beside the standard
// library and the leaves.
var pure = []string{"origin", "condition", "market", "market/table", "market/algebra", "market/fitfile", "deal",
	"timing",
	"photo", "metal", "internal/shop/ledger"}

var pureMayImport = []string{"midcase/market/", "midcase/say", "midcase/estimate", "midcase/edtf", "midcase/money",
	"midcase/typed",
	"gonum.org/v1/gonum/",
	"github.com/govalues/decimal"} // the exact text of a recorded price

// impure are standard packages with which a computing package could reach a clock,
// a file or the network.
var impure = []string{"os", "net", "net/http", "database/sql", "os/exec", "log", "math/rand"}

type listed struct {
	ImportPath string
	Imports    []string
	Standard   bool
}

func TestImportsRunDown(t *testing.T) {
	packages := list(t)
	for _, layer := range layers {
		for _, p := range layer {
			if !anyInside(packages, p) {
				t.Errorf("package %s of the table is gone; change the table with a decision record", p)
			}
		}
	}
	for _, p := range packages {
		from, entry := placeOf(p.ImportPath)
		if from < 0 {
			t.Errorf("%s has no place in the table of layers", p.ImportPath)
			continue
		}
		for _, q := range p.Imports {
			to, other := placeOf(q)
			switch {
			case to < 0:
			case entry == other:
				if slices.Contains(apart, entry) && p.ImportPath != entry {
					t.Errorf("%s imports %s, which stands beside it: move what both need below them", p.ImportPath, q)
				}
			case to <= from:
				t.Errorf("%s imports %s, which stands beside or above it", p.ImportPath, q)
			}
		}
	}
}

func anyInside(packages map[string]listed, entry string) bool {
	for path := range packages {
		if inside(path, entry) {
			return true
		}
	}
	return false
}

func inside(path, entry string) bool { return path == entry || strings.HasPrefix(path, entry+"/") }

func TestComputingPackagesArePure(t *testing.T) {
	packages := list(t)
	for _, name := range pure {
		p, ok := packages["midcase/"+name]
		if !ok {
			t.Errorf("package midcase/%s is gone", name)
			continue
		}
		for _, q := range p.Imports {
			if slices.Contains(impure, q) {
				t.Errorf("%s imports %s: a computing package takes values and returns values", p.ImportPath, q)
			}
			if !strings.Contains(strings.SplitN(q, "/", 2)[0], ".") && !strings.HasPrefix(q, "midcase/") {
				continue // standard library
			}
			if !slices.ContainsFunc(pureMayImport, func(ok string) bool {
				return q == ok ||
					strings.HasSuffix(ok, "/") && strings.HasPrefix(q, ok)
			}) {
				t.Errorf("%s imports %s: a computing package imports the standard library, gonum and the leaves only",
					p.ImportPath, q)
			}
		}
	}
}

// placeOf is the layer of a package and the entry that it belongs to, the nearest above
// it; −1 for packages outside the table.
func placeOf(path string) (layer int, entry string) {
	layer = -1
	for i, l := range layers {
		for _, e := range l {
			if inside(path, e) && len(e) > len(entry) {
				layer, entry = i, e
			}
		}
	}
	return layer, entry
}

func list(t *testing.T) map[string]listed {
	t.Helper()
	out, err := exec.Command("go", "list", "-deps", "-json=ImportPath,Imports,Standard", "midcase/...").Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	found := map[string]listed{}
	for dec := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p listed
		if err := dec.Decode(&p); errors.Is(err, io.EOF) {
			return found
		} else if err != nil {
			t.Fatal(err)
		}
		if strings.HasPrefix(p.ImportPath, "midcase/") {
			found[p.ImportPath] = p
		}
	}
}
