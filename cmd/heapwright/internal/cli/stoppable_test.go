package cli

import (
	"bytes"
	"context"
	"io"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestStopWhileReading waits for a plan that nobody types, and stops.
func TestStopWhileReading(t *testing.T) {
	in, typed := io.Pipe()
	defer typed.Close()
	for _, args := range [][]string{{"mix", "-"}, {"serve", "-"}, {"log", "-"}, {"season", "-"}} {
		ctx, stop := context.WithTimeout(t.Context(), 50*time.Millisecond)
		var out, errOut bytes.Buffer
		code := make(chan int, 1)
		go func() { code <- Main(ctx, args, in, &out, &errOut) }()
		select {
		case got := <-code:
			assert.Equal(t, ExitInterrupted, got, args)
			assert.Equal(t, "heapwright: stopped\n", errOut.String(), args)
		case <-time.After(10 * time.Second):
			t.Fatalf("%v goes on", args)
		}
		stop()
	}
}

func TestStoppableReadsAll(t *testing.T) {
	text := strings.Repeat("leaves ", 5000)
	require.NoError(t, iotest.TestReader(stoppable{t.Context(), strings.NewReader(text)}, []byte(text)))
}
