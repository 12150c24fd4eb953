package main

import "example.org/rungs/workouts"

// didYouMean is a hint at the known word nearest to the one given, or empty
// when none is near.
func didYouMean(given string, words []string) string {
	if near := workouts.Nearest(given, words); near != "" {
		return "; did you mean " + near + "?"
	}
	return ""
}
