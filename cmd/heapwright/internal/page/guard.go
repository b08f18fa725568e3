package page

import (
	"errors"
	"fmt"
	"mime"
	"net/http"
	"os"
	"runtime/debug"
	"slices"
	"time"
)

// policy lets the page load what it brings along and nothing else. Pictures
// come as data in their own element, where their styles apply and no script
// runs; so no style or script needs to be let in for them.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// Most bytes of a body: of the form or a plan, and of a temperature log.
const (
	mostPlan = 64 << 10
	mostLog  = 4 << 20
)

// refusal is a request that is not answered, and why.
type refusal struct {
	status  int
	problem string
}

func (e *refusal) Error() string { return e.problem }

// headers sets what every answer carries.
func headers(h http.Header) {
	h.Set("Content-Security-Policy", policy)
	h.Set("X-Content-Type-Options", "nosniff")
	// Not no-referrer: under that, browsers send the page's own posts with
	// the origin "null".
	h.Set("Referrer-Policy", "same-origin")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Cache-Control", "no-store")
}

// guard refuses what does not come from the page itself, before any of it is
// read, and keeps a panic from ending the server; one in a goroutine that the
// answer starts still does.
func (s *server) guard(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		headers(w.Header())
		defer func() {
			switch p := recover(); {
			case p == nil:
			case p == http.ErrAbortHandler:
				panic(p) // net/http ends the connection
			default:
				s.note(fmt.Errorf("a request failed: %v\n%s", p, debug.Stack()))
				plain(w, http.StatusInternalServerError, "heapwright failed on this; the page goes on")
			}
		}()
		if e := s.check(r); e != nil {
			if e.status == http.StatusMethodNotAllowed {
				w.Header().Set("Allow", s.allowed(r.URL.Path))
			}
			w.Header().Set("Connection", "close") // and leave the body unread
			plain(w, e.status, e.problem)
			return
		}
		next.ServeHTTP(w, r)
	})
}

// check says what is wrong with the head of a request.
func (s *server) check(r *http.Request) *refusal {
	// A name that someone else points at this computer is not ours.
	if !slices.Contains(s.hosts, r.Host) {
		return &refusal{http.StatusMisdirectedRequest, "this page is at " + s.hosts[0] + " and has no other name"}
	}
	if origin := r.Header.Values("Origin"); len(origin) > 1 || len(origin) == 1 && origin[0] != "http://"+r.Host {
		return &refusal{http.StatusForbidden, "this does not come from the page itself"}
	}
	if err := s.crossOrigin.Check(r); err != nil || embedded(r) {
		return &refusal{http.StatusForbidden, "this does not come from the page itself"}
	}
	route, ok := s.routes[r.URL.Path]
	if !ok {
		return &refusal{http.StatusNotFound, "there is nothing here"}
	}
	switch r.Method {
	case http.MethodGet, http.MethodHead:
		if route.get == nil {
			return &refusal{http.StatusMethodNotAllowed, "this address is posted to"}
		}
		return nil
	case http.MethodPost:
		if route.post == nil {
			return &refusal{http.StatusMethodNotAllowed, "this address is only read"}
		}
	default:
		return &refusal{http.StatusMethodNotAllowed, "this address is read or posted to"}
	}
	kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if err != nil || !slices.Contains(route.kinds, kind) {
		return &refusal{http.StatusUnsupportedMediaType, "a form is wanted here"}
	}
	if r.ContentLength > route.most {
		return &refusal{http.StatusRequestEntityTooLarge, tooLarge(route.most)}
	}
	return nil
}

// embedded reports whether another site asks for something that it would put
// into its own page. It could not read it, but it could keep this one busy. A
// link to the page may be followed from anywhere. (W3C, Fetch Metadata Request
// Headers, from memory.)
func embedded(r *http.Request) bool {
	switch r.Header.Get("Sec-Fetch-Site") {
	case "cross-site", "same-site": // the latter is another port of this computer
		return r.Header.Get("Sec-Fetch-Dest") != "document"
	}
	return false
}

func tooLarge(most int64) string {
	return fmt.Sprintf("this is over %d KB, which is more than is taken here", most>>10)
}

// readBody reads the posted fields, all of them in memory.
func readBody(w http.ResponseWriter, r *http.Request, most int64) *refusal {
	r.Body = http.MaxBytesReader(w, r.Body, most)
	kind, _, _ := mime.ParseMediaType(r.Header.Get("Content-Type"))
	var err error
	if kind == multipartForm {
		// Parts are kept in memory up to this many bytes, which is more than
		// the body can have, and so none goes to a file.
		err = r.ParseMultipartForm(most + 1)
	} else {
		err = r.ParseForm()
	}
	if err == nil {
		return nil
	}
	if _, large := errors.AsType[*http.MaxBytesError](err); large {
		return &refusal{http.StatusRequestEntityTooLarge, tooLarge(most)}
	}
	if errors.Is(err, os.ErrDeadlineExceeded) {
		return &refusal{http.StatusRequestTimeout, "the form was too long on its way"}
	}
	return &refusal{http.StatusBadRequest, "the form cannot be read"}
}

// enter waits for a place to work in. Few requests work at once and few wait;
// what comes on top is sent away.
func (s *server) enter(r *http.Request) (leave func(), e *refusal) {
	busy := &refusal{http.StatusServiceUnavailable, "too much is asked at once: try again in a moment"}
	select {
	case s.waiting <- struct{}{}:
	default:
		return nil, busy
	}
	defer func() { <-s.waiting }()
	select {
	case s.working <- struct{}{}:
		return func() { <-s.working }, nil
	case <-r.Context().Done():
		return nil, busy
	}
}

// Bounds on work and on time.
const (
	mostWorking = 4
	mostWaiting = 32
	mostTime    = 5 * time.Second // for one answer
)

func plain(w http.ResponseWriter, status int, problem string) {
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.WriteHeader(status)
	fmt.Fprintln(w, problem)
}
