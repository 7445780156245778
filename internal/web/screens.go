package web

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"huewright/colour"
	"huewright/imageio"
	"huewright/internal/fault"
	"huewright/internal/logbook"
	"huewright/internal/piece"
)

// A screen is a page of a piece, with one thing to do on it. Its template is called "piece-" and its name.
type screen struct {
	name  string // what stands in its address
	title string
	aside bool // not on the way from photo to bench
	back  string
}

// screens are the pages of a piece: first those on the way, in its order. A further page is added here, with its template.
var screens = []screen{
	{name: "photos", title: "Photograph it"},
	{name: "woods", title: "Which woods?", back: "photos"},
	{name: "goal", title: "Where to?", back: "woods"},
	{name: "shelf", title: "On the shelf", back: "goal"},
	{name: "answer", title: "The answer", back: "shelf"},
	{name: "bench", title: "At the bench", back: "answer"},
	{name: "light", title: "Paper or chart", aside: true, back: "photos"},
	{name: "outlines", title: "Outlines by hand", aside: true, back: "woods"},
	{name: "like", title: "Find a colour", aside: true, back: "woods"},
	{name: "coating", title: "A coating", aside: true, back: "shelf"},
	{name: "test", title: "A test coat", aside: true, back: "shelf"},
	{name: "repairs", title: "Does it show?", aside: true, back: "bench"},
	{name: "papers", title: "Card and log", aside: true, back: "bench"},
	{name: "room", title: "Piece and room", aside: true, back: "bench"},
}

// screenNamed is the screen of a name; nil for none.
func screenNamed(name string) *screen {
	return first(screens, func(s *screen) bool { return s.name == name })
}

// A wayStep is a step of the way, as the top of a screen shows it.
type wayStep struct {
	Title, Address string
	Now, Done      bool
}

// A screenView is a page of a piece.
type screenView struct {
	*pieceView
	Name, Title    string
	Number, Of     int // on the way; 0 beside it
	Back, BackName string
	Way            []wayStep
	Aside          []wayStep

	Chosen  *photoView // the photo that is shown to be tapped; nil without photos
	Asked   url.Values // what its address asked for besides
	Coating string     // that the address names
	Area    *areaPlanView
	Now     time.Time
	Known   []logbook.KnownCoating // from earlier pieces, and not on the shelf yet
}

// usualNames are offered for woods that are tapped.
var usualNames = []string{"frame", "panel", "top", "side", "door", "drawer", "leg", "moulding"}

// Names are names for an area that none has yet.
func (p *screenView) Names() (free []string) {
	for _, name := range usualNames {
		if p.area(name) == nil && len(free) < 4 {
			free = append(free, name)
		}
	}
	if len(free) == 0 {
		free = append(free, "wood "+strconv.Itoa(len(p.Areas)+1))
	}
	return free
}

// Woods are woods that are offered where one is named.
func (p *screenView) Woods() []string {
	return []string{"ash", "beech", "birch", "cherry", "mahogany", "maple", "oak", "pine", "sapele", "teak", "walnut"}
}

// A shelved coating has the colour that it dries to, where that is known.
type shelved struct {
	piece.Coating
	Hex string
}

// Shelf are the coatings of the piece.
func (p *screenView) Shelf() (all []shelved) {
	for _, k := range p.Piece.Coatings {
		s := shelved{Coating: k}
		switch {
		case k.Chip == nil:
		case k.Chip.Hex != "":
			s.Hex = k.Chip.Hex
		case len(k.Chip.Lab) == 3:
			s.Hex = colour.Lab{L: k.Chip.Lab[0], A: k.Chip.Lab[1], B: k.Chip.Lab[2]}.Hex()
		case k.Chip.Outline != "":
			if spot, read := p.Chips[chipKey(k.Chip)]; read {
				s.Hex = spot.Lab.Hex()
			}
		}
		all = append(all, s)
	}
	return all
}

// Changed is the coating that is changed; an empty one where a new one is added.
func (p *screenView) Changed() piece.Coating {
	if k := p.coating(p.Coating); k != nil {
		return *k
	}
	return piece.Coating{}
}

// A mixRow is a part of a mix, to be filled in.
type mixRow struct{ Coating, Parts string }

// MixRows are the parts of the coating that is changed, and empty ones up to three.
func (p *screenView) MixRows() (rows []mixRow) {
	for _, part := range p.Changed().Parts {
		rows = append(rows, mixRow{part.Coating, strconv.FormatFloat(part.Parts, 'g', -1, 64)})
	}
	for len(rows) < 3 {
		rows = append(rows, mixRow{})
	}
	return rows
}

