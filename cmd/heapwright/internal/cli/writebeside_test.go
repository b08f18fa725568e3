package cli

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func files(t *testing.T, dir string) []string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	var names []string
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}

func TestWriteBesideChecksFirst(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "plan.toml")
	require.NoError(t, os.WriteFile(file, []byte("old"), 0o640))
	refused := errors.New("refused")
	err := writeBeside(file, []byte("new"), false, func(written []byte) error {
		assert.Equal(t, "new", string(written), "the check sees what is on the disk")
		kept, err := os.ReadFile(file)
		assert.NoError(t, err)
		assert.Equal(t, "old", string(kept), "nothing is in place yet")
		return refused
	})
	assert.ErrorIs(t, err, refused)
	kept, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, "old", string(kept))
	assert.Equal(t, []string{"plan.toml"}, files(t, dir), "nothing is left beside it")

	require.NoError(t, writeBeside(file, []byte("new"), false, func([]byte) error { return nil }))
	kept, err = os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, "new", string(kept))
	info, err := os.Stat(file)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o640), info.Mode().Perm())
	assert.Equal(t, []string{"plan.toml"}, files(t, dir))
}

func TestWriteBesideNewFile(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "own.toml")
	err := writeBeside(file, []byte("new"), true, func([]byte) error { return errors.New("refused") })
	require.Error(t, err)
	assert.Empty(t, files(t, dir))

	// A file that comes while this one is being written is not written over.
	err = writeBeside(file, []byte("new"), true, func([]byte) error { return os.WriteFile(file, []byte("theirs"), 0o600) })
	require.ErrorContains(t, err, "cannot be written: file already exists")
	kept, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, "theirs", string(kept))
	assert.Equal(t, []string{"own.toml"}, files(t, dir))
}

func TestWriteBesideLink(t *testing.T) {
	dir, other := t.TempDir(), t.TempDir()
	file, link := filepath.Join(other, "real.toml"), filepath.Join(dir, "link.toml")
	require.NoError(t, os.WriteFile(file, []byte("old"), 0o600))
	require.NoError(t, os.Symlink(file, link))
	require.NoError(t, writeBeside(link, []byte("new"), false, func([]byte) error { return nil }))
	info, err := os.Lstat(link)
	require.NoError(t, err)
	assert.NotZero(t, info.Mode()&os.ModeSymlink, "the link is a link still")
	kept, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, "new", string(kept))
	assert.Equal(t, []string{"link.toml"}, files(t, dir))
	assert.Equal(t, []string{"real.toml"}, files(t, other))
}
