package notation

// GenWorkout draws anything that can be written.
var GenWorkout = genWorkout
