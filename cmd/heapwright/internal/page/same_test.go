package page_test

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"heapwright/cmd/heapwright/internal/cli"
	"heapwright/cmd/heapwright/internal/page"
	"heapwright/feedstocks"
)

// serve runs "heapwright serve" as a person would, and gives its address.
func serve(t testing.TB, args ...string) string {
	t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	out, in := io.Pipe()
	var errOut bytes.Buffer
	code := make(chan int, 1)
	go func() {
		code <- cli.Main(ctx, append([]string{"serve"}, args...), strings.NewReader(""), in, &errOut)
		in.Close()
	}()
	line := make([]byte, 200)
	n, err := out.Read(line)
	require.NoError(t, err)
	t.Cleanup(func() {
		stop()
		require.Equal(t, cli.ExitInterrupted, <-code)
		require.Contains(t, errOut.String(), "heapwright: stopped")
	})
	address := strings.TrimSpace(string(line[:n]))
	require.Regexp(t, `^http://127\.0\.0\.1:[0-9]+/$`, address)
	return address
}

func post(t testing.TB, address string, v url.Values) (status int, header http.Header, body string) {
	t.Helper()
	client := http.Client{Timeout: 20 * time.Second}
	r, err := client.PostForm(address, v)
	require.NoError(t, err)
	defer r.Body.Close()
	all, err := io.ReadAll(r.Body)
	require.NoError(t, err)
	return r.StatusCode, r.Header, string(all)
}

func command(t testing.TB, args ...string) string {
	t.Helper()
	var out, errOut bytes.Buffer
	code := cli.Main(t.Context(), args, strings.NewReader(""), &out, &errOut)
	require.Contains(t, []int{cli.ExitDone, cli.ExitNo}, code, errOut.String())
	return out.String()
}

// TestSameAsTheCommand opens each example plan on the page and asks: what comes
// is to the last digit what the command prints for the plan, and for the plan
// that the page saves.
func TestSameAsTheCommand(t *testing.T) {
	lib, err := feedstocks.Default()
	require.NoError(t, err)
	plans, err := filepath.Glob(filepath.Join("..", "..", "..", "..", "testdata", "plans", "*.toml"))
	require.NoError(t, err)
	require.NotEmpty(t, plans)
	address := serve(t)
	texts := map[string]string{"awkward": `title = "\"Quo'ted\" \\ листья 葉\n[x]"
[on_hand]
"li'l \"hop\" = waste 🍂" = "3 barrows"
"leaves #2\nof the [oak]" = { feedstock = "leaves", amount = "9 sacks", moisture = [30, 38, 45] }
[feedstock."li'l \"hop\" = waste 🍂"]
nitrogen = 3.1
carbon_to_nitrogen = 14
moisture = 70
bulk_density = "420 kg/m3"
source = "a sheet, \"3 November\""
`}
	for _, file := range plans {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		texts[filepath.Base(file)] = string(text)
	}
	for name, text := range texts {
		for _, mode := range []string{"mix", "check", "whole"} {
			t.Run(name+" "+mode, func(t *testing.T) {
				form, err := page.FormOf(text, "plan.toml", lib)
				require.NoError(t, err)
				form.Mode, form.Whole = mode, mode == "whole"
				asked := []string{"check", "--format", "json"}
				if mode != "check" {
					form.Mode, asked = "mix", []string{"mix", "--format", "json"}
				}
				if form.Whole {
					asked = append(asked, "--whole")
				}
				dir := t.TempDir()
				original := filepath.Join(dir, "original.toml")
				require.NoError(t, os.WriteFile(original, []byte(text), 0o600))
				want := command(t, append(asked, original)...)

				status, _, got := post(t, address+"answer.json", form.Values())
				require.Equal(t, 200, status, got)
				require.Equal(t, want, got, "the page and the command differ")

				status, header, saved := post(t, address+"plan.toml", form.Values())
				require.Equal(t, 200, status, saved)
				require.Regexp(t, `^attachment; filename="[a-z0-9-]+\.toml"$`, header.Get("Content-Disposition"))
				kept := filepath.Join(dir, "saved.toml")
				require.NoError(t, os.WriteFile(kept, []byte(saved), 0o600))
				require.Equal(t, want, command(t, append(asked, kept)...), "the saved plan gives another answer:\n%s", saved)

				// What is shown are the same numbers, rounded.
				var numbers struct {
					Ratio    *float64 `json:"carbon_to_nitrogen"`
					Moisture *float64 `json:"moisture_percent"`
					Status   string   `json:"status"`
					Cautions []struct{ Text string }
				}
				require.NoError(t, json.Unmarshal([]byte(got), &numbers))
				status, _, html := post(t, address+"answer", form.Values())
				require.Equal(t, 200, status)
				require.Contains(t, html, `data-status="`+numbers.Status+`"`)
				shown := func(id string) string {
					m := regexp.MustCompile(`id="` + id + `">([^<]*)<`).FindStringSubmatch(html)
					require.NotNil(t, m, id)
					return m[1]
				}
				if numbers.Ratio != nil {
					require.Equal(t, fixed(*numbers.Ratio), shown("figure-ratio"))
					require.Equal(t, fixed(*numbers.Moisture)+" %", shown("figure-moisture"))
				}
				for _, c := range numbers.Cautions {
					require.Contains(t, html, strings.ReplaceAll(c.Text, "'", "&#39;"))
				}
				_, _, again := post(t, address+"answer.json", form.Values())
				require.Equal(t, got, again, "the same question, another answer")
			})
		}
	}
}

