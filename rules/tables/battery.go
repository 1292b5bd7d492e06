package tables

import (
	"sync"

	"gopkg.in/yaml.v3"
)

// Chemistry is what is known of a battery chemistry, for a block of 12 V and
// 100 Ah. Each figure is a default for an unanswered question.
type Chemistry struct {
	Name           string  `yaml:"name"`
	NominalVoltage float64 `yaml:"nominal_voltage"`
	ChargeVoltage  struct {
		Absorb float64 `yaml:"absorb"`
		Max    float64 `yaml:"max"`
		Float  float64 `yaml:"float"`
	} `yaml:"charge_voltage"`
	OCV        [][2]float64 `yaml:"ocv_vs_soc"`
	Resistance struct {
		CellsOnly *struct {
			Typical float64 `yaml:"typical"`
		} `yaml:"cells_only"`
		Fault float64 `yaml:"use_for_fault_current"`
		Sag   float64 `yaml:"use_for_voltage_sag"`
	} `yaml:"internal_resistance_mohm"`
	UsableDoD struct {
		Value float64 `yaml:"value"`
	} `yaml:"usable_dod"`
}

var chemistries = sync.OnceValue(func() map[string]Chemistry {
	text, err := data.ReadFile("data/battery_defaults.yaml")
	if err != nil {
		panic(err)
	}
	var file struct {
		Chemistries map[string]Chemistry `yaml:"chemistries"`
	}
	if err := yaml.Unmarshal(text, &file); err != nil {
		panic(err)
	}
	return file.Chemistries
})

// BatteryChemistry finds a chemistry by its word.
func BatteryChemistry(word string) (Chemistry, bool) {
	c, ok := chemistries()[word]
	return c, ok
}

// OpenCircuit is the rested voltage of a 12 V block at a state of charge of 0 to
// 1, in volts, linear between the table's points.
func (c Chemistry) OpenCircuit(soc float64) float64 {
	pct := soc * 100
	for i := 1; i < len(c.OCV); i++ {
		hi, lo := c.OCV[i-1], c.OCV[i]
		if pct >= lo[0] {
			return lo[1] + (hi[1]-lo[1])*(pct-lo[0])/(hi[0]-lo[0])
		}
	}
	return c.OCV[len(c.OCV)-1][1]
}
