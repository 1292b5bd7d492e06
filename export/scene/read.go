package scene

import (
	"iter"
	"math/bits"
	"slices"

	"rigline/components"
)

// ray is a job's line through a node where others are, by the directions in which it
// leaves.
type ray struct {
	job  *job
	dirs uint8
}

// result reads lines, hops and dots off the grid.
func (g *grid) result() *routes {
	r := &routes{paths: map[components.ID][]Pt{}, tails: map[components.ID][][]Pt{}, hops: map[components.ID][]Pt{}}
	meets := g.newMeeting()
	for _, j := range g.jobs {
		r.paths[j.run] = g.corners(j.nodes)
		for _, t := range j.tails {
			r.tails[j.run] = append(r.tails[j.run], g.corners(t))
		}
		for _, line := range g.lines(j) {
			for i, n := range line {
				if g.knot(n).busy < 2 {
					continue
				}
				var dirs uint8
				if i > 0 {
					if d, ok := g.heading(n, line[i-1]); ok {
						dirs |= 1 << d
					}
				}
				if i < len(line)-1 {
					if d, ok := g.heading(n, line[i+1]); ok {
						dirs |= 1 << d
					}
				}
				meets.add(n, g.square[n].knot, ray{j, dirs})
				if dirs == 1<<east|1<<west && g.crossed(n, j) {
					r.hops[j.run] = append(r.hops[j.run], g.place(n))
				}
			}
		}
	}
	for n, rays := range meets.all() {
		if own := g.joint(n, rays); own.job != nil && bits.OnesCount8(own.dirs) >= 3 {
			r.dots = append(r.dots, dot{g.place(n), own.job.run})
		}
	}
	return r
}

// meeting is the nodes where lines meet, in the order in which they were come to, with
// the rays of each in theirs.
type meeting struct {
	number []int32 // by the knot of a node, from 1
	nodes  []node
	last   []int32 // by number, its last ray
	rays   []chained
}

// chained is a ray, with the one before it at its node, -1 for none.
type chained struct {
	ray
	before int32
}

func (g *grid) newMeeting() *meeting {
	return &meeting{number: make([]int32, len(g.knots)), rays: make([]chained, 0, len(g.knots))}
}

func (m *meeting) add(n node, knot int32, r ray) {
	if m.number[knot] == 0 {
		m.nodes, m.last = append(m.nodes, n), append(m.last, -1)
		m.number[knot] = int32(len(m.nodes))
	}
	last := &m.last[m.number[knot]-1]
	m.rays = append(m.rays, chained{r, *last})
	*last = int32(len(m.rays) - 1)
}

// all goes through the nodes. The rays are good until the next.
func (m *meeting) all() iter.Seq2[node, []ray] {
	return func(yield func(node, []ray) bool) {
		var rays []ray
		for i, n := range m.nodes {
			rays = rays[:0]
			for at := m.last[i]; at >= 0; at = m.rays[at].before {
				rays = append(rays, m.rays[at].ray)
			}
			slices.Reverse(rays)
			if !yield(n, rays) {
				return
			}
		}
	}
}

// joint is the line with the most branches where lines that belong together meet, and
// the directions in which they leave; its job is nil where none do.
func (g *grid) joint(n node, rays []ray) (own ray) {
	if len(rays) < 2 {
		return ray{}
	}
	for _, a := range rays {
		dirs, joined := a.dirs, false
		for _, b := range rays {
			if a.dirs&b.dirs != 0 || a.job == b.job || g.lands(n, a.job) && g.lands(n, b.job) {
				joined = joined || b != a
				dirs |= b.dirs
			}
		}
		if joined && bits.OnesCount8(dirs) >= bits.OnesCount8(own.dirs) {
			own = ray{a.job, dirs}
		}
	}
	return own
}

// lands tells whether a job's line ends at a node.
func (g *grid) lands(n node, j *job) bool {
	return len(j.nodes) > 0 && (n == j.nodes[0] || n == j.nodes[len(j.nodes)-1])
}

// crossed tells whether another line goes straight up and down through a node.
func (g *grid) crossed(n node, j *job) bool {
	up, down := g.edge(n, north), g.edge(n, south)
	return up != nil && down != nil && up.run != 0 && down.run != 0 && up.run != j.num && down.run != j.num
}
