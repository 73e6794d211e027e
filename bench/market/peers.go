package main

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
)

//go:embed peers.R
var peersR string

//go:embed peers.py
var peersPy string

// keep writes train.csv, test.csv, premium.csv and truth.json.
func (w *world) keep(dir string) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	for name, test := range map[string]bool{"train.csv": false, "test.csv": true} {
		f, err := os.Create(filepath.Join(dir, name))
		if err != nil {
			return err
		}
		if err := w.writeCSV(f, test); err != nil {
			return err
		}
		if err := f.Close(); err != nil {
			return err
		}
	}
	p := "quarter,premium\n"
	var medians []float64
	for q, x := range w.premium[1] {
		p += fmt.Sprintf("%d-Q%d,%.6f\n", firstYear+q/4, q%4+1, math.Expm1(x))
	}
	for i := range w.sales {
		if w.sales[i].test {
			medians = append(medians, math.Round(100*math.Exp(w.sales[i].truth))/100)
		}
	}
	if err := os.WriteFile(filepath.Join(dir, "premium.csv"), []byte(p), 0o644); err != nil {
		return err
	}
	truth, err := json.Marshal(map[string]any{"shape": w.shape, "market_log": w.market, "premium_log": w.premium,
		"test_medians": medians})
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(dir, "truth.json"), truth, 0o644)
}

// runPeers times general-purpose tools on the same files, where they are installed.
func runPeers(w *world) error {
	dir, err := os.MkdirTemp("", "market-peers")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	if err := w.keep(dir); err != nil {
		return err
	}
	fmt.Println("| other tools on the same file | error % | coverage of 90 % | width hi/lo | premium RMSE, points | fit, CPU s |")
	fmt.Println("| --- | --- | --- | --- | --- | --- |")
	for _, p := range []struct{ program, file, text string }{{"Rscript", "peers.R", peersR},
		{"python3", "peers.py", peersPy}} {
		program, err := exec.LookPath(p.program)
		if err != nil {
			continue
		}
		script := filepath.Join(dir, p.file)
		if err := os.WriteFile(script, []byte(p.text), 0o644); err != nil {
			return err
		}
		c := exec.Command(program, script, dir)
		c.Stdout = os.Stdout
		if err := c.Run(); err != nil {
			fmt.Fprintf(os.Stderr, "bench/market: %s: %v (left out)\n", p.program, err)
		}
	}
	return nil
}
