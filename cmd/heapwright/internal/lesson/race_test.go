//go:build race

package lesson_test

// raced is set where every step costs ten times as much.
const raced = true