func fixed(v float64) string { return strconv.FormatFloat(v, 'f', 1, 64) }

// TestServeOpensAPlan names a plan on the command line.
func TestServeOpensAPlan(t *testing.T) {
	address := serve(t, filepath.Join("..", "..", "..", "..", "testdata", "plans", "twelve.toml"))
	r, err := http.Get(address)
	require.NoError(t, err)
	defer r.Body.Close()
	all, err := io.ReadAll(r.Body)
	require.NoError(t, err)
	require.Contains(t, string(all), `value="mushroom compost"`)
	require.Contains(t, string(all), `value="0.4 m3"`)
}

// TestServeRefuses says what is wrong before anything is listened at.
func TestServeRefuses(t *testing.T) {
	for _, c := range []struct {
		args []string
		says string
	}{
		{[]string{"nonesuch.toml"}, "nonesuch.toml cannot be opened"},
		{[]string{"a.toml", "b.toml"}, "one plan file at a time"},
		{[]string{"--port", "70000"}, "--port cannot be"},
		{[]string{"--library", "nonesuch.toml"}, "nonesuch.toml cannot be opened"},
	} {
		var out, errOut bytes.Buffer
		code := cli.Main(t.Context(), append([]string{"serve"}, c.args...), strings.NewReader(""), &out, &errOut)
		require.Equal(t, cli.ExitUsage, code)
		require.Contains(t, errOut.String(), c.says)
		require.Empty(t, out.String())
	}
}

func TestServePortTaken(t *testing.T) {
	address := serve(t)
	u, err := url.Parse(address)
	require.NoError(t, err)
	var out, errOut bytes.Buffer
	require.Equal(t, cli.ExitUsage, cli.Main(t.Context(), []string{"serve", "--port", u.Port()}, strings.NewReader(""), &out, &errOut))
	require.Contains(t, errOut.String(), "cannot be listened at")
}

// BenchmarkUpdate is one change of the page over a real connection, from the
// form to the fragments with their picture.
func BenchmarkUpdate(b *testing.B) {
	lib, err := feedstocks.Default()
	require.NoError(b, err)
	address := serve(b)
	for _, name := range []string{"first-pile", "twelve"} {
		b.Run(name, func(b *testing.B) {
			text, err := os.ReadFile(filepath.Join("..", "..", "..", "..", "testdata", "plans", name+".toml"))
			require.NoError(b, err)
			form, err := page.FormOf(string(text), "", lib)
			require.NoError(b, err)
			v := form.Values()
			for b.Loop() {
				if status, _, body := post(b, address+"answer", v); status != 200 {
					b.Fatal(status, body)
				}
			}
		})
	}
}
