package page

import (
	"bytes"
	"context"
	"errors"
	"io"
	"mime/multipart"
	"net"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"heapwright/feedstocks"
)

const testPort = 8046

func newTestPage(t testing.TB) *server {
	t.Helper()
	lib, err := feedstocks.Default()
	require.NoError(t, err)
	s, err := newPage(testPort, Settings{Library: lib, Note: func(err error) { t.Logf("noted: %v", err) }})
	require.NoError(t, err)
	return s
}

// request is one of the page's own, which tests then change.
func request(method, path, kind, body string) *http.Request {
	r := httptest.NewRequest(method, path, strings.NewReader(body))
	r.Host = "127.0.0.1:8046"
	if kind != "" {
		r.Header.Set("Content-Type", kind)
	}
	return r
}

func answered(s *server, r *http.Request) *http.Response {
	w := httptest.NewRecorder()
	s.handler().ServeHTTP(w, r)
	return w.Result()
}

func bodyOf(t testing.TB, r *http.Response) string {
	t.Helper()
	all, err := io.ReadAll(r.Body)
	require.NoError(t, err)
	return string(all)
}

func upload(t testing.TB, field, name, text string) (kind, body string) {
	t.Helper()
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	part, err := m.CreateFormFile(field, name)
	require.NoError(t, err)
	_, err = io.WriteString(part, text)
	require.NoError(t, err)
	require.NoError(t, m.Close())
	return m.FormDataContentType(), b.String()
}

