package tables

import (
	"encoding/csv"
	"io/fs"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components/units"
)

// layout says what the columns of a table hold: n a number, N one or nothing, s a
// size, w a word or text that has to be there, W text that may be empty. key is how
// many columns at the front tell one row from another.
var layout = map[string]struct {
	columns, types string
	key, rows      int
}{
	"abyc_e11_interrupting":          {"volts_from volts_to cca_from cca_to main branch verified", "nnnnnnw", 3, 5},
	"battery_defaults":               {"chemistry figure value unit verified", "wwnWw", 2, 108},
	"battery_rest_voltage":           {"chemistry percent volts verified", "wnnw", 2, 32},
	"cfr_33_183_425_bundle":          {"from to factor verified", "nNnw", 1, 5},
	"cfr_33_183_425_engine":          {"insulation_c factor verified", "nnw", 1, 7},
	"cfr_33_183_425_table_5":         {"size c_60 c_75 c_80 c_90 c_105 c_125 c_200", "snnnnnnn", 1, 15},
	"ul_248_let_through":             {"family rating_to i2t verified", "wnnw", 2, 13},
	"fuse_families":                  {"family name standard role volts_dc steps limiting reversible ratings verified note", "wwwwnwwwwwW", 1, 15},
	"fuse_times":                     {"family percent rating_to min_s max_s verified", "wnNNNw", 3, 82},
	"iec_60228_class_5":              {"mm2 plain tinned", "nnn", 1, 16},
	"iec_60364_5_52_b2":              {"mm2 amps verified", "nnw", 1, 8},
	"iec_60364_7_721_lead":           {"rating_a mm2 verified", "nnw", 1, 5},
	"lead_acid_capacity_temperature": {"temp_c factor", "nn", 1, 7},
	"nec_240_4_d_small_conductors":   {"size metal max_a condition verified", "swnWw", 2, 10},
	"nec_240_6_a_standard_ratings":   {"rating device", "nw", 1, 42},
	"nec_250_122_equipment_ground":   {"to_a copper aluminum", "nss", 1, 7},
	"nec_310_15_b_1_ambient":         {"from_c to_c f_60 f_75 f_90", "NnNNn", 1, 16},
	"nec_310_15_c_1_carrying":        {"from to factor", "nNn", 1, 7},
	"nec_310_16":                     {"size kind cu_60 cu_75 cu_90 al_60 al_75 al_90", "swnnnNNN", 1, 14},
	"nec_400_5_a_1_cord":             {"size carrying amps verified", "snnw", 2, 18},
	"nec_690_7_a_cold_voc":           {"from_c to_c factor verified", "nnnw", 1, 8},
	"nec_ch9_table_8":                {"size kind strands area_kcmil cu_uncoated cu_coated al", "swnnnnn", 3, 22},
	"nec_ch9_table_9":                {"size kind x_pvc x_steel r_cu_pvc r_cu_al r_cu_steel r_al_pvc r_al_al r_al_steel verified", "swnnnnnNNNw", 1, 14},
	"sae_cable_area":                 {"gauge min_cmil", "sn", 1, 14},
}

// Every table tells its document, edition, table, unit and verification; every row
// is full, of the right sort, and there once.
func TestEveryTableIsWellFormed(t *testing.T) {
	files, err := fs.Glob(data, "data/*")
	require.NoError(t, err)
	require.Len(t, files, len(layout), "a table that no test knows, or one too few")
	for _, file := range files {
		name := strings.TrimSuffix(strings.TrimPrefix(file, "data/"), ".csv")
		want, ok := layout[name]
		require.True(t, ok, file)
		t.Run(name, func(t *testing.T) {
			text, err := data.ReadFile(file)
			require.NoError(t, err)
			head := string(text)
			for _, field := range []string{"Document", "Edition", "Table", "Unit", "Verified"} {
				_, rest, found := strings.Cut(head, "# "+field+": ")
				require.True(t, found, "head: %s is missing or out of order", field)
				line, _, _ := strings.Cut(rest, "\n")
				assert.NotEmpty(t, strings.TrimSpace(line), field)
				head = rest
			}
			c := csv.NewReader(strings.NewReader(string(text)))
			c.Comment = '#'
			records, err := c.ReadAll() // fails on a row of another length
			require.NoError(t, err)
			assert.Equal(t, want.columns, strings.Join(records[0], " "))
			assert.Len(t, records[1:], want.rows)
			require.Len(t, records[0], len(want.types))
			seen := map[string]bool{}
			for _, rec := range records[1:] {
				key := strings.Join(rec[:want.key], "|")
				assert.False(t, seen[key], "%s stands twice", key)
				seen[key] = true
				for i, cell := range rec {
					assert.Equal(t, strings.TrimSpace(cell), cell, key)
					checkCell(t, want.types[i], cell, key+" "+records[0][i], rec)
				}
			}
		})
	}
}

