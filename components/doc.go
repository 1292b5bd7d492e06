// Package components is the pure model of a rig: what it is made of and how a
// person changes it. It knows no file, no screen and no law of electricity.
//
// The words, which the project file, the drawing and the code share:
//
//	part      a thing with a tag: a battery, a fuse, a panel
//	kind      what a part is: its ports, its fields, its contacts, its symbol
//	port      a place on a part where runs end; named PART.PORT
//	pole      one conductor of a port: L1 L2 L N G + -
//	terminal  one pole of one port: PART.PORT.POLE
//	run       a cable or a bundle of cores between two ports
//	core      one conductor of a run, joining a pole at each end
//	contact   a join inside a part, and when it is closed
//	bond      a join made on purpose between neutral and ground, or - and ground
//	state     which sources are alive and what is switched on
//	document  the whole rig at one moment, never changed, only followed by another
//	edit      one change to a document, as a value
//	accepted  a finding that a person accepts, with a reason
package components
