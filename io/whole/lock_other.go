//go:build !(linux || darwin || freebsd || netbsd || openbsd || dragonfly)

package whole

import "os"

// hold has no lock to take here: of what others hold only the age tells.
func hold(*os.File) bool { return true }
