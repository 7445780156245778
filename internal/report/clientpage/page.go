// Package clientpage lays out the page that the owner of a piece gets: how it looks now and how it will, what will be done and what of it
// will be seen. A [Page] holds its texts and pictures; [HTML] and [PDF] write it on a paper of card.Papers. It knows nothing of wood:
// report.NewClientPage fills a Page in.
package clientpage

import (
	"image"
	"time"

	"huewright/colour"
)

// A Page is what the owner of a piece gets.
type Page struct {
	Title    string
	About    string // what this is, and when it was made
	Date     time.Time
	Photos   []Photo
	Parts    []Part
	Colours  [2]string // what stands over the colours of parts: now, then
	Over     string    // what comes over all parts; "" for nothing
	Sections []Section
	Small    string // how far all of it holds
	Nonce    string // that the page's style carries, where it is served; "" for none
}

// A Photo is one photo of the piece, shown in up to three ways.
type Photo struct{ Now, Day, Lamp Picture }

// A Picture has what stands under it; an image of nil is none.
type Picture struct {
	Image image.Image
	Text  string
}

// A Part is one part of the piece: what is done to it, and its colour before and after.
type Part struct {
	Name       string
	Do         string
	Now, After colour.Lab
}

// A Section is paragraphs under a heading.
type Section struct {
	Heading string
	Lines   []Line
}

// A Line is a paragraph, and what is listed under it.
type Line struct {
	Text  string
	Items []string
}