// TestRefusals sends what the page itself never sends. The meaning of each
// status: RFC 9110, section 15.
func TestRefusals(t *testing.T) {
	// Nothing may be written: neither here nor where temporary files go.
	here, temporary := t.TempDir(), t.TempDir()
	t.Chdir(here)
	t.Setenv("TMPDIR", temporary)
	s := newTestPage(t)
	form := example().Values().Encode()
	largeKind, large := upload(t, "log-file", "log.csv", strings.Repeat("x", mostLog))
	fileKind, file := upload(t, "log-file", "../../log.csv", strings.Repeat("rubbish\n", 100_000))
	with := func(r *http.Request, key, value string) *http.Request {
		r.Header.Add(key, value)
		return r
	}
	host := func(r *http.Request, host string) *http.Request {
		r.Host = host
		return r
	}
	unsized := func(r *http.Request) *http.Request {
		r.ContentLength = -1 // as with chunks
		return r
	}
	post := func(path string) *http.Request { return request("POST", path, urlForm, form) }
	for _, c := range []struct {
		name   string
		r      *http.Request
		status int
	}{
		{"the page", request("GET", "/", "", ""), 200},
		{"its head", request("HEAD", "/", "", ""), 200},
		{"an answer", post("/answer"), 200},
		{"by another name of this computer", host(post("/answer"), "localhost:8046"), 200},
		{"by the loopback of IPv6", host(post("/answer"), "[::1]:8046"), 200},
		{"of the page's own origin", with(post("/answer"), "Origin", "http://127.0.0.1:8046"), 200},
		{"fetched by the page", with(post("/answer"), "Sec-Fetch-Site", "same-origin"), 200},
		{"typed by the user", with(request("GET", "/", "", ""), "Sec-Fetch-Site", "none"), 200},

		{"a name pointed at this computer", host(post("/answer"), "mixes.example"), 421},
		{"the same for reading", host(request("GET", "/", "", ""), "mixes.example:8046"), 421},
		{"another port", host(post("/answer"), "127.0.0.1:80"), 421},
		{"no name", host(post("/answer"), ""), 421},
		{"a name that begins alike", host(post("/answer"), "127.0.0.1:8046.mixes.example"), 421},
		{"another origin", with(post("/answer"), "Origin", "http://mixes.example"), 403},
		{"an origin that is not told", with(post("/answer"), "Origin", "null"), 403},
		{"another port's origin", with(post("/answer"), "Origin", "http://127.0.0.1:8047"), 403},
		{"the other name's origin", with(post("/answer"), "Origin", "http://localhost:8046"), 403},
		{"another origin's reading", with(request("GET", "/", "", ""), "Origin", "http://mixes.example"), 403},
		{"two origins", with(with(post("/answer"), "Origin", "http://127.0.0.1:8046"), "Origin", "http://mixes.example"), 403},
		{"a link followed from another site", with(with(request("GET", "/", "", ""), "Sec-Fetch-Site", "cross-site"), "Sec-Fetch-Dest", "document"), 200},
		{"in a frame of another site", with(with(request("GET", "/", "", ""), "Sec-Fetch-Site", "cross-site"), "Sec-Fetch-Dest", "iframe"), 403},
		{"as a picture of another site", with(with(request("GET", "/", "", ""), "Sec-Fetch-Site", "cross-site"), "Sec-Fetch-Dest", "image"), 403},
		{"as a script of another port", with(with(request("GET", "/page.js", "", ""), "Sec-Fetch-Site", "same-site"), "Sec-Fetch-Dest", "script"), 403},
		{"read by a fetch from another site", with(with(request("GET", "/", "", ""), "Sec-Fetch-Site", "cross-site"), "Sec-Fetch-Dest", "empty"), 403},
		{"a fetch from another site", with(post("/answer"), "Sec-Fetch-Site", "cross-site"), 403},
		{"a fetch from the same site", with(post("/answer"), "Sec-Fetch-Site", "same-site"), 403},
		{"PUT", request("PUT", "/answer", urlForm, form), 405},
		{"DELETE", request("DELETE", "/", "", ""), 405},
		{"OPTIONS", request("OPTIONS", "/answer", "", ""), 405},
		{"TRACE", request("TRACE", "/", "", ""), 405},
		{"reading what is posted to", request("GET", "/answer", "", ""), 405},
		{"posting to what is read", post("/page.css"), 405},
		{"JSON", request("POST", "/answer", "application/json", "{}"), 415},
		{"plain text", request("POST", "/answer", "text/plain", form), 415},
		{"no content type", request("POST", "/answer", "", form), 415},
		{"a file where a form is wanted", request("POST", "/answer", multipartForm+"; boundary=x", "--x--"), 415},
		{"a content type that is none", request("POST", "/answer", ";;;", form), 415},
		{"a form too large", request("POST", "/answer", urlForm, "title="+strings.Repeat("x", mostPlan)), 413},
		{"the same without its length", unsized(request("POST", "/answer", urlForm, "title="+strings.Repeat("x", mostPlan))), 413},
		{"a log too large", request("POST", "/log", largeKind, large), 413},
		{"the same without its length", unsized(request("POST", "/log", largeKind, large)), 413},
		{"a plan too large", request("POST", "/load", urlForm, "plan="+strings.Repeat("x", mostPlan)), 413},
		{"a form that is none", request("POST", "/answer", urlForm, "title=%zz"), 400},
		{"parts that are none", request("POST", "/load", multipartForm+"; boundary=x", "rubbish"), 400},
		{"parts without a boundary", request("POST", "/load", multipartForm, "rubbish"), 400},
		{"bytes that are no text", request("POST", "/answer", urlForm, "title=%ff%fe"), 422},
		{"a long field", request("POST", "/answer", urlForm, "title="+strings.Repeat("x", mostField+1)), 422},
		{"many rows", request("POST", "/answer", urlForm, strings.Repeat("lot-name=leaves&", mostRows+1)), 422},
		{"nothing on hand", request("POST", "/answer", urlForm, ""), 422},
		{"a unit that is not known", request("POST", "/answer", urlForm, "lot-name=leaves&lot-amount=14+sax"), 422},
		{"the same for machines", request("POST", "/answer.json", urlForm, "lot-name=leaves&lot-amount=14+sax"), 422},
		{"the same to keep", request("POST", "/plan.toml", urlForm, "lot-name=leaves&lot-amount=14+sax"), 422},
		{"a plan that is no TOML", request("POST", "/load", urlForm, "plan=[on_hand"), 422},
		{"a log that is none", request("POST", "/log", urlForm, "log=rubbish"), 422},
		{"a large file that is no log", request("POST", "/log", fileKind, file), 422},
		{"no log", request("POST", "/log", urlForm, ""), 422},
		{"a rule that is not known", request("POST", "/log", urlForm, "log=a&log-rule=nonesuch"), 422},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := answered(s, c.r)
			require.Equal(t, c.status, got.StatusCode)
			require.Equal(t, policy, got.Header.Get("Content-Security-Policy"))
			require.Equal(t, "nosniff", got.Header.Get("X-Content-Type-Options"))
			require.Equal(t, "no-store", got.Header.Get("Cache-Control"))
			if c.status == 405 {
				require.NotEmpty(t, got.Header.Get("Allow"))
			}
		})
	}
	for _, dir := range []string{here, temporary} {
		entries, err := os.ReadDir(dir)
		require.NoError(t, err)
		require.Empty(t, entries, "something was written")
	}
}

