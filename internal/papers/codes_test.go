package papers

import (
	"bytes"
	"crypto/rand"
	"image"
	"image/color"
	"image/png"
	"io"
	"os/exec"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
)

// Every code on a printed card can be read by a camera, as far as another
// library's reader stands for one.
func TestCodesOnCardsCanBeRead(t *testing.T) {
	trip := charter(t)
	card := Card{trip.People[1].ID, "https://gas.example.org/c/abcdefghij-p2-abcdefghijklmnopqrstuv", ""}
	path := written(t, func() ([]byte, error) { return press().Cards(trip, []Card{card}, "en", A4) })
	out, err := exec.Command(tool(t, "pdftoppm"), "-r", "150", "-png", "-singlefile", path).Output()
	if err != nil {
		t.Fatal(err)
	}
	if got := decode(t, bytes.NewReader(out)); got != card.Chat {
		t.Errorf("got %q, want %q", got, card.Chat)
	}
}

func decode(t *testing.T, r io.Reader) string {
	return decodeImage(t, pictureOf(t, r), gozxing.DecodeHintType_TRY_HARDER)
}

func pictureOf(t *testing.T, r io.Reader) image.Image {
	t.Helper()
	img, err := png.Decode(r)
	if err != nil {
		t.Fatal(err)
	}
	return img
}

func decodeImage(t *testing.T, img image.Image, how gozxing.DecodeHintType) string {
	t.Helper()
	bitmap, err := gozxing.NewBinaryBitmapFromImage(img)
	if err != nil {
		t.Fatal(err)
	}
	result, err := qrcode.NewQRCodeReader().Decode(bitmap, map[gozxing.DecodeHintType]any{how: true})
	if err != nil {
		t.Fatal(err)
	}
	return result.GetText()
}

// A picture holds its link whatever the link is, read as it is without looking
// for a code in it: there every reader misses some.
func TestEveryCodeHoldsItsLink(t *testing.T) {
	for i := range 60 {
		link := "https://gas.example.org/c/" + strings.ToLower(rand.Text()) + rand.Text()[:i%20]
		b, err := QRPNG(link)
		if err != nil {
			t.Fatal(err)
		}
		if got := decodeImage(t, pictureOf(t, bytes.NewReader(b)), gozxing.DecodeHintType_PURE_BARCODE); got != link {
			t.Errorf("got %q, want %q", got, link)
		}
	}
}

func TestCodesAreReadBack(t *testing.T) {
	link := "https://gas.example.org/c/abcdefghij-p2-abcdefghijklmnopqrstuv"
	b, err := QRPNG(link)
	if err != nil {
		t.Fatal(err)
	}
	if got := decode(t, bytes.NewReader(b)); got != link {
		t.Errorf("PNG: got %q", got)
	}
	b, err = QRSVG(link)
	if err != nil {
		t.Fatal(err)
	}
	if got := decodeImage(t, drawn(t, string(b)), gozxing.DecodeHintType_TRY_HARDER); got != link {
		t.Errorf("SVG: got %q", got)
	}
	if _, err := QRPNG(strings.Repeat("x", 10_000)); err == nil {
		t.Error("a text too long for a code is no error")
	}
}

var bar = regexp.MustCompile(`M(\d+) (\d+)h(\d+)v1`)

// drawn paints the bars of our SVG, 8 pixels a module.
func drawn(t *testing.T, svg string) image.Image {
	t.Helper()
	img := image.NewGray(image.Rect(0, 0, 800, 800))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	bars := bar.FindAllStringSubmatch(svg, -1)
	if len(bars) < 100 {
		t.Fatalf("only %d bars", len(bars))
	}
	for _, m := range bars {
		x, _ := strconv.Atoi(m[1])
		y, _ := strconv.Atoi(m[2])
		w, _ := strconv.Atoi(m[3])
		for px := x * 8; px < (x+w)*8; px++ {
			for py := y * 8; py < (y+1)*8; py++ {
				img.Set(px, py, color.Black)
			}
		}
	}
	return img
}
