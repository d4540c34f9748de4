//go:build !race

package wire_test

// slower is what bounds of time are multiplied by under the race detector.
const slower = 1
