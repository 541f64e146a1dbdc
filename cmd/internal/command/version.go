package command

import (
	"fmt"
	"runtime"
	"runtime/debug"
)

// version is the tag or the commit, with its time, that the program was built from,
// with "+dirty" if files had been changed since, and what built it for which system:
// "v0.0.0-20261130214629-4ca1d07abcde (go1.26.0, windows/amd64)". Where go recorded no
// commit, as under go run, it is "development".
func version() string {
	from := "development"
	if build, ok := debug.ReadBuildInfo(); ok && build.Main.Version != "" && build.Main.Version != "(devel)" {
		from = build.Main.Version
	}
	return fmt.Sprintf("%s (%s, %s/%s)", from, runtime.Version(), runtime.GOOS, runtime.GOARCH)
}
