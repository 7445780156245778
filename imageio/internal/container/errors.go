package container

// A PhotoError reports a photo that cannot be used: unreadable, damaged, of a kind that
// shows colours we cannot trust, or with too little of what is needed in it.
type PhotoError struct {
	Path    string // as the user gave it
	Problem string // what is wrong
	Advice  string // what to do next
}

func (e *PhotoError) Error() string {
	if e.Path == "" {
		return e.Problem
	}
	return e.Path + ": " + e.Problem
}

// Hint says what to do next.
func (e *PhotoError) Hint() string { return e.Advice }
