package scene

import "math/bits"

// queue holds the states that a search has yet to look at, by what the line through
// them is guessed to cost. The least comes first, and of equal ones the youngest, so
// that a line goes on as it went; the result is the same every time.
//
// Guesses are whole and close together, so that each has a stack of its own: an entry
// is found where the last one was, or a few stacks on.
type queue struct {
	size    int
	all     []waiting // as they came
	top     []int32   // by guess, the youngest that waits, counted from 1
	some    []uint64  // by guess, a bit each, whether any waits
	at, end int       // no word of some below at, or from end on, has a bit
}

// waiting is a state, with the next of the same guess, counted from 1.
type waiting struct{ state, below int32 }

// gone stands for the state of an entry that has been taken off.
const gone = -1

// begin empties it.
func (q *queue) begin() {
	q.none()
	q.all = q.all[:0]
}

// none forgets which guesses any wait of.
func (q *queue) none() {
	clear(q.some[q.at:q.end])
	q.size, q.at, q.end = 0, 0, 0
}

func (q *queue) push(guess, state int32) {
	q.all = append(q.all, waiting{state: state})
	q.put(guess, int32(len(q.all)))
}

// put lays an entry on the stack of a guess.
func (q *queue) put(guess, entry int32) {
	word, bit := int(guess>>6), uint64(1)<<(guess&63)
	if word >= len(q.some) {
		n := max(word+1, 2*len(q.some))
		q.some = append(q.some, make([]uint64, n-len(q.some))...)
		q.top = append(q.top, make([]int32, 64*n-len(q.top))...)
	}
	switch {
	case q.size == 0:
		q.at, q.end = word, word+1
	default:
		q.at, q.end = min(q.at, word), max(q.end, word+1)
	}
	e := &q.all[entry-1]
	e.below = 0
	if q.some[word]&bit != 0 {
		e.below = q.top[guess]
	}
	q.top[guess] = entry
	q.some[word] |= bit
	q.size++
}

// pop takes the first state off; there must be one.
func (q *queue) pop() int32 {
	for q.some[q.at] == 0 {
		q.at++
	}
	guess := q.at<<6 + bits.TrailingZeros64(q.some[q.at])
	e := &q.all[q.top[guess]-1]
	if q.top[guess] = e.below; e.below == 0 {
		q.some[q.at] &= q.some[q.at] - 1
	}
	q.size--
	state := e.state
	e.state = gone
	return state
}

// again guesses anew for every state that waits; they keep their ages.
func (q *queue) again(guess func(state int32) int32) {
	q.none()
	for i, e := range q.all {
		if e.state != gone {
			q.put(guess(e.state), int32(i+1))
		}
	}
}
