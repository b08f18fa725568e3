//go:build !race

package chance

const raced = false
