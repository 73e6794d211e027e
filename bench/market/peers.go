package main

func (w *world) keep(dir string) error { return nil }
func runPeers(w *world)                {}
