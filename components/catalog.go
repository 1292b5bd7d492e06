package components

// Catalog is every kind, in the order of the shelf. A new kind is one file and
// one line here.
var Catalog []*Kind

func init() {
	Catalog = []*Kind{
		&Shore, &Generator, &Inlet, &SurgeProtector,
		&TransferSwitch, &ACBreaker, &Panel, &Splice,
		&InverterCharger, &Inverter, &Charger, &DCConverter, &Autotransformer,
		&Battery,
		&Fuse, &DCBreaker, &DCSwitch, &Shunt, &Busbar, &DCPanel,
		&SolarArray, &SolarController, &Alternator, &DCCharger,
		&ACLoad, &DCLoad, &Receptacle,
		&Chassis, &BondKind,
	}
	numberFields()
}
