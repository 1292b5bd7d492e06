package svg

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"fmt"
	"slices"
	"sync"

	"golang.org/x/image/font/sfnt"
)

// subset gives a WOFF file (W3C, WOFF 1.0) of a TrueType font with the outlines of
// some characters only. Glyphs keep their numbers, so widths and hinting stay as
// they are; the others become empty.
func subset(ttf []byte, runes []rune) ([]byte, error) {
	tables, err := readTables(ttf)
	if err != nil {
		return nil, err
	}
	f, err := sfnt.Parse(ttf)
	if err != nil {
		return nil, fmt.Errorf("sheet font: %w", err)
	}
	var buf sfnt.Buffer
	keep := map[int]bool{0: true}
	code := map[rune]int{}
	for _, r := range runes {
		g, err := f.GlyphIndex(&buf, r)
		if err == nil && g != 0 && r <= 0xffff {
			keep[int(g)] = true
			code[r] = int(g)
		}
	}
	glyf, loca, err := outlines(tables, f.NumGlyphs(), keep)
	if err != nil {
		return nil, err
	}
	head := slices.Clone(tables["head"])
	binary.BigEndian.PutUint16(head[50:], 1) // long offsets in loca
	binary.BigEndian.PutUint32(head[8:], 0)
	post := slices.Clone(tables["post"][:32])
	binary.BigEndian.PutUint32(post, 0x00030000) // without names of glyphs
	out := map[string][]byte{"head": head, "glyf": glyf, "loca": loca, "post": post, "cmap": characterMap(code)}
	for _, tag := range []string{"hhea", "hmtx", "maxp", "OS/2", "name", "cvt ", "fpgm", "prep"} {
		if t, ok := tables[tag]; ok {
			out[tag] = t
		}
	}
	return woff(out)
}

func readTables(ttf []byte) (map[string][]byte, error) {
	const header, record = 12, 16
	if len(ttf) < header {
		return nil, fmt.Errorf("sheet font: %d bytes are no font", len(ttf))
	}
	tables := map[string][]byte{}
	for i := range int(binary.BigEndian.Uint16(ttf[4:])) {
		r := ttf[header+record*i:]
		off, long := binary.BigEndian.Uint32(r[8:]), binary.BigEndian.Uint32(r[12:])
		if int64(off)+int64(long) > int64(len(ttf)) {
			return nil, fmt.Errorf("sheet font: table %q runs past the end", r[:4])
		}
		tables[string(r[:4])] = ttf[off : off+long]
	}
	for _, tag := range []string{"head", "glyf", "loca", "post", "hhea", "hmtx", "maxp"} {
		if len(tables[tag]) == 0 {
			return nil, fmt.Errorf("sheet font: no table %q", tag)
		}
	}
	return tables, nil
}

// outlines copies the outlines of the kept glyphs and of those they are composed of.
func outlines(tables map[string][]byte, n int, keep map[int]bool) (glyf, loca []byte, err error) {
	long := binary.BigEndian.Uint16(tables["head"][50:]) == 1
	offset := func(i int) uint32 {
		if long {
			return binary.BigEndian.Uint32(tables["loca"][4*i:])
		}
		return 2 * uint32(binary.BigEndian.Uint16(tables["loca"][2*i:]))
	}
	outline := func(i int) []byte { return tables["glyf"][offset(i):offset(i+1)] }
	todo := make([]int, 0, len(keep))
	for g := range keep {
		todo = append(todo, g)
	}
	for len(todo) > 0 {
		g := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		if g >= n {
			return nil, nil, fmt.Errorf("sheet font: glyph %d of %d", g, n)
		}
		for _, part := range composedOf(outline(g)) {
			if !keep[part] {
				keep[part] = true
				todo = append(todo, part)
			}
		}
	}
	loca = binary.BigEndian.AppendUint32(nil, 0)
	for g := range n {
		if keep[g] {
			glyf = append(glyf, outline(g)...)
			for len(glyf)%4 != 0 {
				glyf = append(glyf, 0)
			}
		}
		loca = binary.BigEndian.AppendUint32(loca, uint32(len(glyf)))
	}
	return glyf, loca, nil
}

