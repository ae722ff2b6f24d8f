package clash

import "slices"

// sortParallel sorts, equals in no promised order, on several processors where there is much to sort.
func sortParallel[T any](s []T, workers int, compare func(a, b *T) int) {
	by := func(a, b T) int { return compare(&a, &b) }
	if workers < 2 || len(s) < 1<<13 {
		slices.SortFunc(s, by)
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