// Mixable are the coatings of the shelf that a mix may be stirred together of: those that came out of tins, but for the one that is
// changed.
func (p *screenView) Mixable() (names []string) {
	for _, k := range p.Piece.Coatings {
		if len(k.Parts) == 0 && k.Name != p.Coating {
			names = append(names, k.Name)
		}
	}
	return names
}

// screenOf is a page of a piece.
func screenOf(st *screen, v *pieceView, asked url.Values) *screenView {
	address := func(name string) string { return "/piece/" + v.ID + "/" + name }
	p := &screenView{pieceView: v, Name: st.name, Title: st.title, Asked: asked, Back: "/", BackName: "Pieces"}
	if st.back != "" {
		p.Back, p.BackName = address(st.back), screenNamed(st.back).title
	}
	now := slices.IndexFunc(screens, func(s screen) bool { return s.name == st.name })
	for i, s := range screens {
		step := wayStep{Title: s.title, Address: address(s.name), Now: i == now, Done: i < now && !st.aside}
		if s.aside {
			p.Aside = append(p.Aside, step)
			continue
		}
		p.Way = append(p.Way, step)
	}
	if !st.aside {
		p.Number, p.Of = now+1, len(p.Way)
	}
	v.Do += "&from=" + st.name
	if n := len(v.Photos); n > 0 {
		p.Chosen = &v.Photos[n-1]
		for i := range v.Photos {
			if v.Photos[i].Name == asked.Get("photo") {
				p.Chosen = &v.Photos[i]
			}
		}
	}
	p.Coating = asked.Get("coating")
	if st.name == "test" && v.coating(p.Coating) == nil && len(v.Piece.Coatings) > 0 {
		p.Coating = v.Piece.Coatings[0].Name
	}
	if v.Plan != nil {
		p.Area = benchArea(v.Plan, asked.Get("area"))
	}
	return p
}

// benchArea is the area that the bench shows: the one asked for, or else the first that a coat is to come on.
func benchArea(p *planView, asked string) *areaPlanView {
	for i := range p.Areas {
		if p.Areas[i].Name == asked {
			return &p.Areas[i]
		}
	}
	for i := range p.Areas {
		if !p.Areas[i].NeedsNoCoats {
			return &p.Areas[i]
		}
	}
	if len(p.Areas) > 0 {
		return &p.Areas[0]
	}
	return nil
}

// piece goes on where the piece stands.
func (s *Server) piece(w http.ResponseWriter, r *http.Request) error {
	d, err := s.draftOf(r)
	if err != nil {
		return err
	}
	m, err := s.planned(r.Context(), d)
	if err != nil {
		m = &shownPlan{fault: err}
	}
	next := nextScreen(s.pieceView(d, m))
	http.Redirect(w, r, "/piece/"+d.ID+"/"+next, http.StatusSeeOther)
	return nil
}

// screen shows a page of a piece.
func (s *Server) screen(w http.ResponseWriter, r *http.Request) error {
	d, err := s.draftOf(r)
	if err != nil {
		return err
	}
	st := screenNamed(r.PathValue("screen"))
	if st == nil {
		return failed(http.StatusNotFound, fault.New(fault.Use, "page.no-page"))
	}
	m, err := s.planned(r.Context(), d)
	if err != nil {
		m = &shownPlan{fault: err} // there is still the piece, to be planned again
	}
	page := screenOf(st, s.pieceView(d, m), r.URL.Query())
	page.Now = s.now()
	if st.name == "shelf" {
		known, err := s.log.Coatings(r.Context())
		if err != nil {
			return err
		}
		page.Known = slices.DeleteFunc(known, func(k logbook.KnownCoating) bool { return d.coating(k.Name) != nil })
	}
	s.show(w, r, http.StatusOK, "piece-"+st.name, page)
	return nil
}

// nextScreen is the page with what comes next.
func nextScreen(v *pieceView) string {
	switch {
	case len(v.Photos) == 0:
		return "photos"
	case len(v.Areas) == 0:
		return "woods"
	case len(v.Piece.Coatings) == 0:
		return "shelf"
	case v.MayPlan():
		return "answer"
	}
	return "bench"
}

// pathOf is an outline as the path of a drawing; "" for none.
func pathOf(outline string) string {
	o, err := imageio.ParseOutline(outline)
	if err != nil {
		return ""
	}
	var d strings.Builder
	draw := func(points []imageio.Point) {
		for i, p := range points {
			command := "L"
			if i == 0 {
				command = "M"
			}
			d.WriteString(command + short(p.X) + " " + short(p.Y))
		}
		d.WriteByte('Z')
	}
	draw(o.Points)
	for _, more := range o.More {
		draw(more)
	}
	for _, hole := range o.Holes {
		draw(hole)
	}
	return d.String()
}
