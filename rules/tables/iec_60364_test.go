package tables

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components/units"
)

func TestMetricAmpacity(t *testing.T) {
	for _, c := range []struct {
		size              string
		ambient, insulate float64
		want              float64
		source            string
	}{
		{"1.5 mm2", 30, 70, 16.5, "IEC 60364-5-52 Table B.52.2, B2"},
		{"2.5 mm2", 30, 0, 23, "the same"},
		{"6 mm2", 40, 70, 38 * 0.866, "Table B.52.14: 0.87 at 40 °C, by its formula 0.866"},
		{"6 mm2", 50, 70, 38 * 0.7071, "Table B.52.14: 0.71 at 50 °C"},
		{"2.5 mm2", 10, 70, 23, "cold air raises the cable and not its terminals"},
		{"2.5 mm2", 30, 60, 23 * 0.866, "√(30/40) for insulation of 60 °C"},
	} {
		s, err := units.ParseSize(c.size)
		require.NoError(t, err)
		a, err := MetricAmpacity(MetricQuery{Size: s, AmbientC: c.ambient, InsulationC: c.insulate})
		require.NoError(t, err, c.source)
		assert.InDelta(t, c.want, a.Usable, 0.01, c.source)
	}
}

func TestMetricAmpacityOutsideItsTable(t *testing.T) {
	size := func(s string) units.Size {
		z, err := units.ParseSize(s)
		require.NoError(t, err)
		return z
	}
	for _, q := range []MetricQuery{
		{Size: size("14 AWG"), AmbientC: 30},
		{Size: size("1 mm2"), AmbientC: 30},
		{Size: size("2.5 mm2"), AmbientC: 70},
		{Size: size("2.5 mm2"), AmbientC: 60, InsulationC: 60},
		{Size: size("2.5 mm2"), AmbientC: 30, With: 2},
	} {
		_, err := MetricAmpacity(q)
		assert.Error(t, err, "%v", q)
	}
}

func TestLeadSection(t *testing.T) {
	mm2, verified, ok := LeadSection(16)
	assert.True(t, ok)
	assert.Equal(t, units.MM2(2.5), mm2)
	assert.NotEqual(t, "from memory", verified)
	_, _, ok = LeadSection(20)
	assert.False(t, ok, "IEC 60364-7-721 lists 16, 25, 32, 63 and 100 A")
}
