package web

import (
	"context"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/internal/logbook"
	"huewright/internal/piece"
	"huewright/internal/workshop"
)

// fuzzed is a server with a piece, and a cookie that it knows.
func fuzzed(f *testing.F) (*Server, http.Handler, *http.Cookie) {
	ctx := context.Background()
	log, err := logbook.Open(ctx, f.TempDir()+"/log.db", logbook.Options{Make: true})
	require.NoError(f, err)
	f.Cleanup(func() { _ = log.Close() })
	s, err := New(log, Options{Hosts: []string{"bench.test"}, Now: func() time.Time { return time.Unix(1.7e9, 0) }})
	require.NoError(f, err)
	require.NoError(f, log.Write(ctx, func(w *logbook.Writer) error { return w.BeginOnce("desk") }))
	require.NoError(f, s.drafts.begin(&pieceDraft{ID: "abcdefgh", Piece: piece.Piece{Name: "desk"}}))
	token, err := s.browsers.add("computer")
	require.NoError(f, err)
	return s, s.handler(), &http.Cookie{Name: s.browsers.cookie, Value: token}
}

// answers are the states that a request may be answered with. 500 is none of them.
var answers = []int{
	http.StatusOK, http.StatusSeeOther, http.StatusBadRequest, http.StatusNotFound, http.StatusConflict, http.StatusMethodNotAllowed,
	http.StatusRequestEntityTooLarge, http.StatusUnprocessableEntity, http.StatusServiceUnavailable, http.StatusMovedPermanently,
	http.StatusTemporaryRedirect, http.StatusPermanentRedirect,
}

// answered posts a body, and requires one of the answers.
func answered(t *testing.T, handler http.Handler, cookie *http.Cookie, path, kind, body string) {
	r := httptest.NewRequest(http.MethodPost, "http://bench.test"+path, strings.NewReader(body))
	r.Header.Set("Content-Type", kind)
	r.AddCookie(cookie)
	w := httptest.NewRecorder()
	handler.ServeHTTP(w, r)
	require.Contains(t, answers, w.Code, w.Body.String())
}

