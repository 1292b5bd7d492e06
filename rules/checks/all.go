// Package checks is the rule book: one rule a file, the family in front.
package checks

import "rigline/rules"

// All is every rule, in the order of the pages.
var All = []*rules.Rule{
	BatteryUnfused, StringFuse, SourceDistance,
	ColdCharge, GassingSpace, StartingReserve, Uniformity, VoltageClass, ChargerDirection, DischargeLimit, CRate,
	PolarityAndType, EverySourceEnd, TwoSource, MainByCCA, SurgeHold,
	ParallelBalance, SingleTrip,
	LoadWithinAmpacity, EngineDerating, AmbientCorrection, BundleDerating,
	CopperStranded, Insulated, MinimumGauge, ColourCode,
	CrossedPoles, LooseEnd, AmpacityCovers, SmallWireCap, WithinAmpacity, AboveContinuous, InterruptingRating, VoltageRating,
	EveryLine, MainWithinSupply, ApplianceLimit, NotInNeutral, CommonTrip,
	HeatAndBundling, SeriesDrop, InverterFault, WayRound,
	OneBond, BondRelay, IsolatedNeutral, OwnNeutral, CarriesUnbalance, OpenNeutral,
	TransferPoles, NeverParallel, DeadPins, TransferRating,
	GroundPath, GroundWithCircuit, ChassisBond, EquipmentGround, SourceFrames,
	DCGroundingSize, SingleChassisBond, ChassisBondSize,
	CircuitCount, PanelRating, LegBalance, SingleSupplyBar, NoSourceLoop,
	MainsVoltage, InletMatches, NoSite, Feeder50, Feeder30, Inlet230,
	GFCILocations, GFCINeutral, SiteGFCITrip, RCD230,
	VehicleListed, InputBreaker, AssistSum, LegTopology, InputLimit, ChargerLoop, NoAutotransformer,
	GeneratorFeeder, GeneratorLeads,
	InPhaseNeutral, DemandWithinMain, SplitPhase, RatedVoltage, InverterCapacity, NeverFed, AlwaysOff,
	ReceptacleFits,
	CordAmpacity, CordAdapter, Lead230,
	SourceLabels, PanelDirectory,
	NotInParallel, FuseNotBypassed, OneSideOnly, OneWayBack, WithItsHot, DCReturn, LeadsNowhere, UnusedLeg, StepDowns, NoState, NoController, ParallelStrings, ColdVoc, HotVmp, PVConductor, StringFusing, ControllerOutput, BatteryFirst,
	BusbarRating, FourPerStud,
	AllThrough, NoBypass, ShuntRating,
	BatteryDisconnect, NotBypassed, DisconnectRating, Precharge, NotStranded,
	CriticalDrop, GeneralDrop,
	TotalCharge, ProfileMatch,
	BothFuses, LithiumOverload,
	CutoffCoordination,
	Runtime, Autonomy, RechargeTime, SupportsCharger, HarvestBalance,
	Withstand, FarEnd,
	Unsolved,
}
