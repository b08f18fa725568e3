package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"heapwright/cmd/heapwright/internal/cli"
)

// mixed runs heapwright mix and returns its exit code and its text, unwrapped.
func mixed(t *testing.T, args ...string) (code int, text string) {
	t.Helper()
	var out, problems bytes.Buffer
	code = cli.Main(context.Background(), append([]string{"mix"}, args...), strings.NewReader(""), &out, &problems)
	if problems.Len() > 0 {
		t.Fatalf("mix %v: %s", args, problems.String())
	}
	return code, strings.Join(strings.Fields(out.String()), " ")
}

var (
	getLine = regexp.MustCompile(`- Get (.+?): C:N`)
	another = regexp.MustCompile(` and (\d)`)
	onePart = regexp.MustCompile(`^([0-9.]+) (\S+)( more)? of (.+?)(?: \([0-9.]+ kg\))?$`)
	allIn   = regexp.MustCompile(`- Get [0-9.]+ \S+( more)? of ([^:(]+?)(?: \([0-9.]+ kg\))?: [^()]+ \(([0-9.]+) (\S+) would let all`)
)

// onHand is the number of a unit that a plan has of a material.
func onHand(t *testing.T, plan, material string) float64 {
	t.Helper()
	found := regexp.MustCompile(`(?m)^"?` + material + `"? = (?:\{ amount = )?"([0-9.]+) `).FindStringSubmatch(plan)
	if found == nil {
		t.Fatalf("no %s in the plan", material)
	}
	v, err := strconv.ParseFloat(found[1], 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// TestPrintedRepairsWork adds each repair to its plan just as it is printed,
// and formulates again.
func TestPrintedRepairsWork(t *testing.T) {
	for _, name := range []string{"too-rich", "too-poor", "too-wet", "too-dense", "share-and-least", "twelve"} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join("..", "..", "testdata", "plans", name+".toml")
			text, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			code, out := mixed(t, path)
			if code != 3 {
				t.Fatalf("exit code %d, want 3", code)
			}
			add := func(number, unit, more, material string) []string {
				v, err := strconv.ParseFloat(number, 64)
				if err != nil {
					t.Fatal(err)
				}
				if more != "" {
					v += onHand(t, string(text), material)
				}
				return []string{"--have", fmt.Sprintf("%s=%g %s", material, v, unit)}
			}
			repairs := getLine.FindAllStringSubmatch(out, -1)
			if len(repairs) < 3 {
				t.Fatalf("%d repairs in: %s", len(repairs), out)
			}
			for _, repair := range repairs {
				args := []string{path, "--format", "csv"} // the exit code tells
				for part := range strings.SplitSeq(another.ReplaceAllString(repair[1], "\n$1"), "\n") {
					found := onePart.FindStringSubmatch(part)
					if found == nil {
						t.Fatalf("cannot read %q", part)
					}
					args = append(args, add(found[1], found[2], found[3], found[4])...)
				}
				if code, out := mixed(t, args...); code != 0 {
					t.Errorf("%s: exit code %d: %s", repair[1], code, out)
				}
			}
			everything := allIn.FindAllStringSubmatch(out, -1)
			if len(everything) == 0 && strings.Contains(out, "would let all") {
				t.Fatalf("cannot read what would let all go in: %s", out)
			}
			for _, all := range everything {
				if code, out := mixed(t, append([]string{path, "--format", "csv"}, add(all[3], all[4], all[1], all[2])...)...); code != 0 {
					t.Errorf("%s: exit code %d: %s", all[0], code, out)
				}
			}
		})
	}
}
