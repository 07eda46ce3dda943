package standin

import (
	"bytes"
	"crypto/rand"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"mime/multipart"
	"net/http"
	"strings"
	"testing"
)

// photo is an image of some size as PNG.
func photo(t *testing.T, w, h int) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewPaletted(image.Rect(0, 0, w, h), color.Palette{color.White})); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func upload(t *testing.T, s *Server, field, caption string, data []byte) reply {
	t.Helper()
	var body bytes.Buffer
	w := multipart.NewWriter(&body)
	_ = w.WriteField("chat_id", "7")
	_ = w.WriteField("caption", caption)
	part, _ := w.CreateFormFile(field, "chart.png")
	_, _ = part.Write(data)
	_ = w.Close()
	return decode(t)(http.Post(s.URL()+"/bot"+s.Token+"/sendPhoto", w.FormDataContentType(), &body))
}

// The documented limits of a photo: an image, 10 MB, both sides together
// 10000, one side at most 20 times the other, a caption of 1024 units.
func TestPhotoLimits(t *testing.T) {
	t.Parallel()
	noise := make([]byte, maxPhoto+1)
	_, _ = rand.Read(noise)
	var jpg bytes.Buffer
	if err := jpeg.Encode(&jpg, image.NewGray(image.Rect(0, 0, 30, 20)), nil); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		field, caption string
		data           []byte
		want           string // of the description; "" for success
	}{
		"png":                {"photo", "the chart", photo(t, 1080, 1200), ""},
		"jpeg":               {"photo", "", jpg.Bytes(), ""},
		"sides of 10000":     {"photo", "", photo(t, 5000, 5000), ""},
		"sides of 10001":     {"photo", "", photo(t, 5000, 5001), "PHOTO_INVALID_DIMENSIONS"},
		"20 times as high":   {"photo", "", photo(t, 100, 2000), ""},
		"more than 20 times": {"photo", "", photo(t, 100, 2001), "PHOTO_INVALID_DIMENSIONS"},
		"more than 20 wide":  {"photo", "", photo(t, 2001, 100), "PHOTO_INVALID_DIMENSIONS"},
		"caption of 1024":    {"photo", strings.Repeat("🤿", 512), photo(t, 10, 10), ""},
		"caption of 1026":    {"photo", strings.Repeat("🤿", 513), photo(t, 10, 10), "message caption is too long"},
		"too many bytes":     {"photo", "", noise, "file is too big"},
		"empty":              {"photo", "", nil, "file must be non-empty"},
		"no image":           {"photo", "", []byte("%PDF-1.7"), "IMAGE_PROCESS_FAILED"},
		"half an image":      {"photo", "", photo(t, 100, 100)[:60], "IMAGE_PROCESS_FAILED"},
		"under another name": {"document", "", photo(t, 10, 10), "unknown file"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := New(t)
			tomasz := s.User(7, "Tomasz", "pl")
			tomasz.Start("")
			got := upload(t, s, c.field, c.caption, c.data)
			if got.OK != (c.want == "") || !strings.Contains(got.Description, c.want) {
				t.Errorf("answer %+v, want %q", got, c.want)
			}
			arrived := tomasz.Messages()
			if got.OK != (len(arrived) == 1) {
				t.Fatalf("%d messages arrived", len(arrived))
			}
			if got.OK && (arrived[0].Photo == nil || arrived[0].Text != c.caption ||
				!bytes.Equal(arrived[0].Photo.Data, c.data)) {
				t.Errorf("arrived %+v", arrived[0])
			}
			if got.OK && !strings.Contains(string(got.Result), `"photo":[{`) {
				t.Errorf("result %s", got.Result)
			}
		})
	}
	s := New(t)
	s.User(7, "Tomasz", "pl").Start("")
	if got := ask(t, s, "sendPhoto", "chat_id", "7", "photo", "https://example.org/x.png"); got.OK {
		t.Error("a photo that isn't uploaded was taken")
	}
}
