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

// mixPicture draws a recipe among all that can be mixed.
func mixPicture(ctx context.Context, r *blend.Recipe, title string) (template.URL, error) {
	mix, err := picture.NewMix(ctx, r, title, 0)
	if err != nil {
		return "", err
	}
	var drawn bytes.Buffer
	if err := mix.Write(&drawn, picture.SVG); err != nil {
		return "", err
	}
	return asData(drawn.Bytes()), nil
}
