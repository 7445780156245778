// Package imagetest makes photos for tests: small files of each format, drawn wood, and work that is stopped.
package imagetest
