// Command pictures puts a folder of many small pictures on a contact sheet of a served shop, kills the server half way,
// starts it again, sends the rest, and prints what it took.
//
//	go run ./bench/pictures -midcase bin/midcase -shop DIR -n 5000
package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"math/rand/v2"
	"mime/multipart"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"os/exec"
	"regexp"
	"strings"
	"syscall"
	"time"
)

func main() {
	bin := flag.String("midcase", "bin/midcase", "the program")
	shop := flag.String("shop", "", "a new folder for the shop")
	n := flag.Int("n", 5000, "how many pictures")
	flag.Parse()
	if err := run(*bin, *shop, *n); err != nil {
		fmt.Fprintln(os.Stderr, "pictures:", err)
		os.Exit(1)
	}
}

func run(bin, shop string, n int) error {
	setup := exec.Command(bin, "--shop", shop, "setup", "--country", "DE", "--name", "Bench")
	if out, err := setup.CombinedOutput(); err != nil {
		return fmt.Errorf("setup: %w: %s", err, out)
	}
	s, err := serve(bin, shop)
	if err != nil {
		return err
	}
	if err := s.send(0, n/2); err != nil {
		return err
	}
	s.end(syscall.SIGKILL)
	fmt.Printf("killed after %d pictures\n", n/2)
	if s, err = serve(bin, shop); err != nil {
		return err
	}
	on, err := s.known(n)
	if err != nil {
		return err
	}
	fmt.Printf("after the start again %d of %d pictures are on the sheet\n", on, n/2)
	if on != n/2 {
		return fmt.Errorf("%d pictures are on the sheet; want %d", on, n/2)
	}
	if err := s.send(n/2, n); err != nil {
		return err
	}
	began := time.Now()
	a, err := s.client.Get(s.at + "/contact-sheets/" + s.sheet)
	if err != nil {
		return err
	}
	size, _ := io.Copy(io.Discard, a.Body)
	_ = a.Body.Close()
	fmt.Printf("sheet: status %d, %d kB, %.1f s\n", a.StatusCode, size>>10, time.Since(began).Seconds())
	s.end(syscall.SIGTERM)
	return nil
}

// server is midcase serving the shop, with the browser's cookies and the sheet that is filled.
type server struct {
	at, sheet string
	process   *exec.Cmd
	client    *http.Client
}

var listening = regexp.MustCompile(`listening on (http://[^/]+)/\?key=(\S+)`)

func serve(bin, shop string) (*server, error) {
	s := &server{process: exec.Command(bin, "serve", "--shop", shop, "--no-open", "--addr", "127.0.0.1:0")}
	out, err := s.process.StdoutPipe()
	if err != nil {
		return nil, err
	}
	s.process.Stderr = s.process.Stdout
	if err := s.process.Start(); err != nil {
		return nil, err
	}
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		if m := listening.FindStringSubmatch(lines.Text()); m != nil {
			jar, _ := cookiejar.New(nil)
			s.at, s.client = m[1], &http.Client{Jar: jar}
			a, err := s.client.Get(m[1] + "/?key=" + m[2])
			if err != nil {
				return nil, err
			}
			_ = a.Body.Close()
			go func() { _, _ = io.Copy(io.Discard, out) }()
			return s, nil
		}
	}
	return nil, fmt.Errorf("the server did not start")
}

// end stops the server and prints what it took.
func (s *server) end(how syscall.Signal) {
	_ = s.process.Process.Signal(how)
	_ = s.process.Wait()
	state := s.process.ProcessState
	most := int64(0)
	if u, ok := state.SysUsage().(*syscall.Rusage); ok {
		most = u.Maxrss >> 10
	}
	fmt.Printf("the server took %.1f s of CPU and at most %d MB\n", (state.UserTime() + state.SystemTime()).Seconds(), most)
}

// send puts pictures on the sheet one after the other, as the page does.
func (s *server) send(from, to int) error {
	began := time.Now()
	for i := from; i < to; i++ {
		var b bytes.Buffer
		m := multipart.NewWriter(&b)
		for k, v := range map[string]string{"sheet": s.sheet, "file": file(i)} {
			_ = m.WriteField(k, v)
		}
		part, err := m.CreateFormFile("pictures", fmt.Sprintf("P%05d.jpg", i))
		if err != nil {
			return err
		}
		if err := jpeg.Encode(part, picture(i), &jpeg.Options{Quality: 85}); err != nil {
			return err
		}
		_ = m.Close()
		var got struct {
			Sheet string `json:"sheet"`
			Read  int    `json:"read"`
		}
		if err := s.post("/contact-sheets", m.FormDataContentType(), &b, &got); err != nil {
			return err
		}
		if s.sheet = got.Sheet; got.Read != i+1 {
			return fmt.Errorf("%d pictures read; want %d", got.Read, i+1)
		}
	}
	fmt.Printf("%d pictures in %.0f s\n", to-from, time.Since(began).Seconds())
	return nil
}

// known asks which of the folder's files are on the open sheet.
func (s *server) known(n int) (int, error) {
	var names []string
	for i := range n {
		names = append(names, file(i))
	}
	var got struct {
		Sheet string `json:"sheet"`
		On    []int  `json:"on_sheet"`
	}
	body := strings.NewReader(url.Values{"files": {strings.Join(names, "\n")}}.Encode())
	err := s.post("/contact-sheets/known", "application/x-www-form-urlencoded", body, &got)
	s.sheet = got.Sheet
	return len(got.On), err
}

func (s *server) post(path, kind string, body io.Reader, into any) error {
	r, err := http.NewRequest(http.MethodPost, s.at+path, body)
	if err != nil {
		return err
	}
	r.Header.Set("Content-Type", kind)
	r.Header.Set("Accept", "application/json")
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	a, err := s.client.Do(r)
	if err != nil {
		return err
	}
	defer a.Body.Close()
	if a.StatusCode != http.StatusOK {
		return fmt.Errorf("%s: status %d", path, a.StatusCode)
	}
	return json.NewDecoder(a.Body).Decode(into)
}

// file is how a browser names a file of the folder: name, size and day.
func file(i int) string { return fmt.Sprintf("P%05d.jpg|%d|20260301", i, 20000+i) }

// picture is a drawing of a few fields, another one for each number.
func picture(i int) image.Image {
	of := rand.New(rand.NewPCG(1, uint64(i)))
	img := image.NewRGBA(image.Rect(0, 0, 640, 480))
	var fields [48]color.RGBA
	for k := range fields {
		fields[k] = color.RGBA{uint8(of.IntN(256)), uint8(of.IntN(256)), uint8(of.IntN(256)), 255}
	}
	for y := range 480 {
		for x := range 640 {
			img.SetRGBA(x, y, fields[y/80*8+x/80])
		}
	}
	return img
}
