package cli

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"filippo.io/age"

	"midcase/internal/backup"
)

type backupCmd struct {
	Dest    string `arg:"" help:"Folder, or s3://HOST/BUCKET/PREFIX with key and secret in MIDCASE_S3_KEY and MIDCASE_S3_SECRET."`
	ToKey   string `help:"Encrypt for this recipient of age." placeholder:"age1…"`
	Keys    bool   `help:"Copy the shop's keys, too; only together with --to-key."`
	KeepAll bool   `help:"Remove no old backup. Otherwise the newest seven stay, and one of each of the last 14 days, 8 weeks and 24 months."`
	JSON    bool   `name:"json" help:"Print JSON."`
}

// Run backs the shop up while it may be served.
func (c backupCmd) Run(a *app) error {
	place, err := backup.At(c.Dest)
	if err != nil {
		return misuse{err}
	}
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	made, err := backup.Make(a.ctx, s.source(), place, backup.Options{Recipient: c.ToKey, WithKeys: c.Keys,
		KeepAll: c.KeepAll, Now: a.now(), Program: Version})
	if err != nil {
		return err
	}
	if err := backup.Note(a.ctx, s.Shop.Shop, c.Dest); err != nil {
		return err
	}
	for _, name := range made.Damaged {
		fmt.Fprintf(a.err, "warning: %s is damaged and is not in the backup\n", name)
	}
	if c.JSON {
		return a.printJSON(made)
	}
	_, err = fmt.Fprintf(a.out, "backup %s: %s, %d of them new; log %s\n", made.Snapshot, count(made.Files, "file"),
		made.NewFiles, made.Head)
	return err
}

// source is the shop as it is backed up.
func (o *opened) source() backup.Source {
	return backup.Source{Store: o.store, Blobs: o.blobs, Dir: o.dir, Book: filepath.Join(o.dir, bookFolder),
		Keys: keyFiles(), Database: storeFile, BlobFolder: blobFolder}
}

// keyFiles are the shop's secrets, which are kept apart from its backups.
func keyFiles() []string { return []string{clientKeyFile, logKeyFile} }

type restoreCmd struct {
	Src      string `arg:"" help:"Where the backups are: a folder, or s3://HOST/BUCKET/PREFIX."`
	Snapshot string `help:"Which backup; default the newest." placeholder:"NAME"`
	List     bool   `help:"List the backups and restore nothing."`
	Identity string `help:"File with the identity of age for an encrypted backup." type:"existingfile" placeholder:"FILE"`
	JSON     bool   `name:"json" help:"Print JSON."`
}

// Run restores into the folder that --shop names, which must be new; the records into the database that MIDCASE_STORE
// names, which must be empty, where it is set.
func (c restoreCmd) Run(a *app) error {
	place, err := backup.At(c.Src)
	if err != nil {
		return misuse{err}
	}
	if c.List {
		return c.list(a, place)
	}
	if a.shop == "" {
		return wrong("into which folder? give --shop DIR, a new one")
	}
	ids, err := c.identities()
	if err != nil {
		return err
	}
	out, err := backup.Restore(a.ctx, place, backup.Restoring{Snapshot: c.Snapshot, Into: a.shop, Identities: ids,
		Database: storeFile, BlobFolder: blobFolder, Book: bookFolder,
		Server: os.Getenv(storeURLVariable), ClientKey: keptClientKey})
	if err != nil {
		return err
	}
	for _, name := range out.Missing {
		fmt.Fprintf(a.err, "warning: %s was damaged before the backup was made and is missing\n", name)
	}
	if !exists(filepath.Join(a.shop, clientKeyFile)) && os.Getenv(clientKeyVariable) == "" {
		fmt.Fprintf(a.err, "the key of the client data is not in this backup: put %s into %s\n", clientKeyFile, a.shop)
	}
	if c.JSON {
		return a.printJSON(out)
	}
	_, err = fmt.Fprintf(a.out, "restored and checked: backup %s, %s, log %s\n", out.Snapshot,
		count(out.Files, "file"), out.Head)
	return err
}

func (c restoreCmd) list(a *app, place backup.Place) error {
	all, err := backup.Snapshots(a.ctx, place)
	if err != nil {
		return err
	}
	if c.JSON {
		return a.printJSON(append([]string{}, all...))
	}
	_, err = fmt.Fprint(a.out, strings.Join(append(all, ""), "\n"))
	return err
}

func (c restoreCmd) identities() ([]age.Identity, error) {
	if c.Identity == "" {
		return nil, nil
	}
	f, err := os.Open(c.Identity)
	if err != nil {
		return nil, err
	}
	ids, err := backup.ReadIdentities(f)
	return ids, errors.Join(err, f.Close())
}
