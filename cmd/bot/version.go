package main

import (
	"flag"
	"fmt"
	"io"
	"runtime"
	"runtime/debug"
)

// version is set by the build: -ldflags "-X main.version=1.2.3".
var version = ""

func runVersion(args []string, stdout, stderr io.Writer) int {
	if code, done := parse(flag.NewFlagSet("version", flag.ContinueOnError), args, 0, stdout, stderr); done {
		return code
	}
	v, commit := version, "unknown"
	if info, ok := debug.ReadBuildInfo(); ok {
		if v == "" {
			v = info.Main.Version
		}
		commit = revision(info.Settings, commit)
	}
	if v == "" {
		v = "(devel)"
	}
	fmt.Fprintf(stdout, "gasmuster %s, commit %s, %s\n", v, commit, runtime.Version())
	return exitOK
}

func revision(settings []debug.BuildSetting, unknown string) string {
	commit, dirty := unknown, ""
	for _, s := range settings {
		switch {
		case s.Key == "vcs.revision":
			commit = s.Value
		case s.Key == "vcs.modified" && s.Value == "true":
			dirty = " with changes"
		}
	}
	return commit + dirty
}
