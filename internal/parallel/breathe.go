//go:build !js

package parallel

// breathe does nothing where the system shares out processors: see breathe_js.go.
func breathe() {}