func checkCell(t *testing.T, sort byte, cell, where string, rec []string) {
	t.Helper()
	switch {
	case cell == "" && (sort == 'N' || sort == 'W'):
		return
	case sort == 'n' || sort == 'N':
		_, err := strconv.ParseFloat(cell, 64)
		assert.NoError(t, err, where)
	case sort == 's':
		if rec[1] == "kcmil" {
			cell += " kcmil"
		}
		_, err := units.ParseSize(cell)
		assert.NoError(t, err, where)
	default:
		assert.NotEmpty(t, cell, where)
	}
}

// Bands meet with no gap and no overlap, but where the table itself is only held in
// part.
func TestBandsMeet(t *testing.T) {
	for _, c := range []struct{ table, from, to string }{
		{"nec_310_15_b_1_ambient", "from_c", "to_c"}, {"nec_310_15_c_1_carrying", "from", "to"}, {"cfr_33_183_425_bundle", "from", "to"},
	} {
		rows := read(c.table)
		for i := 1; i < len(rows); i++ {
			assert.Equal(t, rows[i-1].num(c.to)+1, rows[i].num(c.from), "%s row %d", c.table, i+1)
		}
	}
}

// Every time of a fuse falls as the current rises, the shortest stays below the
// longest, and every family has its times.
func TestFuseTimesFall(t *testing.T) {
	for _, f := range FuseFamilies() {
		require.NotEmpty(t, times()[f.ID], f.ID)
		assert.IsIncreasing(t, f.Ratings, f.ID)
		for _, r := range f.Ratings {
			points := timePoints(f.ID, r)
			for i, p := range points {
				assert.False(t, p.shortest > p.longest, "%s %v A at %v", f.ID, r, p.multiple)
				if i == 0 {
					continue
				}
				assert.Greater(t, p.multiple, points[i-1].multiple, f.ID)
				assert.False(t, p.shortest >= points[i-1].shortest, "%s %v A at %v", f.ID, r, p.multiple)
				assert.False(t, p.longest >= points[i-1].longest, "%s %v A at %v", f.ID, r, p.multiple)
			}
		}
		for i, s := range f.Steps {
			assert.LessOrEqual(t, s.Volts, f.VoltsDC, f.ID)
			if i > 0 {
				assert.Greater(t, s.Volts, f.Steps[i-1].Volts, f.ID)
			}
		}
	}
	for family := range times() {
		_, ok := FuseFamily(family)
		assert.True(t, ok, "times of %s, which is no family", family)
	}
}

// worked reads a CSV of testdata/worked, its columns by name.
func worked(t *testing.T, name string) []row {
	t.Helper()
	text, err := os.ReadFile("../../testdata/worked/" + name)
	require.NoError(t, err)
	c := csv.NewReader(strings.NewReader(string(text)))
	c.Comment = '#'
	records, err := c.ReadAll()
	require.NoError(t, err)
	var rows []row
	for _, rec := range records[1:] {
		r := row{}
		for i, col := range records[0] {
			r[col] = rec[i]
		}
		rows = append(rows, r)
	}
	return rows
}

// The columns that no formula gives again are held by their sums, which were added
// up from another copy of each table: a slip of one digit shows here.
func TestColumnSums(t *testing.T) {
	for table, columns := range map[string]map[string]float64{
		"abyc_e11_interrupting":          {"cca_to": 7400, "main": 17500, "branch": 8750},
		"cfr_33_183_425_table_5":         {"c_60": 1755, "c_75": 2070, "c_80": 2225, "c_90": 2265, "c_105": 2625, "c_125": 2830, "c_200": 3010},
		"fuse_families":                  {"volts_dc": 2184},
		"lead_acid_capacity_temperature": {"factor": 8.63},
		"nec_240_6_a_standard_ratings":   {"rating": 32916},
		"nec_310_15_c_1_carrying":        {"from": 115, "factor": 4.2},
		"nec_310_16":                     {"cu_60": 1365, "cu_75": 1635, "cu_90": 1850, "al_60": 1060, "al_75": 1265, "al_90": 1430},
		"nec_400_5_a_1_cord":             {"amps": 653},
		"nec_690_7_a_cold_voc":           {"factor": 9.17},
		"nec_ch9_table_8":                {"area_kcmil": 1222.21, "cu_uncoated": 41.5116, "cu_coated": 43.4248, "al": 68.3617},
		"nec_ch9_table_9": {
			"x_pvc": 0.662, "x_steel": 0.83, "r_cu_pvc": 8.881, "r_cu_al": 8.926, "r_cu_steel": 8.906,
			"r_al_pvc": 9.465, "r_al_al": 9.51, "r_al_steel": 9.466,
		},
		"sae_cable_area": {"min_cmil": 827879},
	} {
		for column, want := range columns {
			sum := 0.0
			for _, r := range read(table) {
				sum += r.or(column, 0)
			}
			assert.InDelta(t, want, sum, 1e-6, "%s %s", table, column)
		}
	}
}
