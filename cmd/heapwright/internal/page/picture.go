package page

import (
	"encoding/base64"
	"html/template"

	"heapwright/blend"
)

// asData makes the address of a picture that goes along with the page. As data
// of an image a picture is a document of its own: its styles apply, none of
// its scripts would run, and its names cannot clash with those of the page.
func asData(svg []byte) template.URL {
	return template.URL("data:image/svg+xml;base64," + base64.StdEncoding.EncodeToString(svg))
}

// mixPicture draws a recipe; "" for no picture.
func mixPicture(*blend.Recipe, string) (template.URL, error) {
	return "", nil
}
