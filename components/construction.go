package components

// AmpacityTable names the published table that a construction is looked up in.
type AmpacityTable int

// The tables: NEC 310.16 for building wire and cable, NEC 400.5 for cords, 33
// CFR 183.425 Table 5 for single DC conductors in free air, IEC 60364-5-52 Table
// B.52.2 for 230 V wiring.
const (
	BuildingWire AmpacityTable = iota
	FlexibleCord
	FreeAirDC
	Metric230
)

// Construction is a sort of cable: what it is called in the shop, what its
// insulation stands, and which table gives its ampacity.
type Construction struct {
	ID          string
	Title       string
	InsulationC float64
	Table       AmpacityTable
	NMCable     bool // nonmetallic-sheathed: final ampacity from the 60 °C column (NEC 334.80)
	SolidTo10   bool // solid conductors up to 10 AWG
	Multi       bool // several cores in one jacket
}

// Constructions is every construction that the program knows.
var Constructions = []Construction{
	{ID: "nm-b", Title: "nonmetallic-sheathed cable NM-B", InsulationC: 90, Table: BuildingWire, NMCable: true, SolidTo10: true, Multi: true},
	{ID: "thhn", Title: "single conductors THHN/THWN-2", InsulationC: 90, Table: BuildingWire},
	{ID: "tray-90", Title: "stranded multi-core cable, 90 °C", InsulationC: 90, Table: BuildingWire, Multi: true},
	{ID: "cord-soow", Title: "flexible cord SOOW", InsulationC: 60, Table: FlexibleCord, Multi: true},
	{ID: "cord-shore", Title: "listed shore cord set", InsulationC: 60, Table: FlexibleCord, Multi: true},
	{ID: "battery-105", Title: "battery cable, 105 °C", InsulationC: 105, Table: FreeAirDC},
	{ID: "primary-105", Title: "primary wire, 105 °C", InsulationC: 105, Table: FreeAirDC},
	{ID: "duplex-105", Title: "two-core boat cable, 105 °C", InsulationC: 105, Table: FreeAirDC, Multi: true},
	{ID: "pv-90", Title: "PV wire, 90 °C wet", InsulationC: 90, Table: BuildingWire},
	{ID: "h07v-k", Title: "single flexible conductors H07V-K in conduit", InsulationC: 70, Table: Metric230},
	{ID: "h05vv-f", Title: "flexible PVC cable H05VV-F", InsulationC: 70, Table: Metric230, Multi: true},
	{ID: "h05rn-f", Title: "rubber cable H05RN-F", InsulationC: 60, Table: Metric230, Multi: true},
	{ID: "h07rn-f", Title: "heavy rubber cable H07RN-F", InsulationC: 60, Table: Metric230, Multi: true},
	{ID: "bare-copper", Title: "bare copper strap or wire", InsulationC: 90, Table: BuildingWire},
}

// FindConstruction finds a construction by its ID.
func FindConstruction(id string) (Construction, bool) {
	for _, c := range Constructions {
		if c.ID == id {
			return c, true
		}
	}
	return Construction{}, false
}

func constructionIDs() []string {
	ids := make([]string, len(Constructions))
	for i, c := range Constructions {
		ids[i] = c.ID
	}
	return ids
}
