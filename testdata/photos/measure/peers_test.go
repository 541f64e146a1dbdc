package main

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// What programs write was taken down from zbarimg 0.23.92, ZXingReader 1.4,
// dmtxread 0.7.5 and the script with zxing-wasm 3.1.4.
func TestParsePeers(t *testing.T) {
	files := []string{"in/a.jpg", "in/a.jpg.jpg", "in/none.jpg"}
	want := []answer{{texts: []string{"27101007000117", "a \"b\" <c>"}}, {texts: []string{"27101007000214"}}, {}}

	got, err := parseZbar([]byte(`<barcodes xmlns='http://zbar.sourceforge.net/2008/barcode'>
<source href='in/a.jpg'>
<index num='0'>
<symbol type='QR-Code' quality='1' orientation='UP'><data><![CDATA[27101007000117]]></data></symbol>
<symbol type='QR-Code' quality='1' orientation='LEFT'><data><![CDATA[a "b" <c>]]></data></symbol>
</index>
</source>
<source href='in/a.jpg.jpg'>
<index num='0'>
<symbol type='QR-Code' quality='1'><data format='base64' length='14'><![CDATA[MjcxMDEwMDcwMDAyMTQ=]]></data></symbol>
</index>
</source>
<source href='in/none.jpg'>
</source>
</barcodes>
`), files)
	require.NoError(t, err)
	require.Equal(t, want, got)

	got, err = parseZxingCpp(`in/a.jpg QRCode "27101007000117"
in/a.jpg QRCode "a "b" <c>"
in/a.jpg QRCode ChecksumError
in/a.jpg.jpg QRCode "27101007000214"
in/none.jpg None
`, files)
	require.NoError(t, err)
	require.Equal(t, want, got)

	got, err = parseZxingWasm([]byte(`{"file":"in/a.jpg","texts":["27101007000117","a \"b\" <c>"]}
{"file":"in/a.jpg.jpg","texts":["27101007000214"]}
{"file":"in/none.jpg","texts":[]}
`), files)
	require.NoError(t, err)
	require.Empty(t, got[2].texts)
	require.Equal(t, want[:2], got[:2])

	require.Equal(t, []string{"27101007000117", " b"}, parseLibdmtx("27101007000117\n b\n"))
	require.Empty(t, parseLibdmtx(""))
}

// A program that fails half way must not pass for one that reads nothing.
func TestParsePeersCutShort(t *testing.T) {
	files := []string{"a.jpg", "b.jpg"}
	for _, test := range []struct {
		reason string
		parse  func() ([]answer, error)
		want   string
	}{
		{"zbarimg stops in the middle", func() ([]answer, error) {
			return parseZbar([]byte("<barcodes><source href='a.jpg'>"), files)
		}, "zbarimg: XML syntax error"},
		{"zbarimg leaves a file out", func() ([]answer, error) {
			return parseZbar([]byte("<barcodes><source href='a.jpg'></source></barcodes>"), files)
		}, "zbarimg says nothing about b.jpg"},
		{"zbarimg encodes wrongly", func() ([]answer, error) {
			return parseZbar([]byte("<barcodes><source href='a.jpg'><index><symbol><data format='base64'>*</data></symbol></index></source></barcodes>"), files)
		}, "zbarimg: a.jpg: illegal base64"},
		{"ZXingReader leaves a file out", func() ([]answer, error) { return parseZxingCpp("a.jpg None\n", files) }, "ZXingReader says nothing about b.jpg"},
		{"ZXingReader complains", func() ([]answer, error) { return parseZxingCpp("Failed to read image: a.jpg\n", files) }, "speaks of no file"},
		{"the script leaves a file out", func() ([]answer, error) {
			return parseZxingWasm([]byte(`{"file":"b.jpg","texts":[]}`), files)
		}, "zxing-wasm says nothing about a.jpg"},
		{"the script stops in the middle", func() ([]answer, error) {
			return parseZxingWasm([]byte(`{"file":"b.jpg","te`), files)
		}, "zxing-wasm: unexpected EOF"},
	} {
		_, err := test.parse()
		require.ErrorContains(t, err, test.want, test.reason)
	}
}
