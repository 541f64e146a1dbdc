package main

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"runtime"
	"strings"
	"time"
)

// machine tells in a line on what was measured and when.
func machine(ctx context.Context, versions []string) string {
	said := []string{fmt.Sprintf("%s, %d cores", processor(), runtime.NumCPU()), runtime.Version()}
	if node, err := exec.CommandContext(ctx, "node", "--version").Output(); err == nil {
		said = append(said, "Node "+strings.TrimSpace(string(node)))
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
