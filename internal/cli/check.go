package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"midcase/internal/blobs"
	"midcase/internal/check"
	"midcase/internal/proof"
	"midcase/internal/store"
)

type checkCmd struct {
	JSON bool `name:"json" help:"Print JSON."`
}

// checked is what check prints as JSON.
type checked struct {
	OK       bool            `json:"ok"`
	Findings []store.Finding `json:"findings"`
}

var errFindings = errors.New("the shop is not whole: restore a backup, or ask somebody who knows before you go on")

// Run checks the shop and changes nothing. A database that cannot be opened is a finding, too.
func (c checkCmd) Run(a *app) error {
	dir, err := a.shopFolder()
	if err != nil {
		return err
	}
	found, err := a.checkAt(dir)
	if err != nil {
		return err
	}
	out := checked{OK: len(found) == 0, Findings: append([]store.Finding{}, found...)}
	if c.JSON {
		if err := a.printJSON(out); err != nil {
			return err
		}
	} else if err := a.printFindings(found); err != nil {
		return err
	}
	if !out.OK {
		return errFindings
	}
	return nil
}

func (a *app) printFindings(found []store.Finding) error {
	if len(found) == 0 {
		_, err := fmt.Fprintln(a.out, "Nothing is wrong: database, log, ledger, files, papers and book are as they were written.")
		return err
	}
	rows := [][]string{{"WHAT", "ID", "FINDING"}}
	for _, f := range found {
		rows = append(rows, []string{f.What, f.ID, f.Says})
	}
	return a.table(rows)
}

// checkAt checks the shop in a folder. Nothing in it is written, so that it may be a copy on a
// medium that cannot be.
func (a *app) checkAt(dir string) ([]store.Finding, error) {
	url := os.Getenv(storeURLVariable)
	if url == "" {
		url = "sqlite:" + filepath.Join(dir, storeFile)
		if err := databaseThere(dir, false); err != nil {
			return nil, err
		}
	}
	st, err := store.OpenCopy(a.ctx, url)
	if err != nil {
		return []store.Finding{{What: store.InDatabase, ID: storeFile, Says: err.Error()}}, nil
	}
	defer st.Close()
	var found []store.Finding
	key, err := keptClientKey(dir)
	switch {
	case err != nil:
		found = append(found, store.Finding{What: store.InDatabase, ID: clientKeyFile, Says: err.Error()})
	case key != nil:
		if err := st.UseClientKey(key); err != nil {
			return nil, err
		}
	}
	found = append(found, checkLogKey(dir)...)
	parts := check.Parts{Store: st, Book: filepath.Join(dir, bookFolder)}
	folder, err := blobs.Existing(filepath.Join(dir, blobFolder))
	switch {
	case err == nil:
		defer folder.Close()
		parts.Blobs = folder
	case !errors.Is(err, fs.ErrNotExist):
		return nil, err
	}
	more, err := check.All(a.ctx, parts)
	return append(found, more...), err
}

// keptClientKey is the key of the client data as it is kept; nil where there is none.
func keptClientKey(dir string) ([]byte, error) {
	if text := os.Getenv(clientKeyVariable); text != "" {
		return readKey(clientKeyVariable, text)
	}
	path := filepath.Join(dir, clientKeyFile)
	text, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	return readKey(path, string(text))
}

// checkLogKey says whether the key that signs heads and papers can be read.
func checkLogKey(dir string) []store.Finding {
	text, err := os.ReadFile(filepath.Join(dir, logKeyFile))
	if err == nil {
		_, err = proof.ReadKey(string(text))
	}
	if err == nil || errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return []store.Finding{{What: store.InHead, ID: logKeyFile,
		Says: "the key that signs heads and papers is damaged: put it back, or move it away to have a new one made"}}
}
