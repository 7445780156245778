//go:build ignore

// Command site builds the folder of static files with which a browser runs the program: go run .ci/site.go VERSION FOLDER.
package main

import (
	"context"
	"fmt"
	"log"
	"os"

	"huewright/internal/phone"
)

func main() {
	log.SetFlags(0)
	if len(os.Args) != 3 {
		log.Fatal("go run .ci/site.go VERSION FOLDER")
	}
	s, err := phone.Build(context.Background(), os.Args[2], os.Args[1])
	if err != nil {
		log.Fatal(err)
	}
	const mb = 1e6
	program, visit := float64(s.Program)/mb, float64(s.Visit)/mb
	fmt.Printf("site %s: the program has %.1f MB, a first visit fetches %.1f MB\n", s.Version, program, visit)
	if s.Least > 0 {
		fmt.Printf("where a browser unpacks Brotli itself: %.1f MB\n", float64(s.Least)/mb)
	}
}
