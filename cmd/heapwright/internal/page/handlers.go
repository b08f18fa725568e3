package page

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net/http"
	"strings"
	"unicode"

	"heapwright/blend"
	"heapwright/cmd/heapwright/internal/answer"
	"heapwright/cmd/heapwright/internal/fault"
	"heapwright/cmd/heapwright/internal/report"
)

// first is the page as it opens.
func (s *server) first(w http.ResponseWriter, r *http.Request) {
	d := s.data(s.Plan)
	s.fill(r.Context(), d) // faults of a plan that was named are told in the page
	s.html(w, http.StatusOK, "page", d)
}

// work reads the body of a post and has it answered within the bounds.
func (s *server) work(most int64, do http.HandlerFunc) http.HandlerFunc {
	answer := s.within(do)
	return func(w http.ResponseWriter, r *http.Request) {
		if e := readBody(w, r, most); e != nil {
			w.Header().Set("Connection", "close")
			plain(w, e.status, e.problem)
			return
		}
		answer(w, r)
	}
}

// within waits for a place and bounds the time, that of the wait as well.
func (s *server) within(do http.HandlerFunc) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		ctx, cancel := context.WithTimeout(r.Context(), mostTime)
		defer cancel()
		r = r.WithContext(ctx)
		leave, e := s.enter(r)
		if e != nil {
			w.Header().Set("Retry-After", "1")
			plain(w, e.status, e.problem)
			return
		}
		defer leave()
		do(w, r)
	}
}

// form reads the posted form; one that cannot be read is answered here.
func (s *server) form(w http.ResponseWriter, r *http.Request) *Form {
	f, err := ReadForm(r.PostForm)
	if err == nil {
		return f
	}
	d := s.data(s.Plan)
	d.Trouble = troubles(err, nil)
	s.html(w, http.StatusUnprocessableEntity, "page", d)
	return nil
}

// whole answers with the whole page: for buttons that change the form, and for
// browsers without scripts.
func (s *server) whole(w http.ResponseWriter, r *http.Request) {
	f := s.form(w, r)
	if f == nil {
		return
	}
	do := r.PostForm.Get("do")
	focus := f.edit(do)
	d := s.data(f)
	d.Focus = focus
	status := s.fill(r.Context(), d)
	if do != "" {
		status = http.StatusOK // the form was changed as asked, whatever it says yet
	}
	s.html(w, status, "page", d)
}

// fragment answers with what the form comes to, or with its faults.
func (s *server) fragment(w http.ResponseWriter, r *http.Request) {
	d := &pageData{}
	f, err := ReadForm(r.PostForm)
	if err != nil {
		d.Trouble = troubles(err, nil)
		s.html(w, http.StatusUnprocessableEntity, "trouble", d)
		return
	}
	d.Form = f
	if status := s.fill(r.Context(), d); len(d.Trouble) > 0 {
		s.html(w, status, "trouble", d)
		return
	}
	s.html(w, http.StatusOK, "answer", d)
}

// machine answers as JSON, heapwright.mix/1 or heapwright.check/1.
func (s *server) machine(w http.ResponseWriter, r *http.Request) {
	f, err := ReadForm(r.PostForm)
	var a *report.Answer
	var o report.Options
	if err == nil {
		a, o, err = s.ask(r.Context(), f)
	}
	if err != nil {
		var words []string
		for _, t := range troubles(err, f) {
			words = append(words, strings.TrimSpace(t.Problem+"\n"+t.Hint))
		}
		plain(w, statusOf(err), strings.Join(words, "\n"))
		return
	}
	o.Format = report.JSON
	var b bytes.Buffer
	if err := report.Recipe(&b, a, o); err != nil {
		s.note(err)
		plain(w, http.StatusInternalServerError, "heapwright failed on this; the page goes on")
		return
	}
	w.Header().Set("Content-Type", "application/json")
	_, _ = b.WriteTo(w)
}

