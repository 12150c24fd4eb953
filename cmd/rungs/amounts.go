package main

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"example.org/rungs/workouts/match"
)

// amountsFlag declares --amounts.
func amountsFlag(fs *pflag.FlagSet) *map[string]string {
	return fs.StringToString("amounts", nil, "how many `PERCENT` amounts may be off their plan: rep=6,rest=20,easy=15,ends=35\nunless you say otherwise; ends are warm-up and cool-down")
}

// amountsOf turns the values of --amounts into options.
func amountsOf(given map[string]string) (match.Amounts, error) {
	var a match.Amounts
	for name, written := range given {
		to, ok := map[string]*float64{"rep": &a.Rep, "rest": &a.Rest, "easy": &a.Easy, "ends": &a.Ends}[name]
		percent, err := strconv.ParseFloat(strings.TrimSuffix(written, "%"), 64)
		switch {
		case !ok:
			return a, fmt.Errorf("%q is none of %s", name, strings.Join([]string{"rep", "rest", "easy", "ends"}, ", "))
		case err != nil || !(percent >= 1 && percent <= match.MostAmountPct):
			return a, fmt.Errorf("%s is a percentage from 1 to %d, not %q", name, match.MostAmountPct, written)
		}
		*to = percent
	}
	return a, nil
}