// TestNoPathLeadsToAFile asks for files by every way of writing a path.
func TestNoPathLeadsToAFile(t *testing.T) {
	s := newTestPage(t)
	for _, path := range []string{
		"/../../../../etc/passwd", "/..%2f..%2fetc%2fpasswd", "/%2e%2e/%2e%2e/etc/passwd", "//etc/passwd", "/./page.css", "/assets/page.css",
		"/page.css/", "/page.css%00", "/page.html", "/plan.html", "/serve.go", `/..\..\windows`, "/PAGE.CSS", "/%70age.cs",
	} {
		r := request("GET", "/", "", "")
		var err error
		r.URL, err = url.ParseRequestURI(path)
		require.NoError(t, err)
		got := answered(s, r)
		require.Equal(t, 404, got.StatusCode, path)
		require.NotContains(t, bodyOf(t, got), "root:")
	}
}

// TestRawRequests goes over a real connection, where net/http itself stands in
// front of the page.
func TestRawRequests(t *testing.T) {
	at := serve(t)
	long := strings.Repeat("x", 64<<10)
	for _, c := range []struct{ name, head, status string }{
		{"no host", "GET / HTTP/1.1\r\n\r\n", "400"},
		{"two hosts", "GET / HTTP/1.1\r\nHost: " + at + "\r\nHost: mixes.example\r\n\r\n", "400"},
		{"an address in the request line", "GET http://mixes.example/ HTTP/1.1\r\nHost: " + at + "\r\n\r\n", "421"},
		{"up and away", "GET /../../etc/passwd HTTP/1.1\r\nHost: " + at + "\r\n\r\n", "404"},
		{"everything", "OPTIONS * HTTP/1.1\r\nHost: " + at + "\r\n\r\n", "404"},
		{"a tunnel", "CONNECT mixes.example:443 HTTP/1.1\r\nHost: mixes.example:443\r\n\r\n", "421"},
		{"a head too large", "GET / HTTP/1.1\r\nHost: " + at + "\r\nX-Long: " + long + "\r\n\r\n", "431"},
		{"two lengths", "POST /answer HTTP/1.1\r\nHost: " + at + "\r\nContent-Type: " + urlForm + "\r\nContent-Length: 3\r\nContent-Length: 4\r\n\r\nabcd", "400"},
		{"a length over the limit", "POST /answer HTTP/1.1\r\nHost: " + at + "\r\nContent-Type: " + urlForm + "\r\nContent-Length: 99999999\r\n\r\n", "413"},
		{"rubbish", "\x16\x03\x01 hello\r\n\r\n", "400"},
	} {
		t.Run(c.name, func(t *testing.T) {
			conn, err := net.Dial("tcp", at)
			require.NoError(t, err)
			defer conn.Close()
			require.NoError(t, conn.SetDeadline(time.Now().Add(10*time.Second)))
			_, err = io.WriteString(conn, c.head)
			require.NoError(t, err)
			line := make([]byte, 12)
			_, err = io.ReadFull(conn, line)
			require.NoError(t, err)
			require.Equal(t, "HTTP/1.1 "+c.status, string(line))
		})
	}
}

// serve starts the page on a free port for the time of a test.
func serve(t *testing.T) string {
	t.Helper()
	lib, err := feedstocks.Default()
	require.NoError(t, err)
	l, err := net.Listen("tcp4", "127.0.0.1:0")
	require.NoError(t, err)
	ctx, stop := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- Serve(ctx, l, Settings{Library: lib}) }()
	t.Cleanup(func() {
		stop()
		require.ErrorIs(t, <-done, context.Canceled)
		_, err := net.Dial("tcp", l.Addr().String())
		require.Error(t, err, "the port is still listened at")
	})
	return l.Addr().String()
}