// ask works the form out by way of the plan file that it would be saved as.
func (s *server) ask(ctx context.Context, f *Form) (*report.Answer, report.Options, error) {
	o := report.Options{}
	if f.Units == "us" {
		o.Units = report.US
	}
	text, err := f.Plan()
	if err != nil {
		return nil, o, err
	}
	plan, err := blend.ReadPlan(strings.NewReader(text), "")
	if err != nil {
		return nil, o, err
	}
	o.Title = plan.Title()
	q, err := answer.Ask(plan, s.Library)
	if err != nil {
		return nil, o, err
	}
	if f.Mode == "check" {
		o.Kind = report.Check
		a, err := q.Check(ctx, answer.Wishes{})
		return a, o, err
	}
	a, err := q.Mix(ctx, answer.Wishes{Whole: f.Whole})
	return a, o, err
}

// fill works the answer out for a page; its faults go where they are shown. It
// gives the status.
func (s *server) fill(ctx context.Context, d *pageData) int {
	a, o, err := s.ask(ctx, d.Form)
	if err == nil {
		err = d.show(ctx, a, o)
	}
	if err != nil {
		status := statusOf(err)
		if status == http.StatusInternalServerError {
			s.note(err)
		}
		d.Trouble = troubles(err, d.Form)
		return status
	}
	return http.StatusOK
}

// statusOf tells faults of the form from a want of time and from failures.
func statusOf(err error) int {
	if _, ok := errors.AsType[*FormError](err); ok {
		return http.StatusUnprocessableEntity
	}
	if errors.Is(err, context.DeadlineExceeded) || errors.Is(err, context.Canceled) {
		return http.StatusServiceUnavailable
	}
	for _, e := range fault.Split(err) {
		if _, _, known := fault.Words(e); !known {
			return http.StatusInternalServerError
		}
	}
	return http.StatusUnprocessableEntity
}

// save gives the form as a plan file to keep.
func (s *server) save(w http.ResponseWriter, r *http.Request) {
	f := s.form(w, r)
	if f == nil {
		return
	}
	text, err := f.Plan()
	if err == nil {
		var plan *blend.Plan
		if plan, err = blend.ReadPlan(strings.NewReader(text), ""); err == nil {
			_, err = plan.Problem(s.Library)
		}
	}
	if err != nil {
		d := s.data(f)
		d.Trouble = troubles(err, f)
		s.html(w, http.StatusUnprocessableEntity, "page", d)
		return
	}
	w.Header().Set("Content-Type", "application/toml; charset=utf-8")
	w.Header().Set("Content-Disposition", fmt.Sprintf("attachment; filename=%q", fileName(f.Title)))
	fmt.Fprintf(w, "# A plan for heapwright: \"heapwright mix FILE\" asks for the mix,\n# \"heapwright check FILE\" judges the amounts as they are.\n\n%s", text)
}

// fileName makes a name for a plan out of its title.
func fileName(title string) string {
	const most = 40
	var b strings.Builder
	for _, r := range strings.ToLower(title) {
		switch {
		case b.Len() >= most:
		case r < unicode.MaxASCII && (unicode.IsLetter(r) || unicode.IsDigit(r)):
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	name := strings.Trim(b.String(), "-")
	if name == "" {
		name = "plan"
	}
	return name + ".toml"
}

// load turns a plan file into the form; with faults the form stays as it was,
// so far as it came along.
func (s *server) load(w http.ResponseWriter, r *http.Request) {
	text, name := posted(r, "plan")
	f, err := FormOf(text, name, s.Library)
	if err != nil {
		d := s.data(s.Plan)
		s.fill(r.Context(), d)
		d.LoadTrouble = troubles(err, nil)
		s.html(w, statusOf(err), "page", d)
		return
	}
	if r.PostForm.Get("mode") == "check" {
		f.Mode = "check"
	}
	if r.PostForm.Get("units") == "us" {
		f.Units = "us"
	}
	f.Whole = r.PostForm.Get("whole") != ""
	d := s.data(f)
	d.Focus = "title"
	s.html(w, s.fill(r.Context(), d), "page", d)
}

// html writes a page or a part of it, once it is whole.
func (s *server) html(w http.ResponseWriter, status int, part string, d *pageData) {
	var b bytes.Buffer
	if err := s.words.ExecuteTemplate(&b, part, d); err != nil {
		s.note(err)
		plain(w, http.StatusInternalServerError, "heapwright failed on this; the page goes on")
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	_, _ = b.WriteTo(w)
}
