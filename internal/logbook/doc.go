// Package logbook keeps what was seen and done on every piece: an SQLite file, and beside it the
// photos, each stored once by the hash of its bytes.
//
// Nothing in it is ever rewritten. What was wrong is put right by a further entry that names the
// one it replaces; what should not stand is withdrawn by one. What Write has returned from is on
// the disk: it outlives a power cut.
//
// The tables, with the units of their columns, stand in schema/0001.sql. Copies of a log agree
// about its rows by their uid; the numbers that people use, as in "#12", are the file's own.
package logbook
