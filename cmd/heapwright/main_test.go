package main

import (
	"errors"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"heapwright": main,
	})
}

// TestScripts runs the command as a person would; -update rewrites the golden
// output, which is then to be read.
func TestScripts(t *testing.T) {
	plans, err := filepath.Abs("../../testdata/plans")
	if err != nil {
		t.Fatal(err)
	}
	seasons, err := filepath.Abs("../../testdata/seasons")
	if err != nil {
		t.Fatal(err)
	}
	logs, err := filepath.Abs("../../testdata/logs")
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:           "testdata/script",
		UpdateScripts: os.Getenv("UPDATE") != "",
		Setup: func(env *testscript.Env) error {
			env.Setenv("PLANS", plans)
			env.Setenv("SEASONS", seasons)
			env.Setenv("LOGS", logs)
			// Under -race every process would wait a second before it ends.
			env.Setenv("GORACE", "atexit_sleep_ms=0")
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"exits":   exits,
			"narrow":  narrow,
			"rounded": rounded,
		},
	})
}

// exits CODE COMMAND... runs a command and asserts its exit code.
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits CODE COMMAND ARGS")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		exit, ok := errors.AsType[*exec.ExitError](err)
		if !ok {
			ts.Fatalf("%v", err)
		}
		got = exit.ExitCode()
	}
	if got != want {
		ts.Fatalf("exit code %d, want %d", got, want)
	}
}

// rounded FROM TO copies a file with its numbers at six digits: the rest differ
// from one processor to the next.
func rounded(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: rounded FROM TO")
	}
	number := regexp.MustCompile(`-?[0-9]+\.[0-9]{4,}(e-?[0-9]+)?|-?[0-9]+e-[0-9]+`)
	text := number.ReplaceAllStringFunc(ts.ReadFile(args[0]), func(s string) string {
		v, err := strconv.ParseFloat(s, 64)
		ts.Check(err)
		if math.Abs(v) < 1e-6 {
			return "0"
		}
		return strconv.FormatFloat(v, 'g', 6, 64)
	})
	ts.Check(os.WriteFile(ts.MkAbs(args[1]), []byte(text), 0o600))
}

// narrow FILE asserts that no line is longer than a terminal of 80 columns.
func narrow(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: narrow FILE")
	}
	for line := range strings.SplitSeq(ts.ReadFile(args[0]), "\n") {
		if n := utf8.RuneCountInString(line); n > 80 {
			ts.Fatalf("%d characters: %s", n, line)
		}
	}
}
