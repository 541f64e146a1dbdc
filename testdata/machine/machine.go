// Package machine tells on what something was measured.
package machine

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"runtime"
	"strings"
	"time"
)

// Line tells in a line on what was measured and when, with the versions of Go,
// Node and Python, where they are installed, and those given.
func Line(ctx context.Context, versions []string) string {
	said := []string{fmt.Sprintf("%s, %d cores", processor(), runtime.NumCPU()), runtime.Version()}
	if node, err := exec.CommandContext(ctx, "node", "--version").Output(); err == nil {
		said = append(said, "Node "+strings.TrimSpace(string(node)))
	}
	for _, python := range []string{"/usr/bin/python3", "python3"} {
		if version, err := exec.CommandContext(ctx, python, "--version").Output(); err == nil {
			said = append(said, strings.TrimSpace(string(version)))
			break
		}
	}
	return strings.Join(append(append(said, versions...), time.Now().Format(time.DateOnly)), "; ")
}

// processor is the name that Linux gives it, else its kind.
func processor() string {
	data, err := os.ReadFile("/proc/cpuinfo")
	if err != nil {
		return runtime.GOARCH
	}
	for line := range strings.Lines(string(data)) {
		if key, value, found := strings.Cut(line, ":"); found && strings.TrimSpace(key) == "model name" {
			return strings.TrimSpace(value)
		}
	}
	return runtime.GOARCH
}
