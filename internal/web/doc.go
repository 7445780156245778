// Package web is the pages: the whole job in a browser, on the phone that takes the photos. It is a
// thin shell over workshop; every form works without a script but for drawing on a photo, and the
// scripts only save time.
//
// What is typed is kept as a draft beside the log after every step, and can be undone; photos,
// readings, plans, coats and checks go into the log.
//
// By default it answers this machine only. Every request but for pairing needs the token of a paired
// browser, names a host that is ours, and, where it changes something, comes from our own pages.
package web
