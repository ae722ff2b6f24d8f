package void

import "strings"

// Natural orders names with numbers in them as people count: A2 before A10.
func Natural(a, b string) int {
	x, y := a, b
	for x != "" && y != "" {
		nx, ny := digits(x), digits(y)
		if nx > 0 && ny > 0 {
			p, q := strings.TrimLeft(x[:nx], "0"), strings.TrimLeft(y[:ny], "0")
			if len(p) != len(q) {
				return len(p) - len(q)
			}
			if c := strings.Compare(p, q); c != 0 {
				return c
			}
			x, y = x[nx:], y[ny:]
			continue
		}
		if x[0] != y[0] {
			return int(x[0]) - int(y[0])
		}
		x, y = x[1:], y[1:]
	}
	if c := len(x) - len(y); c != 0 {
		return c
	}
	return strings.Compare(a, b)
}

func digits(s string) int {
	n := 0
	for n < len(s) && s[n] >= '0' && s[n] <= '9' {
		n++
	}
	return n
}
