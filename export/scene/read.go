package scene

import (
	"math/bits"

	"rigline/components"
)

// result reads lines, hops and dots off the grid.
func (g *grid) result() *routes {
	r := &routes{paths: map[components.ID][]Pt{}, tails: map[components.ID][][]Pt{}, hops: map[components.ID][]Pt{}}
	type ray struct {
		job  *job
		dirs uint8
	}
	rays := map[node][]ray{}
	for _, j := range g.jobs {
		r.paths[j.run] = g.corners(j.nodes)
		for _, t := range j.tails {
			r.tails[j.run] = append(r.tails[j.run], g.corners(t))
		}
		for _, line := range g.lines(j) {
			for i, n := range line {
				if g.square[n].busy < 2 {
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
				rays[n] = append(rays[n], ray{j, dirs})
				if dirs == 1<<east|1<<west && g.crossed(n, j) {
					r.hops[j.run] = append(r.hops[j.run], g.place(n))
				}
			}
		}
	}
	seen := map[node]bool{}
	for _, j := range g.jobs {
		for _, line := range g.lines(j) {
			for _, n := range line {
				if g.square[n].busy < 2 || seen[n] || len(rays[n]) < 2 {
					continue
				}
				seen[n] = true
				own := ray{}
				for _, a := range rays[n] {
					dirs, joined := a.dirs, false
					for _, b := range rays[n] {
						if a.dirs&b.dirs != 0 || a.job == b.job || g.lands(n, a.job) && g.lands(n, b.job) {
							joined = joined || b != a
							dirs |= b.dirs
						}
					}
					if joined && bits.OnesCount8(dirs) >= bits.OnesCount8(own.dirs) {
						own = ray{a.job, dirs}
					}
				}
				if own.job != nil && bits.OnesCount8(own.dirs) >= 3 {
					r.dots = append(r.dots, dot{g.place(n), own.job.run})
				}
			}
		}
	}
	return r
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