// TestSlowClients keeps a head, or a body, waiting.
func TestSlowClients(t *testing.T) {
	s := newTestPage(t)
	usual := bounded(s.handler())
	require.Positive(t, usual.ReadHeaderTimeout)
	require.Positive(t, usual.ReadTimeout)
	require.Positive(t, usual.WriteTimeout)
	require.Positive(t, usual.IdleTimeout)
	l, err := net.Listen("tcp4", "127.0.0.1:0")
	require.NoError(t, err)
	s.hosts = []string{l.Addr().String()}
	usual.ReadHeaderTimeout, usual.ReadTimeout = 100*time.Millisecond, 200*time.Millisecond
	go func() { _ = usual.Serve(l) }()
	defer usual.Close()
	for _, c := range []struct{ name, head, want string }{
		{"half a head", "GET / HTTP/1.1\r\nHost: ", ""}, // closed without a word
		{"half a body", "POST /answer HTTP/1.1\r\nHost: " + l.Addr().String() + "\r\nContent-Type: " + urlForm + "\r\nContent-Length: 20\r\n\r\ntitle=", "HTTP/1.1 408"},
	} {
		t.Run(c.name, func(t *testing.T) {
			conn, err := net.Dial("tcp", l.Addr().String())
			require.NoError(t, err)
			defer conn.Close()
			require.NoError(t, conn.SetDeadline(time.Now().Add(5*time.Second)))
			_, err = io.WriteString(conn, c.head)
			require.NoError(t, err)
			said, err := io.ReadAll(conn)
			require.NoError(t, err, "the connection was not closed")
			require.Equal(t, c.want, string(said[:min(len(said), 12)]))
		})
	}
}

func TestBusy(t *testing.T) {
	s := newTestPage(t)
	for range mostWorking {
		s.working <- struct{}{}
	}
	// One waits for a place, and gives up when its time is over.
	ctx, stop := context.WithTimeout(t.Context(), 20*time.Millisecond)
	defer stop()
	r := request("POST", "/answer", urlForm, example().Values().Encode())
	require.Equal(t, 503, answered(s, r.WithContext(ctx)).StatusCode)
	// When the waiting places are taken too, no one waits.
	for range mostWaiting {
		s.waiting <- struct{}{}
	}
	before := time.Now()
	got := answered(s, request("POST", "/answer", urlForm, example().Values().Encode()))
	require.Equal(t, 503, got.StatusCode)
	require.NotEmpty(t, got.Header.Get("Retry-After"))
	require.Less(t, time.Since(before), mostTime/2)
	opened := answered(s, request("GET", "/", "", ""))
	require.Equal(t, 503, opened.StatusCode)
	require.NotEmpty(t, opened.Header.Get("Retry-After"))
	for range mostWaiting {
		<-s.waiting
	}
	<-s.working
	require.Equal(t, 200, answered(s, request("POST", "/answer", urlForm, example().Values().Encode())).StatusCode)
	require.Len(t, s.working, mostWorking-1, "a place was not given back")
}

// TestMany asks at once from many sides: every question has its own answer.
func TestMany(t *testing.T) {
	s := newTestPage(t)
	var wg sync.WaitGroup
	for i := range 12 {
		wg.Go(func() {
			f := example()
			f.Title = strings.Repeat("pile ", i+1)
			got := answered(s, request("POST", "/answer", urlForm, f.Values().Encode()))
			if got.StatusCode != 200 || !strings.Contains(bodyOf(t, got), `<h3 id="sheet-title">`+strings.TrimSpace(f.Title)+`</h3>`) {
				t.Errorf("question %d: status %d, or another's answer", i, got.StatusCode)
			}
		})
	}
	wg.Wait()
}

func TestPanicDoesNotStopThePage(t *testing.T) {
	s := newTestPage(t)
	var noted error
	s.Note = func(err error) { noted = err }
	s.routes["/panic"] = route{post: s.work(mostPlan, func(http.ResponseWriter, *http.Request) { panic("out of leaves") }), kinds: []string{urlForm}, most: mostPlan}
	for range mostWorking + 1 { // none keeps its place
		got := answered(s, request("POST", "/panic", urlForm, ""))
		require.Equal(t, 500, got.StatusCode)
		require.NotContains(t, bodyOf(t, got), "leaves", "the inside is not for the outside")
	}
	require.ErrorContains(t, noted, "out of leaves")
	require.Equal(t, 200, answered(s, request("POST", "/answer", urlForm, example().Values().Encode())).StatusCode)
}

func TestOnlyThisComputer(t *testing.T) {
	l, err := net.Listen("tcp4", "0.0.0.0:0")
	if err != nil {
		t.Skipf("cannot listen for all: %v", err)
	}
	require.ErrorContains(t, Serve(t.Context(), l, Settings{}), "other computers")
	_, err = l.Accept()
	require.ErrorIs(t, err, net.ErrClosed)
}

