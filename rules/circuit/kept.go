package circuit

import (
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

// standsAfter tells whether an answer has been found, and rests on nothing that has
// changed.
func (k *kept[V]) standsAfter(changed components.FieldSet) bool {
	return k.done.Load() && !k.read.Meets(changed)
}

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

// Lasting works out what follows from how a circuit has settled, its links, sources and
// devices, once for all documents in which it is the same. It may rest on the kinds of
// the parts, but on no figure, nor on names or places: an edit of those leaves it as it
// is. An answer that was seen to rest on a figure is not kept.
func Lasting[K comparable, V any](c *Circuit, key K, work func() V) V {
	reads := c.Doc.Reads()
	value, read := once(reads, c.lasting, key, work)
	if reads != nil && c.lasting != nil && !read.Empty() {
		c.lasting.Delete(key)
	}
	return value
}

// WhileSet does so for what follows from figures too: until one that it rests on is
// changed.
func WhileSet[K comparable, V any](c *Circuit, key K, work func() V) V {
	return Once(c.Doc.Reads(), c.set, key, work)
}

// standing are the answers that rest on nothing that has changed. They are copied, since
// whoever holds the document before may still add to what is kept of that.
func standing(all *sync.Map, changed components.FieldSet) *sync.Map {
	var still sync.Map
	all.Range(func(key, of any) bool {
		if of.(interface {
			standsAfter(components.FieldSet) bool
		}).standsAfter(changed) {
			still.Store(key, of)
		}
		return true
	})
	return &still
}
