package svg

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"io"
	"testing"

	"github.com/stretchr/testify/require"
)

// unpack makes a TrueType file of a WOFF file again.
func unpack(t *testing.T, woff []byte) []byte {
	u16, u32 := binary.BigEndian.Uint16, binary.BigEndian.Uint32
	require.Equal(t, "wOFF", string(woff[:4]))
	require.EqualValues(t, len(woff), u32(woff[8:]))
	n := int(u16(woff[12:]))
	head := make([]byte, 12+16*n)
	binary.BigEndian.PutUint32(head, 0x00010000)
	binary.BigEndian.PutUint16(head[4:], uint16(n))
	var data []byte
	for i := range n {
		e := woff[44+20*i:]
		off, packed, plain := u32(e[4:]), u32(e[8:]), u32(e[12:])
		table := woff[off : off+packed]
		if packed < plain {
			z, err := zlib.NewReader(bytes.NewReader(table))
			require.NoError(t, err)
			table, err = io.ReadAll(z)
			require.NoError(t, err)
		}
		require.Len(t, table, int(plain))
		require.Equal(t, u32(e[16:]), checksum(table))
		r := head[12+16*i:]
		copy(r, e[:4])
		binary.BigEndian.PutUint32(r[8:], uint32(len(head)+len(data)))
		binary.BigEndian.PutUint32(r[12:], plain)
		data = append(data, table...)
		for len(data)%4 != 0 {
			data = append(data, 0)
		}
	}
	require.EqualValues(t, len(head)+len(data), u32(woff[16:]))
	return append(head, data...)
}