// TestStopsInTime ends while a client holds a connection open.
func TestStopsInTime(t *testing.T) {
	lib, err := feedstocks.Default()
	require.NoError(t, err)
	l, err := net.Listen("tcp4", "127.0.0.1:0")
	require.NoError(t, err)
	ctx, stop := context.WithCancel(t.Context())
	done := make(chan error, 1)
	go func() { done <- Serve(ctx, l, Settings{Library: lib}) }()
	conn, err := net.Dial("tcp", l.Addr().String())
	require.NoError(t, err)
	defer conn.Close()
	_, err = io.WriteString(conn, "GET / HTTP/1.1\r\n")
	require.NoError(t, err)
	stop()
	select {
	case err := <-done:
		require.True(t, errors.Is(err, context.Canceled), "%v", err)
	case <-time.After(10 * time.Second):
		t.Fatal("it goes on")
	}
}

// everyPage gives each page and part that the handlers write.
func everyPage(t *testing.T, s *server) map[string]string {
	t.Helper()
	log, err := os.ReadFile(filepath.Join("..", "..", "..", "..", "testdata", "logs", "hedge-end-bay.csv"))
	require.NoError(t, err)
	f := example()
	f.MayGet = []Lot{{Name: "straw bedding <b>", Is: "straw", Amount: "10 bales"}}
	f.Own = []Own{{Name: `hop "waste"`, Nitrogen: "3.1", Ratio: "14", Moist: "70", Density: "420 kg/m3"}}
	f.Measures = []Measure{{"crate", "40 L"}}
	f.Title = `<script>alert("x")</script>`
	out := map[string]string{}
	for name, r := range map[string]*http.Request{
		"first": request("GET", "/", "", ""), "whole": request("POST", "/", urlForm, f.Values().Encode()),
		"answer": request("POST", "/answer", urlForm, f.Values().Encode()), "trouble": request("POST", "/answer", urlForm, "lot-name=%3Cb%3E&lot-amount=1"),
		"log":         request("POST", "/log", urlForm, url.Values{"log": {string(log)}}.Encode()),
		"log trouble": request("POST", "/log", urlForm, url.Values{"log": {"<b onclick=x>"}}.Encode()),
		"load":        request("POST", "/load", urlForm, url.Values{"plan": {"<i style=x>"}}.Encode()),
	} {
		out[name] = bodyOf(t, answered(s, r))
	}
	return out
}

// TestPagesObeyTheirPolicy looks for what the policy would not let work, and
// for what came in as text and went out as markup.
func TestPagesObeyTheirPolicy(t *testing.T) {
	for name, html := range everyPage(t, newTestPage(t)) {
		tags := regexp.MustCompile(`<[^>]+>`).FindAllString(html, -1)
		require.NotEmpty(t, tags, name)
		for _, tag := range tags {
			for _, bad := range []string{`\sstyle=`, `^<style`, `\son[a-z]+=`, `javascript:`, `(src|href|action)="(https?:)?//`, `^<(b|i|base|iframe|object|embed|link rel="(import|preload)")\b`} {
				require.NotRegexp(t, bad, tag, name)
			}
		}
		for _, script := range regexp.MustCompile(`(?s)<script.*?</script>`).FindAllString(html, -1) {
			require.Equal(t, `<script type="module" src="/page.js"></script>`, script, name)
		}
	}
}

// TestEveryControlHasItsLabel holds ids and labels against each other: each id
// once, each control with a label, each label with its control.
func TestEveryControlHasItsLabel(t *testing.T) {
	for name, html := range everyPage(t, newTestPage(t)) {
		var ids []string
		for _, m := range regexp.MustCompile(`\sid="([^"]*)"`).FindAllStringSubmatch(html, -1) {
			require.NotContains(t, ids, m[1], "%s: an id stands twice", name)
			ids = append(ids, m[1])
		}
		var labelled []string
		for _, m := range regexp.MustCompile(`<label for="([^"]*)"`).FindAllStringSubmatch(html, -1) {
			require.Contains(t, ids, m[1], "%s: a label without its control", name)
			labelled = append(labelled, m[1])
		}
		controls := 0
		for _, tag := range regexp.MustCompile(`<(input|select|textarea)\s[^>]*>`).FindAllString(html, -1) {
			controls++
			if strings.Contains(tag, "aria-label=") {
				continue
			}
			id := regexp.MustCompile(`\sid="([^"]*)"`).FindStringSubmatch(tag)
			require.NotNil(t, id, "%s: %s", name, tag)
			require.True(t, slices.Contains(labelled, id[1]), "%s: %s has no label", name, id[1])
		}
		if strings.Contains(html, "<html") {
			require.Greater(t, controls, 20, name)
			for _, landmark := range []string{"<main>", "<header>", "<footer>", `lang="en"`, `aria-live="polite"`, `class="skip"`} {
				require.Contains(t, html, landmark, name)
			}
		}
	}
}
