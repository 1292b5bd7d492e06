package circuit

import (
	"slices"
	"sync"
	"sync/atomic"

	"rigline/components"
)

// kept is an answer that is worked out once, with the fields that it rests on.
type kept[V any] struct {
	once  sync.Once
	value V
	read  components.FieldSet
	done  atomic.Bool
}

// restsOnNothing tells whether an answer has been found that no figure was read for.
func (k *kept[V]) restsOnNothing() bool { return k.done.Load() && k.read.Empty() }

// Once works something out the first time that it is asked for, and keeps it among
// all; with nowhere to keep it, each time. What it reads counts as read by everyone
// who asks. The key's type is the asker's own, so that no two mean the same key.
func Once[K comparable, V any](reads *components.Reads, all *sync.Map, key K, work func() V) V {
	value, _ := once(reads, all, key, work)
	return value
}

func once[K comparable, V any](reads *components.Reads, all *sync.Map, key K, work func() V) (V, components.FieldSet) {
	if all == nil {
		return work(), components.FieldSet{}
	}
	found, ok := all.Load(key)
	if !ok {
		found, _ = all.LoadOrStore(key, &kept[V]{})
	}
	k := found.(*kept[V])
	k.once.Do(func() {
		k.read = reads.During(func() { k.value = work() })
		k.done.Store(true)
	})
	reads.Add(k.read)
	return k.value, k.read
}

// Lasting works out what follows from a settled circuit, its links, devices and
// sources, once for all documents in which it is the same. It may rest on the kinds of
// the parts, but not on their figures, those of the devices excepted, nor on those of
// runs, nor on names or places: an edit of those leaves it as it is. An answer that
// was seen to rest on more is not kept.
func Lasting[K comparable, V any](c *Circuit, key K, work func() V) V {
	reads := c.Doc.Reads()
	value, read := once(reads, c.lasting, key, work)
	if reads != nil && c.lasting != nil && !read.Without(c.rated).Empty() {
		c.lasting.Delete(key)
	}
	return value
}

// WhileSet does so for what follows from the figures of the parts too: once for all
// documents that are wired alike.
func WhileSet[K comparable, V any](c *Circuit, key K, work func() V) V {
	return Once(c.Doc.Reads(), c.set, key, work)
}

// follow takes over what lasts from a circuit that has settled in the same way: all of
// it, or, where the devices are rated otherwise, what has not asked how.
func (c *Circuit) follow(o *Circuit) {
	if slices.Equal(c.devices, o.devices) {
		c.feeds, c.lasting = o.feeds, o.lasting
		return
	}
	o.lasting.Range(func(key, of any) bool {
		if of.(interface{ restsOnNothing() bool }).restsOnNothing() {
			c.lasting.Store(key, of)
		}
		return true
	})
}
