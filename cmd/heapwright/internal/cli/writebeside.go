package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// writeBeside puts text into a file: written beside it, read back and checked,
// and renamed into place, so that the file is the old one or the new one and
// never half of either. A symbolic link stays, and the file that it leads to is
// changed; permissions stay. On an error nothing has changed. check may be nil.
func writeBeside(file string, text []byte, isNew bool, check func(written []byte) error) (err error) {
	path, mode, err := whereTo(file, isNew)
	if err != nil {
		return err
	}
	cannot := func(err error) error {
		if e, ok := errors.AsType[*fs.PathError](err); ok {
			err = e.Err
		} else if e, ok := errors.AsType[*os.LinkError](err); ok {
			err = e.Err
		}
		return &usageError{fmt.Sprintf("%s cannot be written: %v", file, err), "check the folder, and who may write in it"}
	}
	beside, err := createBeside(path, mode)
	if err != nil {
		return cannot(err)
	}
	name := beside.Name()
	defer func() {
		if err != nil {
			os.Remove(name)
		}
	}()
	_, err = beside.Write(text)
	if err == nil && !isNew {
		err = beside.Chmod(mode) // what the umask took off
	}
	if err == nil {
		err = beside.Sync()
	}
	if closing := beside.Close(); err == nil {
		err = closing
	}
	if err != nil {
		return cannot(err)
	}
	if check != nil {
		written, err := os.ReadFile(name)
		if err != nil {
			return cannot(err)
		}
		if err = check(written); err != nil {
			return err
		}
	}
	if isNew {
		// A file that has come meanwhile is not written over.
		if _, gone := os.Lstat(path); gone == nil {
			return cannot(fs.ErrExist)
		}
	}
	if err = os.Rename(name, path); err != nil {
		return cannot(err)
	}
	return nil
}

// isMissing reports whether there is no file of that name yet.
func isMissing(file string) bool {
	_, err := os.Stat(file)
	return errors.Is(err, fs.ErrNotExist)
}

// newFileMode is that of a new file, before the umask.
const newFileMode = 0o666

// whereTo follows symbolic links, and gives the permissions to keep.
func whereTo(file string, isNew bool) (string, fs.FileMode, error) {
	if isNew {
		if _, err := os.Lstat(file); err == nil {
			return "", 0, &usageError{file + " is a link that leads nowhere", "name the file itself"}
		}
		return file, newFileMode, nil
	}
	path, err := filepath.EvalSymlinks(file)
	if err != nil {
		return "", 0, &usageError{fmt.Sprintf("%s cannot be opened: %v", file, err), "check the name and the folder"}
	}
	// Renaming would get round a file that is not to be written.
	f, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		return "", 0, &usageError{fmt.Sprintf("%s may not be written", file), "check who may write it"}
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return "", 0, err
	}
	return path, info.Mode().Perm(), nil
}

// createBeside makes a file that was not there, in the folder of path.
func createBeside(path string, mode fs.FileMode) (*os.File, error) {
	const most = 100 // names in use by others
	for i := 0; ; i++ {
		name := filepath.Join(filepath.Dir(path), fmt.Sprintf(".%s.%d-%d", filepath.Base(path), os.Getpid(), i))
		f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
		if err == nil || i == most || !errors.Is(err, fs.ErrExist) {
			return f, err
		}
	}
}
