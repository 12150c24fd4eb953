//go:build !unix || solaris || aix

package keep

func tryLock(folder string) (unlock func(), ok bool, err error) { return tryLockFile(folder) }
