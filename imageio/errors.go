package imageio

import (
	"fmt"

	"huewright/imageio/internal/container"
)

// A PhotoError reports a photo that cannot be used: unreadable, damaged, of a kind that
// shows colours we cannot trust, or with too little of what is needed in it.
type PhotoError = container.PhotoError

// An OutlineError reports an outline that cannot be meant as it was given: not numbers, not a
// shape, or not on the photo.
type OutlineError struct {
	Name    string // of the area, as the user gave it; may be empty
	Problem string
	Advice  string
}

func (e *OutlineError) Error() string {
	if e.Name == "" {
		return "outline: " + e.Problem
	}
	return fmt.Sprintf("outline of %q: %s", e.Name, e.Problem)
}

// Hint says what to do next.
func (e *OutlineError) Hint() string { return e.Advice }

// An AreaError reports an outline that lies properly on the photo but holds too little that
// can be measured.
type AreaError struct {
	Path    string // of the photo, as the user gave it
	Name    string // of the area; may be empty
	Problem string
	Advice  string
}

func (e *AreaError) Error() string {
	if e.Name == "" {
		return JoinPath(e.Path, e.Problem)
	}
	return JoinPath(e.Path, fmt.Sprintf("area %q: %s", e.Name, e.Problem))
}

// Hint says what to do next.
func (e *AreaError) Hint() string { return e.Advice }

// JoinPath puts the path of a photo, where there is one, before what is said of it.
func JoinPath(path, problem string) string {
	if path == "" {
		return problem
	}
	return path + ": " + problem
}
