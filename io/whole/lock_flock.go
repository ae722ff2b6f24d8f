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
