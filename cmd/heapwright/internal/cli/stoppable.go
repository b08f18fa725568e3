package cli

import (
	"context"
	"io"
)

// stoppable is a reader whose reads end with the context: one that waits for a
// person to type would not heed Ctrl+C.
type stoppable struct {
	ctx context.Context
	in  io.Reader
}

func (s stoppable) Read(p []byte) (int, error) {
	type read struct {
		n   int
		err error
	}
	// A read that is given up goes on, and must not write into p by then.
	own, done := make([]byte, len(p)), make(chan read, 1)
	go func() {
		n, err := s.in.Read(own)
		done <- read{n, err}
	}()
	select {
	case r := <-done:
		return copy(p, own[:r.n]), r.err
	case <-s.ctx.Done():
		return 0, s.ctx.Err()
	}
}
