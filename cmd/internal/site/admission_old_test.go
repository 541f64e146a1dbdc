package site_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Phones whose time is up are forgotten when another is let in.
func TestDoorForgetsOld(t *testing.T) {
	n := newNursery(t)
	names := func() (names []string) {
		phones, err := n.book.Phones(t.Context())
		require.NoError(t, err)
		for _, each := range phones {
			names = append(names, each.Name)
		}
		return names
	}
	start := n.clock.now()
	n.phone(t, "Ida")
	n.clock.set(start.Add(time.Hour))
	n.phone(t, "Ivo")
	n.clock.set(start.Add(180*24*time.Hour - time.Second))
	n.phone(t, "Una")
	require.Equal(t, []string{"Ida", "Ivo", "Una"}, names(), "a second before")
	n.clock.set(start.Add(180 * 24 * time.Hour))
	n.phone(t, "Ada")
	require.Equal(t, []string{"Ivo", "Una", "Ada"}, names())
}
