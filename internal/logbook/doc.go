// Package logbook keeps what was seen and done on every piece: an SQLite file, and beside it the
// photos, each stored once by the hash of its bytes.
//
// Nothing in it is ever rewritten. What was wrong is put right by a further entry that names the
// one it replaces; what should not stand is withdrawn by one. What Write has returned from is on
// the disk: it outlives a power cut. A photo's bytes are on the disk, under their hash, before a row names them.
//
// Readings near a colour are found by an R*Tree of L*, a* and b*, whose boxes bound.go proves large enough for
// CIEDE2000, and the nearest ones by boxes that grow until enough are found.
//
// The tables, with the units of their columns, stand in schema/0001.sql. Copies of a log agree
// about its rows by their uid; the numbers that people use, as in "#12", are the file's own. A log of
// an older version is copied beside itself before it is brought up to date, all or nothing.
//
// A backup is a log like any other, and a bundle (see bundle.go) a backup in one file. It gets its name last, when all in it has been read
// back; taking one back sets aside the log that was there. Drafts of the pages (see drafts.go) travel with backups, exports and checks. An
// entry whose putting right was withdrawn stands again: standing.go says how that is found. Files that have lost their names in a browser
// are taken in by what is in them (found.go).
//
// Weather and the time a wiped coat was left are kept and shown; nothing is learned from them.
package logbook
