package page

import (
	"io"
	"net/http"
	"path"
	"strings"
	"unicode"
)

// pasted is what a text without a file is called.
const pasted = "the pasted text"

// posted is a text that came as a file or in a field of that name, and what
// to call it. The file wins where there are both.
func posted(r *http.Request, key string) (text, name string) {
	text, name = r.PostForm.Get(key), pasted
	if r.MultipartForm == nil {
		return text, name
	}
	for _, h := range r.MultipartForm.File[key+"-file"] {
		if h.Size == 0 {
			continue // no file was chosen
		}
		file, err := h.Open()
		if err != nil {
			continue
		}
		defer file.Close()
		all, err := io.ReadAll(file)
		if err == nil {
			return string(all), calledName(h.Filename)
		}
	}
	return text, name
}

// calledName is the name of a file to be told in messages and nowhere else.
func calledName(name string) string {
	const most = 60
	name = path.Base(strings.ReplaceAll(name, `\`, "/"))
	clean := []rune(strings.Map(func(r rune) rune {
		if unicode.IsPrint(r) {
			return r
		}
		return -1
	}, strings.ToValidUTF8(name, "")))
	if len(clean) > most {
		clean = clean[:most]
	}
	if s := string(clean); s != "" && s != "." && s != "/" {
		return s
	}
	return "the file"
}
