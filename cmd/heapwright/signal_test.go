package main

import (
	"bufio"
	"errors"
	"io"
	"os"
	"os/exec"
	"runtime"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/cmd/heapwright/internal/cli"
)

// TestSignals: Ctrl+C and a plain kill both end the page in good order.
func TestSignals(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("processes cannot be sent these signals there")
	}
	for _, signal := range []os.Signal{os.Interrupt, syscall.SIGTERM} {
		c := exec.CommandContext(t.Context(), "heapwright", "serve")
		c.WaitDelay = 10 * time.Second
		out, err := c.StdoutPipe()
		require.NoError(t, err)
		problems, err := c.StderrPipe()
		require.NoError(t, err)
		require.NoError(t, c.Start())
		_, err = bufio.NewReader(out).ReadString('\n')
		require.NoError(t, err)
		require.NoError(t, c.Process.Signal(signal))
		told, err := io.ReadAll(problems)
		require.NoError(t, err)
		exit, ok := errors.AsType[*exec.ExitError](c.Wait())
		require.True(t, ok)
		assert.Equal(t, cli.ExitInterrupted, exit.ExitCode(), signal)
		assert.Contains(t, string(told), "heapwright: stopped", signal)
	}
}
