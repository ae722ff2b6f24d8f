//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package register

import (
	"os"
	"syscall"
)

// lock keeps a second voidline from writing in the same folder until unlock is called. It leaves no
// file behind: the lock is on the folder itself, and goes with the process.
func lock(dir string) (unlock func(), err error) {
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
