package clash

import (
	"slices"
	"sort"
)

// sorting sorts in place by comparing where things stand: they are too large to be handed over by value.
type sorting[T any] struct {
	s       []T
	compare func(a, b *T) int
}

func (x sorting[T]) Len() int           { return len(x.s) }
func (x sorting[T]) Less(i, j int) bool { return x.compare(&x.s[i], &x.s[j]) < 0 }
func (x sorting[T]) Swap(i, j int)      { x.s[i], x.s[j] = x.s[j], x.s[i] }

// sortParallel sorts, equals in no promised order, on several processors where there is much to sort.
func sortParallel[T any](s []T, workers int, compare func(a, b *T) int) {
	if workers < 2 || len(s) < 1<<13 {
		sort.Sort(sorting[T]{s, compare})
		return
	}
	half := len(s) / 2
	done := make(chan struct{})
	go func() {
		sortParallel(s[:half], workers/2, compare)
		close(done)
	}()
	sortParallel(s[half:], workers-workers/2, compare)
	<-done
	if compare(&s[half-1], &s[half]) <= 0 {
		return
	}
	low := slices.Clone(s[:half])
	i, j := 0, half
	for k := 0; i < len(low); k++ {
		if j < len(s) && compare(&s[j], &low[i]) < 0 {
			s[k] = s[j]
			j++
		} else {
			s[k] = low[i]
			i++
		}
	}
}
