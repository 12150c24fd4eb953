package input_test

import (
	"errors"
	"fmt"
	"strings"

	"example.org/rungs/segment/input"
)

// A stream is read up to a limit, and refused beyond it.
func ExampleAll() {
	text, err := input.All(strings.NewReader("ten bytes."), 10)
	fmt.Printf("%s %v\n", text, err)
	_, err = input.All(strings.NewReader("eleven byte"), 10)
	fmt.Println(errors.Is(err, input.ErrTooLarge))
	// Output:
	// ten bytes. <nil>
	// true
}
