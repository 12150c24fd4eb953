package workouts

// Nearest is the word that can be had from s with the fewest edits, at most
// two and fewer than half its letters, or one of two; empty when there is none.
func Nearest(s string, words []string) string {
	best, least := "", 3
	for _, w := range words {
		if d, n := edits(s, w), max(len(s), len(w)); d < least && (2*d < n || d == 1 && n == 2) {
			best, least = w, d
		}
	}
	return best
}

// edits is the number of letters to insert, delete, change or swap with their
// neighbour that turns a into b (Damerau 1964, optimal string alignment); 3
// or more is not counted out.
func edits(a, b string) int {
	x, y := []rune(a), []rune(b)
	if len(x)-len(y) > 2 || len(y)-len(x) > 2 {
		return 3
	}
	rows := [3][]int{make([]int, len(y)+1), make([]int, len(y)+1), make([]int, len(y)+1)}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(x); i++ {
		row, above, before := rows[i%3], rows[(i+2)%3], rows[(i+1)%3]
		row[0] = i
		for j := 1; j <= len(y); j++ {
			change := above[j-1]
			if x[i-1] != y[j-1] {
				change++
			}
			row[j] = min(change, above[j]+1, row[j-1]+1)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
	}
	return rows[len(x)%3][len(y)]
}
