package scene

import "math/bits"

// seen is what a search knows of the states it has come to. A search comes to few of
// a large grid, so they stand in a small table that the processor has at hand; a
// small grid has a place for each.
type seen struct {
	slots []slot // a power of two
	now   uint32 // the search
	used  int    // by it
	shift int    // of the scattered state; 0: a state is its own place
}

// slot is a state, with the cheapest way to it.
type slot struct {
	state, cost, from int32
	search            uint32 // in which the slot was written
	shut              bool   // the state is settled
}

// roomy is how many states have a place each.
const roomy = 1 << 18

func newSeen(states int) seen {
	if states <= roomy {
		return seen{slots: make([]slot, states)}
	}
	return seen{slots: make([]slot, 1<<12), shift: 32 - 12}
}

// begin forgets all states.
func (m *seen) begin() { m.now, m.used = m.now+1, 0 }

// place is where a state stands, or would.
func (m *seen) place(s int32) int {
	if m.shift == 0 {
		return int(s)
	}
	i := int(uint32(s) * 0x9e3779b1 >> m.shift)
	for m.slots[i].search == m.now && m.slots[i].state != s {
		i = (i + 1) & (len(m.slots) - 1)
	}
	return i
}

// find gives a state that the search has come to. It stays where it is until the
// next is added.
func (m *seen) find(s int32) *slot { return &m.slots[m.place(s)] }

// add gives a state, and whether it is new.
func (m *seen) add(s int32) (at *slot, fresh bool) {
	at = &m.slots[m.place(s)]
	if at.search == m.now {
		return at, false
	}
	if m.used++; m.shift > 0 && 2*m.used > len(m.slots) {
		m.grow()
		at = &m.slots[m.place(s)]
	}
	*at = slot{state: s, search: m.now}
	return at, true
}

func (m *seen) grow() {
	old := m.slots
	m.slots = make([]slot, 2*len(old))
	m.shift = 32 - bits.TrailingZeros(uint(len(m.slots)))
	for i := range old {
		if old[i].search == m.now {
			m.slots[m.place(old[i].state)] = old[i]
		}
	}
}
