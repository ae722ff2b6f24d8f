package ifc

import (
	"archive/zip"
	"context"
	"fmt"
	"io"
	"os"
	"path"
	"strings"
)

// unzip takes the one model out of a zipped file, to a temporary file that Close takes away.
func (f *File) unzip(ctx context.Context, in *os.File, size int64) error {
	z, err := zip.NewReader(in, size)
	if err != nil {
		return f.whole("it is zipped, and damaged: " + err.Error())
	}
	var model *zip.File
	for _, e := range z.File {
		if !strings.EqualFold(path.Ext(e.Name), ".ifc") || strings.HasPrefix(path.Base(e.Name), ".") || strings.HasPrefix(e.Name, "__MACOSX/") {
			continue
		}
		if model != nil {
			return f.whole(fmt.Sprintf("it holds more than one model, %s and %s; unzip it and give them by name", path.Base(model.Name), path.Base(e.Name)))
		}
		model = e
	}
	if model == nil {
		return f.whole("no .ifc in it")
	}
	most := min(mostBytes, max(size*mostRatio, 1<<20))
	if model.UncompressedSize64 > uint64(most) {
		return f.whole(fmt.Sprintf("it unfolds to %d MB; at most %d times its size, and %d MB, are read", model.UncompressedSize64>>20, mostRatio, int64(mostBytes)>>20))
	}
	from, err := model.Open()
	if err != nil {
		return f.whole("it is zipped, and cannot be unzipped: " + err.Error())
	}
	defer from.Close()
	out, err := os.CreateTemp("", "voidline-*.ifc")
	if err != nil {
		return fmt.Errorf("%s: cannot be unzipped: %w", f.Name, bare(err))
	}
	defer in.Close()
	f.in = out
	// An open file needs no name where the system allows it: then nothing is left, however the program ends.
	if err := os.Remove(out.Name()); err != nil {
		f.remove = out.Name()
	}
	// What the entry says of its size may be a lie: what comes out is counted.
	n, err := io.Copy(out, io.LimitReader(stopping{ctx, from}, most+1))
	if err == nil && n > most {
		return f.whole(fmt.Sprintf("it unfolds to more than %d MB: not read", most>>20))
	}
	if err != nil {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		return f.whole("it is zipped, and cannot be unzipped: " + bare(err).Error())
	}
	f.Bytes = n
	return nil
}

// stopping is a reader that ends when it is told to.
type stopping struct {
	ctx context.Context
	io.Reader
}

func (s stopping) Read(p []byte) (int, error) {
	if err := s.ctx.Err(); err != nil {
		return 0, err
	}
	return s.Reader.Read(p)
}
