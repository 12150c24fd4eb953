// Package keep writes files whole or not at all, and keeps two processes from
// changing the same folder at once.
package keep
