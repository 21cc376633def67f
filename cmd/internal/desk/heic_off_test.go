//go:build !(heic && nodynamic)

package desk

const hasHEIC = false
