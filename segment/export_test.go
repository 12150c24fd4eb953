package segment

// What tests outside the package share with those inside.
var (
	Parallel = parallel
	UnrestOf = unrestOf
	Borrow   = borrow
	ToldEven = float64(toldEven)
	ToldBy   = float64(toldBy)
)
