// Package trend tells whether values rise or fall: weighted lines, rank tests, the
// closest monotone series. It knows nothing of running.
package trend
