package main

import (
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/urfave/cli/v2"

	"voidline/io/whole"
	"voidline/reports/words"
)

//go:embed starter/*.csv
var starter embed.FS

func newCommand(w *world) *cli.Command {
	return &cli.Command{
		Name:      "new",
		Usage:     "write a small project to start from",
		ArgsUsage: "DIR",
		Description: "Writes one bay with a beam, a duct, a pipe and a tray as CSV tables into DIR, which is made if it is not\n" +
			"there. No file is ever written over.",
		OnUsageError: usageError,
		Action: func(c *cli.Context) error {
			dir, err := folder(c)
			if err != nil {
				return err
			}
			return start(w, dir)
		},
	}
}

// start writes the starter project; with one of its files there already it writes nothing.
func start(w *world, dir string) error {
	files, err := fs.Glob(starter, "starter/*.csv")
	if err != nil {
		return err
	}
	if info, err := os.Stat(dir); err == nil && !info.IsDir() {
		return exit{statusUsage, fmt.Errorf("%s is a file, not a folder", dir)}
	}
	var there []string
	for _, f := range files {
		if _, err := os.Lstat(filepath.Join(dir, filepath.Base(f))); err == nil {
			there = append(there, filepath.Base(f))
		} else if !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	if len(there) > 0 {
		return exit{statusUsage, fmt.Errorf("%s has %s already: nothing was written", dir, strings.Join(there, ", "))}
	}
	if err := w.write(w.ctx, func() error {
		if err := os.MkdirAll(dir, 0o755); err != nil {
			return err
		}
		for _, f := range files {
			data, err := starter.ReadFile(f)
			if err != nil {
				return err
			}
			if err := whole.WriteFile(filepath.Join(dir, filepath.Base(f)), data); err != nil {
				return err
			}
		}
		return nil
	}); err != nil {
		return err
	}
	fmt.Fprintf(w.out, "Wrote %d tables to %s. Next: voidline check %s\n", len(files), words.Clean(dir), words.Clean(dir))
	return nil
}