// composedOf lists the glyphs that a composite glyph is made of.
func composedOf(outline []byte) []int {
	if len(outline) < 10 || int16(binary.BigEndian.Uint16(outline)) >= 0 {
		return nil
	}
	const wordArgs, oneScale, more, twoScales, matrix = 1 << 0, 1 << 3, 1 << 5, 1 << 6, 1 << 7
	var parts []int
	for at := 10; at+4 <= len(outline); {
		flags := binary.BigEndian.Uint16(outline[at:])
		parts = append(parts, int(binary.BigEndian.Uint16(outline[at+2:])))
		at += 6
		if flags&wordArgs != 0 {
			at += 2
		}
		switch {
		case flags&oneScale != 0:
			at += 2
		case flags&twoScales != 0:
			at += 4
		case flags&matrix != 0:
			at += 8
		}
		if flags&more == 0 {
			break
		}
	}
	return parts
}

// characterMap is a cmap table of format 4, a segment a character.
func characterMap(code map[rune]int) []byte {
	runes := make([]rune, 0, len(code))
	for r := range code {
		runes = append(runes, r)
	}
	slices.Sort(runes)
	n := len(runes) + 1 // and the closing segment
	put := binary.BigEndian.AppendUint16
	var ends, starts, deltas, ranges []byte
	for _, r := range runes {
		ends, starts = put(ends, uint16(r)), put(starts, uint16(r))
		deltas, ranges = put(deltas, uint16(code[r]-int(r))), put(ranges, 0)
	}
	ends, starts, deltas, ranges = put(ends, 0xffff), put(starts, 0xffff), put(deltas, 1), put(ranges, 0)
	power, log := 1, 0
	for power*2 <= n {
		power, log = power*2, log+1
	}
	var sub []byte
	for _, v := range []int{4, 16 + 8*n, 0, 2 * n, 2 * power, log, 2 * (n - power)} {
		sub = put(sub, uint16(v))
	}
	sub = append(sub, ends...)
	sub = put(sub, 0)
	sub = append(append(append(sub, starts...), deltas...), ranges...)
	var t []byte
	for _, v := range []int{0, 1, 3, 1, 0, 12} { // one table, for Windows' Unicode characters
		t = put(t, uint16(v))
	}
	return append(t, sub...)
}

// packers are used again: each holds a megabyte.
var packers = sync.Pool{New: func() any { return zlib.NewWriter(nil) }}

// woff packs tables, in the order of their names.
func woff(tables map[string][]byte) ([]byte, error) {
	tags := make([]string, 0, len(tables))
	for tag := range tables {
		tags = append(tags, tag)
	}
	slices.Sort(tags)
	const header, record = 44, 20
	plain := 12 + 16*len(tags)
	var dir, data []byte
	put := binary.BigEndian.AppendUint32
	for _, tag := range tags {
		t := tables[tag]
		var z bytes.Buffer
		w := packers.Get().(*zlib.Writer)
		w.Reset(&z)
		if _, err := w.Write(t); err != nil {
			return nil, fmt.Errorf("sheet font: %w", err)
		}
		if err := w.Close(); err != nil {
			return nil, fmt.Errorf("sheet font: %w", err)
		}
		packers.Put(w)
		packed := z.Bytes()
		if len(packed) >= len(t) {
			packed = t
		}
		dir = append(dir, tag...)
		for _, v := range []int{header + record*len(tags) + len(data), len(packed), len(t)} {
			dir = put(dir, uint32(v))
		}
		dir = put(dir, checksum(t))
		data = append(data, packed...)
		for len(data)%4 != 0 {
			data = append(data, 0)
		}
		plain += (len(t) + 3) / 4 * 4
	}
	var out []byte
	out = append(out, "wOFF"...)
	out = put(out, 0x00010000)
	out = put(out, uint32(header+len(dir)+len(data)))
	out = binary.BigEndian.AppendUint16(out, uint16(len(tags)))
	out = binary.BigEndian.AppendUint16(out, 0)
	out = put(out, uint32(plain))
	out = append(out, make([]byte, header-len(out))...)
	return append(append(out, dir...), data...), nil
}

func checksum(t []byte) uint32 {
	var sum uint32
	for len(t) > 0 {
		var word [4]byte
		n := copy(word[:], t)
		sum += binary.BigEndian.Uint32(word[:])
		t = t[n:]
	}
	return sum
}
