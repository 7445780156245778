// Package web is the pages: the whole job in a browser, on the phone that takes the photos. It is a
// thin shell over workshop; every form works without a script but for drawing on a photo, and the
// scripts only save time.
//
// What is typed is kept as a draft beside the log after every step, and can be undone; photos,
// readings, plans, coats and checks go into the log.
//
// Beside server.go (who may ask, and what all share) its files go one way, from the request down: home.go,
// upload.go, pictures.go, logpages.go and piece.go answer it; view.go is what a page shows; steps.go
// is all that a piece's page may ask for, in one table; checking.go, planning.go, changing.go, piecesteps.go,
// photosteps.go, areasteps.go and coatingsteps.go are what each step does; plans.go, draftparts.go and drafts.go
// are what is kept, form.go what was typed.
//
// By default it answers this machine only. Every request but for pairing needs the token of a paired
// browser, names a host that is ours, and, where it changes something, comes from our own pages.
package web
