// Package changepoint finds where the level of a series changes.
package changepoint
