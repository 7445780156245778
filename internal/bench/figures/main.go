// Command figures measures what the program promises and writes internal/bench/FIGURES.md:
//
//	go run ./internal/bench/figures          # accuracy and robustness, by the long tests
//	go run ./internal/bench/figures -time    # speed and memory, by the benchmarks; on an idle machine
//	go run ./internal/bench/figures -others  # the same work by other programs, as far as they are installed
//	go run ./internal/bench/figures out.txt  # from the output of tests run before, with -v and HUEWRIGHT_LONG=1
//
// It runs from the root of the checkout. figures.toml lists the rows. Tests print their figures through the
// package figure, benchmarks in their standard format. A figure in the list that was not printed is an error,
// and so is a printed one that the list does not use. Groups that were not measured keep what the file says.
package main

import (
	"flag"
	"fmt"
	"io"
	"os"
	"strings"
)

const path = "internal/bench/FIGURES.md"

func main() {
	timed := flag.Bool("time", false, "measure speed and memory instead of accuracy")
	beside := flag.Bool("others", false, "measure other programs at the same work instead of accuracy")
	flag.Parse()
	part := accuracy
	switch {
	case *timed:
		part = speed
	case *beside:
		part = others
	}
	if err := run(part, flag.Args(), os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "figures:", err)
		os.Exit(1)
	}
}

func run(part string, outputs []string, progress io.Writer) error {
	l, err := readList(listed)
	if err != nil {
		return err
	}
	var text strings.Builder
	for _, output := range outputs {
		data, err := os.ReadFile(output)
		if err != nil {
			return err
		}
		text.Write(data)
	}
	if len(outputs) == 0 {
		if err := l.measure(part, io.MultiWriter(&text, progress)); err != nil {
			return err
		}
	}
	got, err := collect(text.String())
	if err != nil {
		return err
	}
	before, err := os.ReadFile(path)
	if err != nil && !os.IsNotExist(err) {
		return err
	}
	table, err := l.write(part, got, string(before))
	if err != nil {
		return err
	}
	if err := os.WriteFile(path, []byte(table), 0o644); err != nil {
		return err
	}
	return l.unexpected(got.failed)
}
