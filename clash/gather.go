package clash

import (
	"context"
	"sync"

	"voidline/clash/book"
	"voidline/clash/rules"
)

// newBook is an empty book of the check.
func (c *Check) newBook() *book.Book { return book.New(c.letsGo(), c.opt.Excused) }

// keep takes what was measured anew into the book.
func (r *run) keep(b *book.Book) { r.kept.Keep(b, r.party) }

// gather calls each for blocks of 0 to n, from several goroutines, and adds up their books in the order of the blocks.
func (r *run) gather(ctx context.Context, n int, each func(out *book.Book, h *rules.Reader, from, to int)) error {
	return r.gatherBy(ctx, n, 1<<11, each)
}

// gatherBy is gather with blocks of a size.
func (r *run) gatherBy(ctx context.Context, n, size int, each func(out *book.Book, h *rules.Reader, from, to int)) error {
	books := make([]*book.Book, (n+size-1)/size)
	var mu sync.Mutex
	free := []*rules.Reader{}
	r.Blocks(n, size, func(from, to int) {
		if ctx.Err() != nil {
			return
		}
		mu.Lock()
		var h *rules.Reader
		if k := len(free); k > 0 {
			h, free = free[k-1], free[:k-1]
		}
		mu.Unlock()
		if h == nil {
			h = r.Set.Reader()
		}
		b := r.newBook()
		each(b, h, from, to)
		r.progress(r.stage, to, n)
		mu.Lock()
		books[from/size] = b
		free = append(free, h)
		mu.Unlock()
	})
	if err := ctx.Err(); err != nil {
		return err
	}
	r.kept.Take(books...)
	return nil
}
