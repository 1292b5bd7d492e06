package checklist

import "fmt"

// figures are the words of the list for which something is worked out, and what does.
// The item is handed on to those that say in it with which load to test.
var figures = map[string]func(b *bench, at place, item *Item) Expect{
	"torque":            func(b *bench, at place, _ *Item) Expect { return b.torque(at) },
	"rest":              func(b *bench, at place, _ *Item) Expect { return b.rest(at) },
	"tenth":             (*bench).tenth,
	"dc-amps":           func(b *bench, at place, item *Item) Expect { return b.dcLoad("dc-amps", at, item) },
	"dc-drop":           func(b *bench, at place, item *Item) Expect { return b.dcLoad("dc-drop", at, item) },
	"step-down":         func(b *bench, at place, _ *Item) Expect { return b.stepDown(at) },
	"site-legs":         func(b *bench, _ place, _ *Item) Expect { return b.siteLegs() },
	"charge-ac":         func(b *bench, at place, _ *Item) Expect { return b.charge("charge-ac", at) },
	"charge-dc":         func(b *bench, at place, _ *Item) Expect { return b.charge("charge-dc", at) },
	"input-limit":       func(b *bench, at place, item *Item) Expect { return b.inputLimit(at, item) },
	"output":            func(b *bench, at place, _ *Item) Expect { return b.output(at) },
	"output-legs":       func(b *bench, at place, _ *Item) Expect { return b.outputLegs(at) },
	"idle":              func(b *bench, at place, _ *Item) Expect { return b.idleAmps(at) },
	"generator-legs":    func(b *bench, _ place, _ *Item) Expect { return b.generatorLegs() },
	"generator-neutral": func(b *bench, _ place, _ *Item) Expect { return b.neutral("generator-neutral") },
	"cord-neutral":      func(b *bench, _ place, _ *Item) Expect { return b.neutral("cord-neutral") },
	"load-dc":           func(b *bench, at place, item *Item) Expect { return b.underLoad("load-dc", at, item) },
	"load-drop":         func(b *bench, at place, item *Item) Expect { return b.underLoad("load-drop", at, item) },
	"joint":             func(b *bench, _ place, item *Item) Expect { return b.joint(item) },
	"string":            func(b *bench, at place, item *Item) Expect { return b.string(at, item) },
	"panel-volts":       func(b *bench, at place, _ *Item) Expect { return b.panelVolts(at) },
	"bank-limit":        func(b *bench, at place, _ *Item) Expect { return b.bankLimit(at) },
	"capacity":          func(b *bench, at place, item *Item) Expect { return b.capacity(at, item) },
	"cold-volts":        func(b *bench, at place, _ *Item) Expect { return b.array(at) },
	"array-amps":        func(b *bench, at place, _ *Item) Expect { return b.arrayAmps(at) },
	"alive-inverter":    func(b *bench, at place, _ *Item) Expect { return b.alive(b.idle(), at, "on the inverter alone") },
	"alive-shore":       func(b *bench, at place, _ *Item) Expect { return b.alive(b.charging(), at, "on shore") },
	"feed-drop":         func(b *bench, at place, _ *Item) Expect { return b.alternator("feed-drop", at) },
	"alternator-amps":   func(b *bench, at place, _ *Item) Expect { return b.alternator("alternator-amps", at) },
}

// figure is what an item expects of this rig at a place.
func (b *bench) figure(word string, at place, item *Item) Expect {
	work, ok := figures[word]
	if !ok {
		panic(fmt.Sprintf("the checklist has a figure %q, which nothing works out", word))
	}
	return work(b, at, item)
}
