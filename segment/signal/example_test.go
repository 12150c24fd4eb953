package signal_test

import (
	"fmt"
	"log"
	"strings"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
)

// Records come when the device likes; the trace has a cell for every second.
func ExampleBuild() {
	var csv strings.Builder
	csv.WriteString("t_s,distance_m\n")
	for t := 0; t <= 600; t += 4 { // a record every four seconds, 3 m/s throughout
		fmt.Fprintf(&csv, "%d,%d\n", t, 3*t)
	}
	recordings, err := recording.Read("run.csv", strings.NewReader(csv.String()))
	if err != nil {
		log.Fatal(err)
	}
	tr := signal.Build(recordings[0])
	fmt.Printf("source %s, %d cells, %.1f m/s\n", tr.Source, tr.Len(), tr.Speed[300])
	fmt.Printf("at 2:30.5 it was at %.1f m\n", tr.DistanceAt(150.5))
	// Output:
	// source distance, 600 cells, 3.0 m/s
	// at 2:30.5 it was at 451.5 m
}

// Running up a slope of 10 % costs two thirds more than on the flat; down the
// same slope it costs less.
func ExampleCostOfRunning() {
	for _, grade := range []float64{-0.1, 0, 0.1} {
		fmt.Printf("%+3.0f %%: %.1f J/(kg m)\n", 100*grade, signal.CostOfRunning(grade))
	}
	// Output:
	// -10 %: 2.2 J/(kg m)
	//  +0 %: 3.6 J/(kg m)
	// +10 %: 6.0 J/(kg m)
}