// FuzzForm sends forms of chance: each is refused, or the piece still makes sense and can be shown.
func FuzzForm(f *testing.F) {
	s, handler, cookie := fuzzed(f)
	whole := pieceDraft{ID: "zzzzzzzz", Piece: piece.Piece{
		Name: "desk", Photos: []piece.Photo{{Name: "front", File: strings.Repeat("a", 64), Reference: "none"}},
		Areas:    []piece.Area{{Name: "frame", Photo: "front", Outline: "1,1,20,20", Surface: "sealed"}},
		Coatings: []piece.Coating{{Name: "wash", Kind: "wash", Chip: &piece.ColourSource{Hex: "#504030"}}},
	}, Photos: map[string]workshop.PhotoLook{"front": {Width: 100, Height: 80}}, Read: map[string]workshop.SpotReading{"frame": {}}}
	for _, body := range []string{
		"do=piece&tolerance=1,5&year=1910&units=us&old-finish=yes", "do=reference&photo=front&kind=chart&corners=1,1+9,1+9,9+1,9",
		"do=slip&photo=front&outline=1,1,5,5", "do=no-slip&photo=front&outline=1,1,5,5", "do=tie&name=slip&photo=front&outline=1,1,5,5",
		"do=printed&photo=front&corners=1,1+9,1+9,9+1,9&from=1,1+9,1+9,9+1,9",
		"do=area&name=frame&photo=front&outline=1,1+9,1+9,9&size=0.4&surface=bare",
		"do=also&area=frame&photo=front&outline=2,2,5,5", "do=target&target-colour=42,+15,+21",
		"do=coating&name=wash&kind=glaze&chip-colour=%23504030&paint=1&thinner=4&recoat-after=2",
		"do=test&coating=wash&coats=2&ground-colour=70,4,20&result-colour=60,7,21", "do=clear&name=varnish&coats=2",
		"do=room&temperature=19&humidity=55&start=2026-03-14T09:00&opens=08:00",
		"do=laid&area=frame&coating=wash&coats=1&after-colour=50,10,20", "do=repair&name=corner&photo=front&outline=3,3,9,9",
		"do=remove&what=area&name=frame", "do=undo", "do=plan", "do=check&name=corner", "do=note&text=dry",
		"name=desk&outline=1,1,9,9&photo=front", "%zz=%",
	} {
		f.Add(body)
	}
	f.Fuzz(func(t *testing.T, body string) {
		// In memory, without what reads photos, planning or disks.
		if values, err := url.ParseQuery(body); err == nil {
			if st := stepNamed(values.Get("do")); st != nil && st.change != nil {
				d := whole
				d.Piece.Photos, d.Piece.Areas = slices.Clone(d.Piece.Photos), slices.Clone(d.Piece.Areas)
				d.Piece.Coatings = slices.Clone(d.Piece.Coatings)
				d.Read = map[string]workshop.SpotReading{}
				if err := st.change(&d, form{values}.only(st.fields())); err == nil && d.Piece.ValidateWithin(piece.Limits{}) == nil {
					for i := range screens {
						var out strings.Builder
						page := screenOf(&screens[i], s.pieceView(&d, nil), values)
						require.NoError(t, s.pages.ExecuteTemplate(&out, "piece-"+screens[i].name, page))
					}
				}
			}
			if values.Get("do") == "undo" || len(body) > 2000 {
				return
			}
		}
		// And through the front door.
		for _, path := range []string{"/piece/abcdefgh/do", "/piece/abcdefgh/spot", "/piece/abcdefgh/tap"} {
			answered(t, handler, cookie, path, "application/x-www-form-urlencoded", body)
		}
	})
}

// FuzzUpload sends bodies that claim to bring photos.
func FuzzUpload(f *testing.F) {
	_, handler, cookie := fuzzed(f)
	part := func(name, data string) string {
		return "--b\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"" + name +
			"\"\r\nContent-Type: image/jpeg\r\n\r\n" + data + "\r\n--b--\r\n"
	}
	f.Add(part("front.jpg", "\xff\xd8\xff\xe0\x00\x10JFIF"))
	f.Add(part("../../etc/passwd", "GIF89a"))
	f.Add(part("", ""))
	f.Add("--b--")
	f.Fuzz(func(t *testing.T, body string) {
		answered(t, handler, cookie, "/piece/abcdefgh/photo", "multipart/form-data; boundary=b", body)
	})
}

// FuzzPath asks for paths of chance.
func FuzzPath(f *testing.F) {
	_, handler, cookie := fuzzed(f)
	for _, path := range []string{
		"/", "/piece/abcdefgh", "/piece/abcdefgh/preview/front", "/photo/" + strings.Repeat("a", 64) + "?w=300", "/log/desk",
		"/log?text=ash&near=44,14,20&within=3", "/shelf?text=wash", "/help", "/static/../server.go", "/static/bench.css", "/pair?code=abc",
	} {
		f.Add(path)
	}
	f.Fuzz(func(t *testing.T, path string) {
		if strings.Contains(path, "pair") {
			return // guessing is slow by intent
		}
		u, err := url.Parse("http://bench.test/" + strings.TrimPrefix(path, "/"))
		if err != nil || u.Host != "bench.test" {
			return
		}
		r := httptest.NewRequest(http.MethodGet, "http://bench.test/", nil)
		r.URL, r.RequestURI = u, u.RequestURI()
		r.AddCookie(cookie)
		w := httptest.NewRecorder()
		handler.ServeHTTP(w, r)
		require.Contains(t, append([]int{http.StatusUnauthorized, http.StatusForbidden}, answers...), w.Code, w.Body.String())
	})
}
