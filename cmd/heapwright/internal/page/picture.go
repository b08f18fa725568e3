package page

import (
	"bytes"
	"context"
	"encoding/base64"
	"html/template"

	"heapwright/blend"
	"heapwright/cmd/heapwright/internal/picture"
)

// asData makes the address of a picture that goes along with the page. As data
// of an image a picture is a document of its own: its styles apply, none of
// its scripts would run, and its names cannot clash with those of the page.
func asData(svg []byte) template.URL {
	return template.URL("data:image/svg+xml;base64," + base64.StdEncoding.EncodeToString(svg))
}

// mixPicture draws a recipe among all that can be mixed, and says in words what
// is to be seen.
func mixPicture(ctx context.Context, r *blend.Recipe, title string) (drawn template.URL, told string, err error) {
	mix, err := picture.NewMix(ctx, r, title, 0)
	if err != nil {
		return "", "", err
	}
	var b bytes.Buffer
	if err := mix.Write(&b, picture.SVG); err != nil {
		return "", "", err
	}
	return asData(b.Bytes()), mix.Told(), nil
}
