//go:build race

package chance

// raced tells that the race detector is on, which slows the draws some
// twentyfold and looks for other faults than the figures.
const raced = true
