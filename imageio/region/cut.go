package region

import "math"

// A network is cells joined to one another, to a source (the wood) and to a sink (the rest), each link with a capacity both ways.
type network struct {
	to, back []int // of each link: where it leads, and the link that leads back
	left     []float64
	from     [][]int // the links of each node
}

func newNetwork(nodes int) *network { return &network{from: make([][]int, nodes)} }

func (n *network) join(a, b int, there, back float64) {
	n.to, n.left = append(n.to, b, a), append(n.left, there, back)
	k := len(n.to) - 2
	n.back = append(n.back, k+1, k)
	n.from[a], n.from[b] = append(n.from[a], k), append(n.from[b], k+1)
}

// cut fills the network from source to sink and reports which nodes are then still reached from the source: by that the links between
// both sides have the least capacity in all. Source: Dinic (1970), by levels.
func (n *network) cut(source, sink int) []bool {
	level, next := make([]int, len(n.from)), make([]int, len(n.from))
	for n.levels(level, source); level[sink] >= 0; n.levels(level, source) {
		clear(next)
		for n.push(level, next, source, sink, math.Inf(1)) > tiny {
		}
	}
	reached := make([]bool, len(n.from))
	for i := range reached {
		reached[i] = level[i] >= 0
	}
	return reached
}

const tiny = 1e-9

// levels numbers the nodes by how many links they are from the source; −1 where it does not reach.
func (n *network) levels(level []int, source int) {
	for i := range level {
		level[i] = -1
	}
	level[source] = 0
	queue := []int{source}
	for len(queue) > 0 {
		at := queue[0]
		queue = queue[1:]
		for _, k := range n.from[at] {
			if n.left[k] > tiny && level[n.to[k]] < 0 {
				level[n.to[k]] = level[at] + 1
				queue = append(queue, n.to[k])
			}
		}
	}
}

// push sends as much as goes along one way of rising levels, at most so much.
func (n *network) push(level, next []int, at, sink int, most float64) float64 {
	if at == sink {
		return most
	}
	for ; next[at] < len(n.from[at]); next[at]++ {
		k := n.from[at][next[at]]
		if to := n.to[k]; n.left[k] > tiny && level[to] == level[at]+1 {
			if sent := n.push(level, next, to, sink, min(most, n.left[k])); sent > tiny {
				n.left[k] -= sent
				n.left[n.back[k]] += sent
				return sent
			}
		}
	}
	return 0
}
