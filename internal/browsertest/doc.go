// Package browsertest holds the pages against a real browser. It has tests only.
package browsertest
