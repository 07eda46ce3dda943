package picture

import "rsc.io/qr"

// QR is a link as a QR code, a PNG of 8 pixels a module with its quiet border.
func QR(link string) ([]byte, error) {
	code, err := qr.Encode(link, qr.M)
	if err != nil {
		return nil, err
	}
	return code.PNG(), nil
}
