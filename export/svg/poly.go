package svg

import (
	"strconv"

	"rigline/export/scene"
)

// poly writes a polyline or a polygon letter by letter as the library does, which
// puts every number through a format: in a sheet of lines that is most of the time.
func (p *page) poly(tag string, pts []scene.Pt, attributes []string) {
	b := append(p.line[:0], '<')
	b = append(b, tag...)
	b = append(b, ` points="`...)
	for i, q := range pts {
		if i > 0 {
			b = append(b, ' ')
		}
		b = p.number(b, q.X)
		b = append(b, ',')
		b = p.number(b, q.Y)
	}
	b = append(b, `" `...)
	for _, a := range attributes {
		b = append(b, a...)
		b = append(b, ' ')
	}
	b = append(b, "/>\n"...)
	p.line = b
	_, _ = p.Writer.Write(b) // into memory
}

// number writes a coordinate with the sheet's decimals; most are whole.
func (p *page) number(b []byte, v float64) []byte {
	if n := int64(v); float64(n) == v && n != 0 && p.Decimals == 2 {
		b = strconv.AppendInt(b, n, 10)
		return append(b, ".00"...)
	}
	return strconv.AppendFloat(b, v, 'f', p.Decimals, 64)
}
