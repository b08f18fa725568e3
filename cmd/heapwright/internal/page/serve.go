package page

import (
	"context"
	"embed"
	"errors"
	"fmt"
	"html/template"
	"io"
	"log"
	"net"
	"net/http"
	"net/netip"
	"slices"
	"strings"
	"time"

	"heapwright/feedstocks"
)

//go:embed assets
var assets embed.FS

// Settings are what the page starts from.
type Settings struct {
	Library *feedstocks.Library
	Plan    *Form       // what the form shows at first; nil for an example
	Note    func(error) // told of failures; nil for nobody
}

const (
	urlForm       = "application/x-www-form-urlencoded"
	multipartForm = "multipart/form-data"
)

// route is what is done at one address.
type route struct {
	get   http.HandlerFunc
	post  http.HandlerFunc
	kinds []string // content types of posts
	most  int64    // bytes of a post
}

// server is the page: what it starts from, and who may work.
type server struct {
	Settings
	hosts       []string
	crossOrigin *http.CrossOriginProtection
	routes      map[string]route
	words       *template.Template
	names       []Material
	working     chan struct{}
	waiting     chan struct{}
}

// newPage gets the page ready for a port of this computer.
func newPage(port uint16, set Settings) (*server, error) {
	words, err := template.New("").Funcs(functions()).ParseFS(assets, "assets/*.html")
	if err != nil {
		return nil, fmt.Errorf("page: %w", err)
	}
	s := &server{
		Settings: set, hosts: hostsOf(port), crossOrigin: http.NewCrossOriginProtection(), words: words,
		working: make(chan struct{}, mostWorking), waiting: make(chan struct{}, mostWaiting),
	}
	if s.Plan == nil {
		s.Plan = example()
	}
	for _, f := range set.Library.All() {
		if _, err := f.Composition(); err == nil {
			s.names = append(s.names, Material{f.Name, f.Title})
		}
	}
	slices.SortFunc(s.names, func(a, b Material) int { return strings.Compare(a.Name, b.Name) })
	either := []string{urlForm, multipartForm}
	s.routes = map[string]route{
		"/":            {get: s.within(s.first), post: s.work(mostPlan, s.whole), kinds: []string{urlForm}, most: mostPlan},
		"/answer":      {post: s.work(mostPlan, s.fragment), kinds: []string{urlForm}, most: mostPlan},
		"/answer.json": {post: s.work(mostPlan, s.machine), kinds: []string{urlForm}, most: mostPlan},
		"/plan.toml":   {post: s.work(mostPlan, s.save), kinds: []string{urlForm}, most: mostPlan},
		"/load":        {post: s.work(mostPlan, s.load), kinds: either, most: mostPlan},
		"/log":         {post: s.work(mostLog, s.judge), kinds: either, most: mostLog},
	}
	for path, kind := range map[string]string{
		"/page.css": "text/css; charset=utf-8", "/page.js": "text/javascript; charset=utf-8", "/icon.svg": "image/svg+xml",
	} {
		text, err := assets.ReadFile("assets" + path)
		if err != nil {
			return nil, fmt.Errorf("page: %w", err)
		}
		s.routes[path] = route{get: func(w http.ResponseWriter, _ *http.Request) {
			w.Header().Set("Content-Type", kind)
			_, _ = w.Write(text)
		}}
	}
	return s, nil
}

// handler answers the requests of the page.
func (s *server) handler() http.Handler {
	return s.guard(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if route := s.routes[r.URL.Path]; r.Method == http.MethodPost {
			route.post(w, r)
		} else {
			route.get(w, r)
		}
	}))
}

// hostsOf are the names of this computer by which the page goes.
func hostsOf(port uint16) []string {
	var out []string
	for _, name := range []string{"127.0.0.1", "localhost", "[::1]"} {
		out = append(out, fmt.Sprintf("%s:%d", name, port))
		if port == 80 {
			out = append(out, name)
		}
	}
	return out
}

// allowed lists the methods of an address.
func (s *server) allowed(path string) string {
	route := s.routes[path]
	switch {
	case route.get != nil && route.post != nil:
		return "GET, HEAD, POST"
	case route.post != nil:
		return "POST"
	}
	return "GET, HEAD"
}

func (s *server) note(err error) {
	if s.Note != nil {
		s.Note(err)
	}
}

// Serve answers requests until the context ends, then lets those under way
// finish. It closes the listener, which must be on this computer alone.
func Serve(ctx context.Context, l net.Listener, set Settings) error {
	at, err := netip.ParseAddrPort(l.Addr().String())
	if err == nil && !at.Addr().IsLoopback() {
		err = errors.New("other computers could reach it")
	}
	if err != nil {
		l.Close()
		return fmt.Errorf("page: %s: %w", l.Addr(), err)
	}
	s, err := newPage(at.Port(), set)
	if err != nil {
		l.Close()
		return err
	}
	server := bounded(s.handler())
	done := make(chan error, 1)
	go func() { done <- server.Serve(l) }()
	select {
	case err := <-done:
		return fmt.Errorf("page: %w", err)
	case <-ctx.Done():
	}
	finish, cancel := context.WithTimeout(context.WithoutCancel(ctx), 2*time.Second)
	defer cancel()
	if server.Shutdown(finish) != nil {
		server.Close()
	}
	return ctx.Err()
}

// bounded sets the bounds on time and size of a request.
func bounded(handler http.Handler) *http.Server {
	return &http.Server{
		Handler:                      handler,
		ReadHeaderTimeout:            3 * time.Second,
		ReadTimeout:                  10 * time.Second,
		WriteTimeout:                 20 * time.Second,
		IdleTimeout:                  60 * time.Second,
		MaxHeaderBytes:               16 << 10,
		DisableGeneralOptionsHandler: true,
		// What goes wrong on a connection is the browser's to tell.
		ErrorLog: log.New(io.Discard, "", 0),
	}
}
