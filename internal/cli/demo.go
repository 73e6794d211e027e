package cli

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"midcase/internal/demo"
)

type demoCmd struct {
	Dir      string `help:"Folder of the demo shop; default the user's cache folder." type:"path" placeholder:"DIR"`
	OnlyMake bool   `help:"Make the shop and the plain files, do not serve."`
	Addr     string `help:"Address to serve on." default:"127.0.0.1:0"`
	Seed     uint64 `help:"Seed of the invented world." default:"1"`
	NoOpen   bool   `help:"Do not open a browser."`
	// For tests in a browser, which need a small shop quickly.
	Watches    int  `help:"Make only the first so many watches; 0 makes all." hidden:""`
	NoPictures bool `help:"Draw no pictures and write no plain files." hidden:""`
}

// demoStamp marks a folder as a demo shop, so that no other folder is written into.
type demoStamp struct {
	Seed    uint64 `json:"seed"`
	Version string `json:"version"`
	Whole   bool   `json:"whole"` // everything was made, pictures too
}

const demoFile = "demo.json"

// Run makes what is missing and serves it. Serving begins as soon as the watches are
// in; pictures follow while it serves.
func (c demoCmd) Run(a *app) error {
	dir, err := c.folder()
	if err != nil {
		return err
	}
	stamp, err := c.claim(dir)
	if err != nil {
		return err
	}
	world := demo.NewWorld(c.Seed)
	if c.Watches > 0 && c.Watches < len(world.Watches) {
		world.Watches = world.Watches[:c.Watches]
	}
	if !stamp.Whole {
		fmt.Fprintf(a.err, "making the demo shop in %s\n", dir)
		if err := world.WriteBook(filepath.Join(dir, bookFolder)); err != nil {
			return err
		}
	}
	s, err := a.openAt(dir, true)
	if err != nil {
		return err
	}
	defer s.close()
	if !stamp.Whole {
		if err := world.Fill(a.ctx, s.Shop); err != nil {
			return fmt.Errorf("demo: %w", err)
		}
		if _, err := s.keepBook(a, false); err != nil {
			return fmt.Errorf("demo: %w", err)
		}
	}
	if err := demo.FillPeople(a.ctx, s.Shop); err != nil {
		return err
	}
	if c.OnlyMake {
		return c.finish(a, s, world, dir, stamp)
	}
	// The background work ends before the store is closed.
	finished := make(chan error, 1)
	go func() { finished <- c.finish(a, s, world, dir, stamp) }()
	err = a.serve(s, serving{addr: c.Addr, open: !c.NoOpen, invented: true})
	if ferr := <-finished; ferr != nil && a.ctx.Err() == nil {
		err = errors.Join(err, ferr)
	}
	return err
}

// finish makes pictures, sounds and plain files.
func (c demoCmd) finish(a *app, s *opened, world *demo.World, dir string, stamp demoStamp) error {
	if stamp.Whole || c.NoPictures {
		return nil
	}
	if err := world.FillPictures(a.ctx, s.Shop, dir, a.progress("drawing pictures")); err != nil {
		return fmt.Errorf("demo: %w", err)
	}
	if err := world.WritePlain(dir, nil); err != nil {
		return fmt.Errorf("demo: %w", err)
	}
	stamp.Whole = c.Watches == 0 // a cut shop is filled up by the next run
	return writeStamp(dir, stamp)
}

func (c demoCmd) folder() (string, error) {
	if c.Dir != "" {
		return c.Dir, nil
	}
	cache, err := os.UserCacheDir()
	if err != nil {
		return "", wrong("where to make the demo shop? give --dir DIR")
	}
	return filepath.Join(cache, "midcase", "demo"), nil
}

// claim makes the folder a demo shop, or finds that it is one of this seed and
// version. A folder that holds anything else is refused.
func (c demoCmd) claim(dir string) (demoStamp, error) {
	want := demoStamp{Seed: c.Seed, Version: Version}
	b, err := os.ReadFile(filepath.Join(dir, demoFile))
	switch {
	case err == nil:
		var have demoStamp
		if err := json.Unmarshal(b, &have); err != nil {
			return want, fmt.Errorf("%s: %w", filepath.Join(dir, demoFile), err)
		}
		if have.Seed != want.Seed || have.Version != want.Version {
			return want, fmt.Errorf("%s holds the demo shop of seed %d, version %s; give another --dir, or remove that folder", dir, have.Seed, have.Version)
		}
		return have, nil
	case !errors.Is(err, fs.ErrNotExist):
		return want, err
	}
	if entries, err := os.ReadDir(dir); err == nil && len(entries) > 0 {
		return want, fmt.Errorf("%s is not empty and no demo shop; give another --dir", dir)
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return want, fmt.Errorf("demo folder: %w", err)
	}
	return want, writeStamp(dir, want)
}

func writeStamp(dir string, s demoStamp) error {
	b, err := json.Marshal(s)
	if err != nil {
		return err
	}
	return writeWhole(filepath.Join(dir, demoFile), append(b, '\n'))
}
