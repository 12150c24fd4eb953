//go:build !unix

package block

import "io/fs"

// ownedByUser: here the folder's permissions have to do.
func ownedByUser(fs.FileInfo) bool { return true }
