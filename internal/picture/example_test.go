package picture_test

import (
	"bytes"
	"fmt"
	"image"
	"image/png"

	"midcase/internal/picture"
)

func ExampleInspect() {
	var file bytes.Buffer
	if err := png.Encode(&file, image.NewGray(image.Rect(0, 0, 640, 480))); err != nil {
		fmt.Println(err)
	}
	info, err := picture.Inspect(file.Bytes())
	fmt.Println(info.MediaType, info.WidthPx, info.HeightPx, err)

	_, err = picture.Inspect([]byte("not a picture at all"))
	fmt.Println(err)
	// Output:
	// image/png 640 480 <nil>
	// not a picture that can be read; give JPEG, PNG, WebP, AVIF, HEIC or TIFF
}
