package region

// A queue gives back what was put into it, the first first: a binary heap.
type queue[T any] struct {
	all    []T
	before func(a, b *T) bool
}

func (q *queue[T]) put(v T) {
	q.all = append(q.all, v)
	for at := len(q.all) - 1; at > 0; {
		above := (at - 1) / 2
		if !q.before(&q.all[at], &q.all[above]) {
			return
		}
		q.all[at], q.all[above] = q.all[above], q.all[at]
		at = above
	}
}

// take takes out the first; the queue must not be empty.
func (q *queue[T]) take() T {
	first, last := q.all[0], len(q.all)-1
	q.all[0] = q.all[last]
	q.all = q.all[:last]
	for at := 0; ; {
		next := 2*at + 1
		if next >= last {
			return first
		}
		if next+1 < last && q.before(&q.all[next+1], &q.all[next]) {
			next++
		}
		if !q.before(&q.all[next], &q.all[at]) {
			return first
		}
		q.all[at], q.all[next] = q.all[next], q.all[at]
		at = next
	}
}
