//go:build race

package season_test

// raced tells that the tests run some ten times slower, under the race
// detector; those that count plans then count fewer.
const raced = true
