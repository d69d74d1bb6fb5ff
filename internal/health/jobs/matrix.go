package jobs

import "math"

// square is a square matrix in rows. The groups are small, so plain loops are
// faster here than a library that is made for large matrices.
type square struct {
	n int
	v []float64
}

func newSquare(n int) square { return square{n, make([]float64, n*n)} }

func (a square) row(i int) []float64 { return a.v[i*a.n : (i+1)*a.n] }

func (a square) clone() square { return square{a.n, append([]float64(nil), a.v...)} }

func dot(x, y []float64) float64 {
	sum := 0.0
	y = y[:len(x)]
	for i, v := range x {
		sum += v * y[i]
	}
	return sum
}

// addTo adds c times x to y.
func addTo(y []float64, c float64, x []float64) {
	y = y[:len(x)]
	for i, v := range x {
		y[i] += c * v
	}
}

// times returns a times x.
func (a square) times(x []float64) []float64 {
	y := make([]float64, a.n)
	for i := range y {
		y[i] = dot(a.row(i), x)
	}
	return y
}

// transposedTimes returns the transpose of a times x.
func (a square) transposedTimes(x []float64) []float64 {
	y := make([]float64, a.n)
	for i, v := range x {
		if v != 0 {
			addTo(y, v, a.row(i))
		}
	}
	return y
}

// timesTransposed returns a times the transpose of b.
func (a square) timesTransposed(b square) square {
	c := newSquare(a.n)
	for i := range a.n {
		row := c.row(i)
		for j := range row {
			row[j] = dot(a.row(i), b.row(j))
		}
	}
	return c
}

// product returns a times b.
func (a square) product(b square) square {
	c := newSquare(a.n)
	for i := range a.n {
		row := c.row(i)
		for k, v := range a.row(i) {
			if v != 0 {
				addTo(row, v, b.row(k))
			}
		}
	}
	return c
}

// triangular returns the lower triangle l with l l' = r' r for the rows of r,
// which it overwrites, by Householder reflections.
func triangular(r [][]float64) square {
	n := len(r[0])
	l, w := newSquare(n), make([]float64, n)
	for k := range n {
		norm := 0.0
		for _, row := range r[k:] {
			norm += row[k] * row[k]
		}
		norm = math.Sqrt(norm)
		if norm == 0 {
			continue
		}
		if r[k][k] > 0 {
			norm = -norm
		}
		r[k][k] -= norm // now column k from row k on is the reflector; half its square is:
		half := -norm * r[k][k]
		clear(w[k+1:])
		for _, row := range r[k:] {
			if row[k] != 0 {
				addTo(w[k+1:], row[k]/half, row[k+1:])
			}
		}
		for _, row := range r[k:] {
			if row[k] != 0 {
				addTo(row[k+1:], -row[k], w[k+1:])
			}
		}
		l.v[k*n+k] = norm
		for j := k + 1; j < n; j++ {
			l.v[j*n+k] = r[k][j]
		}
	}
	return l
}

// solve overwrites x with the solution of l l' x = x for a lower triangle l.
func (l square) solve(x []float64) {
	for i := range x {
		row := l.row(i)
		x[i] = (x[i] - dot(row[:i], x)) / row[i]
	}
	for i := l.n - 1; i >= 0; i-- {
		row := l.row(i)
		x[i] /= row[i]
		addTo(x[:i], -x[i], row[:i])
	}
}
