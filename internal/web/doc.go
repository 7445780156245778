// Package web serves the whole job as pages in a browser, on the phone that takes the photos. It is a thin shell
// over workshop, as the command line is: a page asks for what a command asks for, and report writes the answer.
// Every form works without a script but for drawing on a photo; the scripts only save time.
//
// Begin with New, which makes a Server over an open log, and Serve, which answers requests. Read the files from the
// request down:
//
//   - routes.go lists every page; guard.go, pairing.go and browsers.go say who may ask; answer.go how a page and a failure
//     are written, and alone.go what is otherwise where a browser runs the program itself;
//   - piece.go, upload.go, pictures.go, fitted.go, logpages.go, saving.go and found.go are the pages; tryout.go the demo's, over
//     a log of its own; pieceview.go, planview.go and pages.go hold what their templates show;
//   - steps.go lists in one table all that the page of a piece may ask for; the files …steps.go and planning.go
//     hold what each step does;
//   - drafts.go, draftparts.go, plancache.go and planshown.go hold what is kept, and merge.go puts together what two
//     pages changed; form.go and text.go read what was typed; server.go holds what all pages share.
//
// What is typed is kept as a draft beside the log after every step, and can be undone; photos, readings, plans,
// coats and checks go into the log.
//
// By default only this machine is answered. Every request but for pairing needs the token of a paired browser,
// names a host that is ours, and, where it changes something, comes from our own pages.
package web
