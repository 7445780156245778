package stat

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// The inverse times the matrix is one, and the determinant that of gonum.
func TestInverse3(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	for range 200 {
		var m [3][3]float64
		all := make([]float64, 0, 9)
		for i := range m {
			for k := range m[i] {
				m[i][k] = rng.NormFloat64()
				all = append(all, m[i][k])
			}
		}
		inverse, det := Inverse3(&m)
		want := mat.Det(mat.NewDense(3, 3, all))
		require.InDelta(t, want, det, 1e-12*(1+math.Abs(want)))
		for i := range m {
			for k := range m {
				sum, one := 0.0, 0.0
				for j := range m {
					sum += m[i][j] * inverse[j][k]
				}
				if i == k {
					one = 1
				}
				require.InDelta(t, one, sum, 1e-12*(1+1/math.Abs(det)))
			}
		}
	}
	inverse, det := Inverse3(&[3][3]float64{{1, 2, 3}, {2, 4, 6}, {0, 0, 1}})
	require.Zero(t, det)
	require.False(t, inverse[0][0]-inverse[0][0] == 0, "not finite")
}

// What is solved gives the right-hand sides again, also where a pivot is 0 and rows must be exchanged.
func TestSolve4(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 2))
	for n := range 200 {
		var m [4][4]float64
		var right [3][4]float64
		for i := range m {
			for k := range m[i] {
				m[i][k] = rng.NormFloat64()
			}
			for k := range right {
				right[k][i] = rng.NormFloat64()
			}
		}
		if n%2 == 0 {
			m[0][0], m[1][0] = 0, 0
		}
		equations, want := m, right
		Solve4(&m, right[:])
		for k := range right {
			for i := range equations {
				sum := 0.0
				for j, x := range right[k] {
					sum += equations[i][j] * x
				}
				require.InDelta(t, want[k][i], sum, 1e-9)
			}
		}
	}
	m, right := [4][4]float64{{1, 1}, {1, 1}}, [1][4]float64{{1, 2, 3, 4}}
	Solve4(&m, right[:])
	require.False(t, right[0][0]-right[0][0] == 0, "singular equations have no finite solution")
}
