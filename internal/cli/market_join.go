package cli

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"midcase/market"
)

// share is a part such as 2/7.
type share struct{ n, of int }

// UnmarshalText implements encoding.TextUnmarshaler.
func (s *share) UnmarshalText(b []byte) error {
	n, of, _ := strings.Cut(string(b), "/")
	var err error
	if s.n, err = strconv.Atoi(n); err == nil {
		s.of, err = strconv.Atoi(of)
	}
	if err != nil || s.n < 1 || s.n > s.of {
		return wrong("--part: “%s” is not a part. Write it as 2/7, the second of seven", b)
	}
	return nil
}

// part reads a part of the sales file and keeps its columns for market join.
func (c marketFitCmd) part(a *app) error {
	if c.Rates != "" || c.Currency != "" || !c.AsOf.IsZero() || c.DoF != 0 {
		return wrong("--rates, --currency, --as-of and --dof are for market join, which fits; a part is only read")
	}
	in, err := os.Open(c.Sales)
	if err != nil {
		return err
	}
	defer in.Close()
	info, err := in.Stat()
	if err != nil {
		return err
	}
	p, err := market.ReadPart(in, c.Sales, c.Part.n, c.Part.of, info.Size(), market.ReadOptions{Now: a.now()})
	if err != nil {
		return err
	}
	if err := writeStream(c.Output, p.Encode); err != nil {
		return err
	}
	if !c.JSON {
		a.printRejected(p.Bad)
	}
	r := partReport{Part: p.N, Of: p.Of, Rows: p.Table.Len(), Rejected: len(p.Bad), Sum: p.Sum}
	return c.line(a, r, nil, "part %d of %d: %s rows, %s rejected", p.N, p.Of, figure(float64(r.Rows), 0),
		figure(float64(r.Rejected), 0))
}

// partReport says what a part holds.
type partReport struct {
	Part     int    `json:"part"`
	Of       int    `json:"of"`
	Rows     int    `json:"rows"`
	Rejected int    `json:"rows_rejected"`
	Sum      string `json:"sha256"` // of the whole sales file
}

type marketJoinCmd struct {
	modelFlags
	Parts  []string `arg:"" help:"All parts of one sales file, made by 'market fit --part'." placeholder:"PART"`
	Output string   `short:"o" required:"" help:"File to save the fit in." placeholder:"FIT"`
}

// Run joins the parts and fits, as market fit would have fitted the whole file.
func (c marketJoinCmd) Run(a *app) error {
	if err := folder(filepath.Dir(c.Output)); err != nil {
		return unwritable(c.Output, err)
	}
	opt, err := c.options(a, c.Parts[0])
	if err != nil {
		return err
	}
	joined, bad, err := joinParts(c.Parts)
	if err != nil {
		return err
	}
	return fitAndSave(a, c.table, c.Output, joined, bad, opt)
}

// joinParts reads parts in their order, whatever the order of their names.
func joinParts(paths []string) (*market.Table, []market.RowError, error) {
	number := map[string]int{}
	for _, path := range paths {
		in, err := os.Open(path)
		if err != nil {
			return nil, nil, err
		}
		number[path] = market.PartNumber(in)
		if err := in.Close(); err != nil {
			return nil, nil, err
		}
	}
	paths = slices.Clone(paths)
	slices.SortStableFunc(paths, func(x, y string) int { return number[x] - number[y] })
	var j market.Joining
	for _, path := range paths {
		p, err := readPart(path)
		if err != nil {
			return nil, nil, err
		}
		if err := j.Add(p, path); err != nil {
			return nil, nil, err
		}
	}
	return j.Table()
}

func readPart(path string) (*market.Part, error) {
	in, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	p, err := market.DecodePart(in)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return p, nil
}
