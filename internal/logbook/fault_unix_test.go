//go:build unix

package logbook

import (
	"io"
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestAReadOnlyFolder looks at a log and writes to it as somebody who has no right to.
func TestAReadOnlyFolder(t *testing.T) {
	// Not t.TempDir: whoever has no rights has to reach it.
	folder, err := os.MkdirTemp("", "logbook-read-only")
	require.NoError(t, err)
	defer func() {
		_ = os.Chmod(folder, 0o755)
		_ = os.RemoveAll(folder)
	}()
	l := newLog(t)
	fill(t, l)
	path := filepath.Join(folder, fileName)
	backup(t, l, path)
	self := child(t, "read only", path)
	binary := filepath.Join(folder, "self")
	copyExecutable(t, self.Path, binary)
	require.NoError(t, os.Chmod(path, 0o444))
	require.NoError(t, os.Chmod(folder, 0o555))
	self.Path, self.Args, self.Dir = binary, []string{binary}, folder
	if os.Geteuid() == 0 {
		self.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
	}
	out, err := self.CombinedOutput()
	require.NoError(t, err, "%s", out)
}

func copyExecutable(t *testing.T, from, to string) {
	in, err := os.Open(from)
	require.NoError(t, err)
	defer func() { _ = in.Close() }()
	out, err := os.OpenFile(to, os.O_CREATE|os.O_WRONLY, 0o755)
	require.NoError(t, err)
	_, err = io.Copy(out, in)
	require.NoError(t, err)
	require.NoError(t, out.Close())
}
