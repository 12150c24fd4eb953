package segment

// What tests outside the package share with those inside.
var (
	Parallel      = parallel
	UnrestOf      = unrestOf
	Borrow        = borrow
	DrawMargin    = drawMargin
	MarginBorders = marginBorders
	MarginBin     = marginBin
	ToldEven      = float64(toldEven)
	ToldBy        = float64(toldBy)
)
