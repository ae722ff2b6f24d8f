//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package whole

import (
	"os"
	"syscall"
)

// hold locks an open file or folder as long as it stays open, and reports whether nobody else holds it. A file system
// that knows no locks says yes.
func hold(f *os.File) bool {
	return syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB) != syscall.EWOULDBLOCK
}

// Lock keeps a second voidline from writing in the same folder until unlock is called, or says ErrBusy. It leaves no
// file behind: the lock is on the folder itself, and goes with the process.
func Lock(dir string) (unlock func(), err error) {
	d, err := os.Open(dir)
	if err != nil {
		return nil, bare(err)
	}
	if err := syscall.Flock(int(d.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); err == syscall.EWOULDBLOCK {
		d.Close()
		return nil, ErrBusy
	}
	// A file system without locks: the comparison with what was read has to do.
	return func() { d.Close() }, nil
}
