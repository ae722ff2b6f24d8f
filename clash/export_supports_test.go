package clash

import "context"

// SupportsAlone checks supports and nothing else, for benchmarks; it returns how many findings come of them.
func (c *Check) SupportsAlone(ctx context.Context) (findings int, err error) {
	c.laid(0)
	c.holders = nil
	r := &run{Check: c, book: &book{}}
	if err := r.supports(ctx); err != nil {
		return 0, err
	}
	return len(r.findings), nil
}
