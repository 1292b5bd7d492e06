package solve

import (
	"testing"

	"github.com/stretchr/testify/require"

	"rigline/components/units"
)

func mustSize(t *testing.T, text string) units.Size {
	t.Helper()
	s, err := units.ParseSize(text)
	require.NoError(t, err)
	return s
}
