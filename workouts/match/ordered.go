package match

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// mostTreatments bounds the exact distribution of Page's L, whose cost doubles
// with every treatment.
const mostTreatments = 10

// Page tests whether the values of several rows rise together from left to
// right (Page 1963, JASA 58:216-230). Every row has one value per treatment;
// ranks are given within rows, ties share the mean rank. Statistic is L. P is
// one-sided, for a rise; exact up to 10 treatments and 40 rows, where a
// fractional L that comes of ties is rounded down, which is on the safe side. P is 1 without two rows and columns or with rows of
// unequal length.
func Page(rows [][]float64) Trend {
	m := len(rows)
	if m == 0 || len(rows[0]) < 2 {
		return Trend{P: 1}
	}
	n := len(rows[0])
	var l float64
	for _, r := range rows {
		if len(r) != n {
			return Trend{P: 1}
		}
		for j, rank := range midRanks(r) {
			l += float64(j+1) * rank
		}
	}
	fm, fn := float64(m), float64(n)
	mean := fm * fn * (fn + 1) * (fn + 1) / 4
	v := fm * fn * fn * (fn + 1) * (fn*fn - 1) / 144
	t := Trend{Statistic: l, Z: (l - mean) / math.Sqrt(v)}
	t.P = distuv.UnitNormal.Survival(t.Z)
	if n <= mostTreatments && m <= 40 {
		t.P, t.Exact = pageExact(m, n, l), true
	}
	return t
}

// pageExact is P(L >= l) for m rows of n.
func pageExact(m, n int, l float64) float64 {
	one := rowSums(n)
	p := []float64{1}
	for range m {
		next := make([]float64, len(p)+len(one)-1)
		for i, a := range p {
			if a == 0 {
				continue
			}
			for j, b := range one {
				next[i+j] += a * b
			}
		}
		p = next
	}
	var sum float64
	for k, v := range p {
		if float64(k) >= math.Floor(l) {
			sum += v
		}
	}
	return math.Min(1, sum)
}

// rowSums is the distribution of sum j*rank(j) over all orders of n ranks, by
// dealing out ranks to places, a set of places at a time.
func rowSums(n int) []float64 {
	most := n * (n + 1) * (2*n + 1) / 6
	p := make([][]float64, 1<<n)
	p[0] = make([]float64, most+1)
	p[0][0] = 1
	for set := range p {
		if p[set] == nil {
			continue
		}
		rank := 1
		for b := set; b > 0; b &= b - 1 {
			rank++
		}
		for place := range n {
			if set&(1<<place) != 0 {
				continue
			}
			to := set | 1<<place
			if p[to] == nil {
				p[to] = make([]float64, most+1)
			}
			add := rank * (place + 1)
			for k, v := range p[set] {
				if v != 0 {
					p[to][k+add] += v / float64(n-rank+1)
				}
			}
		}
		if set+1 < len(p) {
			p[set] = nil
		}
	}
	return p[len(p)-1]
}

// midRanks ranks values from 1; equal ones share their mean rank.
func midRanks(y []float64) []float64 {
	order := make([]int, len(y))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(y[a], y[b]) })
	out := make([]float64, len(y))
	for i := 0; i < len(order); {
		j := i
		for j < len(order) && (j == i || y[order[j]] == y[order[i]]) {
			j++
		}
		for k := i; k < j; k++ {
			out[order[k]] = float64(i+j+1) / 2
		}
		i = j
	}
	return out
}

// Jonckheere tests whether values rise from group to group (Terpstra 1952,
// Indag. Math. 14:327-333; Jonckheere 1954, Biometrika 41:133-145). Statistic
// is J, the number of pairs of different groups in which the later group has
// the larger value, ties counting half. P is two-sided: exact without ties and
// up to 60 values, else normal. P is 1 without two groups.
func Jonckheere(groups [][]float64) Trend {
	var j, n, squares, cubes float64
	var all []float64
	k := 0
	for a, g := range groups {
		if len(g) > 0 {
			k++
		}
		all = append(all, g...)
		size := float64(len(g))
		n, squares, cubes = n+size, squares+size*size, cubes+size*size*(2*size+3)
		for _, h := range groups[a+1:] {
			for _, x := range g {
				for _, y := range h {
					j += (1 + sign(y-x)) / 2
				}
			}
		}
	}
	if k < 2 {
		return Trend{P: 1}
	}
	mean := (n*n - squares) / 4
	v := (n*n*(2*n+3) - cubes) / 72
	t := Trend{Statistic: j, Z: (j - mean) / math.Sqrt(v)}
	t.P = math.Min(1, 2*distuv.UnitNormal.Survival(math.Abs(t.Z)))
	if len(tieSizes(all)) == 0 && len(all) <= mostExact {
		t.P, t.Exact = jonckheereExact(groups, math.Abs(j-mean), mean), true
	}
	return t
}

// jonckheereExact is P(|J - mean| >= off). Without ties J counts the
// inversions between groups, and groups join one at a time: each joining has
// the distribution of a Mann-Whitney count, independent of the others.
func jonckheereExact(groups [][]float64, off, mean float64) float64 {
	p := []float64{1}
	before := 0
	for _, g := range groups {
		one := mannWhitney(before, len(g))
		next := make([]float64, len(p)+len(one)-1)
		for i, a := range p {
			for j, b := range one {
				next[i+j] += a * b
			}
		}
		p = next
		before += len(g)
	}
	var sum float64
	for k, v := range p {
		if math.Abs(float64(k)-mean) >= off-1e-9 {
			sum += v
		}
	}
	return math.Min(1, sum)
}

// mannWhitney is the distribution of the count of pairs in order between a and
// b values, all orders equally likely.
func mannWhitney(a, b int) []float64 {
	// u[j] is the distribution for i and j values, built up over i.
	u := make([][]float64, b+1)
	for j := range u {
		u[j] = []float64{1}
	}
	for i := 1; i <= a; i++ {
		next := make([][]float64, b+1)
		next[0] = []float64{1}
		for j := 1; j <= b; j++ {
			// The largest of all is one of the i (adds nothing) or one of the
			// j (is above all i).
			d := make([]float64, i*j+1)
			fi, fj := float64(i), float64(j)
			for k, v := range u[j] {
				d[k] += v * fi / (fi + fj)
			}
			for k, v := range next[j-1] {
				d[k+i] += v * fj / (fi + fj)
			}
			next[j] = d
		}
		u = next
	}
	return u[b]
}
