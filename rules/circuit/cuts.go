package circuit

// Cuts tells what each link feeds alone: the terminals that its opening cuts off
// from every source. Bonds feed nothing.
type Cuts struct {
	place    []int32 // of a terminal, in the order in which the sources reach them; -1 for none
	from, to []int32 // by link: the places that it feeds alone
}

// Place is where a terminal stands in the order of the cuts, -1 where no source
// feeds it.
func (k *Cuts) Place(t Term) int { return int(k.place[t]) }

// Behind are the places that a link feeds alone, from and up to, but not, to.
func (k *Cuts) Behind(link int) (from, to int) { return int(k.from[link]), int(k.to[link]) }

// Alone tells whether a link is the only way from every source to a terminal.
func (k *Cuts) Alone(link int, t Term) bool {
	return k.place[t] >= k.from[link] && k.place[t] < k.to[link]
}

// Cuts finds them for all links at once: the bridges of the graph that the sources
// span, each with the part of it that lies beyond.
func (c *Circuit) Cuts() *Cuts {
	k := &Cuts{place: make([]int32, len(c.Terms)), from: make([]int32, len(c.Links)), to: make([]int32, len(c.Links))}
	low := make([]int32, len(c.Terms)) // the first place that what lies beyond reaches otherwise
	for t := range k.place {
		k.place[t] = -1
	}
	hot := make([]bool, len(c.Terms))
	for _, s := range c.Sources {
		hot[s.Hot] = true
	}
	type step struct {
		at   Term
		over int32 // the link that led here
		next int   // of the links at it
	}
	count := int32(0)
	for _, s := range c.Sources {
		if k.place[s.Hot] >= 0 {
			continue
		}
		stack := []step{{s.Hot, -1, 0}}
		for len(stack) > 0 {
			x := &stack[len(stack)-1]
			if x.next == 0 {
				k.place[x.at], low[x.at] = count, count
				if hot[x.at] { // all sources hang together
					low[x.at] = -1
				}
				count++
			}
			if x.next == len(c.ends[x.at]) {
				at, over := x.at, x.over
				stack = stack[:len(stack)-1]
				if over < 0 {
					continue
				}
				before := stack[len(stack)-1].at
				low[before] = min(low[before], low[at])
				if low[at] >= k.place[at] {
					k.from[over], k.to[over] = k.place[at], count
				}
				continue
			}
			i := c.ends[x.at][x.next]
			x.next++
			l := &c.Links[i]
			if i == x.over || !l.Closed || l.Bond {
				continue
			}
			if o := l.Other(x.at); k.place[o] >= 0 {
				low[x.at] = min(low[x.at], k.place[o])
			} else {
				stack = append(stack, step{o, i, 0})
			}
		}
	}
	return k
}
