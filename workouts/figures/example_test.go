package figures_test

import (
	"fmt"

	"example.org/rungs/workouts/figures"
)

func ExampleUnit_Pace() {
	fmt.Println(figures.Kilometre.Pace(245), figures.Mile.Pace(245))
	// Output:
	// 4:05 6:34
}
