package segment

// What tests outside the package share with those inside.
var (
	Parallel = parallel
	UnrestOf = unrestOf
	Borrow   = borrow
)
