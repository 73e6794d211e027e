package cli

import (
	"errors"
	"fmt"
	"html"
	"os"
	"os/exec"
	"runtime"
)

// openBrowser opens the address where there is a browser to open it with; what it returns cleans up.
// Other users of the machine see what programs are started with, so the browser is given a file that
// leads to the address, which has the key in it.
func openBrowser(url string) (done func()) {
	done = func() {}
	name := map[string]string{"darwin": "open", "windows": "explorer"}[runtime.GOOS]
	if name == "" {
		if os.Getenv("DISPLAY") == "" && os.Getenv("WAYLAND_DISPLAY") == "" {
			return done
		}
		name = "xdg-open"
	}
	path, err := exec.LookPath(name)
	if err != nil {
		return done
	}
	leading, err := leadingFile(url)
	if err != nil {
		return done // the address is printed
	}
	cmd := exec.Command(path, leading)
	if cmd.Start() == nil {
		go func() { _ = cmd.Wait() }()
	}
	return func() { os.Remove(leading) }
}

// leadingFile is a page that leads to an address, readable by this user alone.
func leadingFile(url string) (path string, err error) {
	f, err := os.CreateTemp("", "midcase-*.html")
	if err != nil {
		return "", err
	}
	_, err = fmt.Fprintf(f, "<!DOCTYPE html><meta charset=\"utf-8\"><meta name=\"referrer\" content=\"no-referrer\">"+
		"<meta http-equiv=\"refresh\" content=\"0; url=%s\"><title>Midcase</title>\n", html.EscapeString(url))
	if err = errors.Join(err, f.Close()); err != nil {
		os.Remove(f.Name())
		return "", err
	}
	return f.Name(), nil
}
