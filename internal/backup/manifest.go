package backup

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// format is the form of manifests that this program writes and reads.
const format = 1

// Manifest names all that a snapshot consists of. It is kept in the clear and says nothing about people.
type Manifest struct {
	Format   int            `json:"format"`
	Snapshot string         `json:"snapshot"`
	At       time.Time      `json:"at"`
	Program  string         `json:"program"`
	LogSize  int64          `json:"log_size"`
	LogRoot  string         `json:"log_root"`
	Counts   map[string]int `json:"counts"` // rows by table
	Files    []File         `json:"files"`
	Damaged  []string       `json:"damaged,omitempty"` // left out, since they were damaged before the backup
}

// File is one file of the shop's folder.
type File struct {
	Path   string `json:"path"` // in the shop's folder, with slashes
	SHA256 string `json:"sha256"`
	Size   int64  `json:"size"`
	Object string `json:"object"` // its name in the place
}

// snapshotForm names snapshots so that they sort by time.
const snapshotForm = "20060102T150405.000Z"

// Snapshots lists the snapshots in a place, the oldest first.
func Snapshots(ctx context.Context, p Place) ([]string, error) {
	names, err := p.List(ctx, snapshots)
	if err != nil {
		return nil, fmt.Errorf("list backups: %w", err)
	}
	var out []string
	for _, n := range names {
		if s, ok := strings.CutSuffix(path.Base(n), ".json"); ok {
			out = append(out, s)
		}
	}
	slices.Sort(out)
	return out, nil
}

// Read reads the manifest of a snapshot; of the newest where none is named.
func Read(ctx context.Context, p Place, snapshot string) (Manifest, error) {
	var m Manifest
	if snapshot == "" {
		all, err := Snapshots(ctx, p)
		if err != nil {
			return m, err
		}
		if len(all) == 0 {
			return m, errors.New("there is no backup here")
		}
		snapshot = all[len(all)-1]
	}
	r, err := p.Get(ctx, manifestName(snapshot))
	if errors.Is(err, fs.ErrNotExist) {
		return m, fmt.Errorf("there is no snapshot %q here", snapshot)
	}
	if err != nil {
		return m, fmt.Errorf("snapshot %s: %w", snapshot, err)
	}
	defer r.Close()
	b, err := io.ReadAll(r)
	if err != nil {
		return m, fmt.Errorf("snapshot %s: %w", snapshot, err)
	}
	if err := json.Unmarshal(b, &m); err != nil {
		return m, fmt.Errorf("snapshot %s: its manifest is damaged: %w", snapshot, err)
	}
	if m.Format > format {
		return m, fmt.Errorf("snapshot %s was made by a newer program; use a newer midcase", snapshot)
	}
	return m, m.check()
}

// check refuses a manifest that would lead out of the folder it is restored into.
func (m Manifest) check() error {
	for _, f := range m.Files {
		if !filepath.IsLocal(filepath.FromSlash(f.Path)) || len(f.SHA256) != 64 || !filepath.IsLocal(f.Object) {
			return fmt.Errorf("snapshot %s: its manifest names the file %q, which it cannot", m.Snapshot, f.Path)
		}
	}
	return nil
}

// kept chooses the snapshots that stay: the newest seven, and the newest of each of the last 14 days, 8 weeks and
// 24 months that have one.
func kept(all []string, now time.Time) map[string]bool {
	out := map[string]bool{}
	for _, s := range all[max(0, len(all)-7):] {
		out[s] = true
	}
	taken := map[string]bool{}
	for _, s := range slices.Backward(all) {
		at, err := time.Parse(snapshotForm, s)
		if err != nil {
			out[s] = true // not of our making
			continue
		}
		year, week := at.ISOWeek()
		for _, span := range []struct {
			name string
			days int
		}{{at.Format(time.DateOnly), 14}, {fmt.Sprintf("%d/%d", year, week), 56}, {at.Format("2006-01"), 730}} {
			if !taken[span.name] && now.Sub(at) < time.Duration(span.days)*24*time.Hour {
				taken[span.name], out[s] = true, true
			}
		}
	}
	return out
}

// rotate removes the snapshots that do not stay, and the objects that no snapshot uses, also where somebody removed a
// snapshot by hand.
func rotate(ctx context.Context, p Place, now time.Time) (removed int, err error) {
	all, err := Snapshots(ctx, p)
	if err != nil {
		return 0, err
	}
	stay := kept(all, now)
	used := map[string]bool{}
	for _, s := range all {
		if !stay[s] {
			continue
		}
		m, err := Read(ctx, p, s)
		if err != nil {
			return 0, err // what it uses is not known, so nothing goes
		}
		for _, f := range m.Files {
			used[f.Object] = true
		}
	}
	for _, s := range all {
		if stay[s] {
			continue
		}
		if err := p.Remove(ctx, manifestName(s)); err != nil {
			return removed, fmt.Errorf("remove backup %s: %w", s, err)
		}
		removed++
	}
	there, err := p.List(ctx, objects)
	if err != nil {
		return removed, err
	}
	for _, name := range there {
		if !used[name] {
			if err := p.Remove(ctx, name); err != nil {
				return removed, fmt.Errorf("remove %s: %w", name, err)
			}
		}
	}
	return removed, nil
}
