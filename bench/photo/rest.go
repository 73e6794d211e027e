package main

func overlay(n int, seed uint64, verbose bool) {}
func speed(n int, seed uint64, verbose bool)   {}
