//go:build !race

package lesson_test

const raced = false
