package main

func plots(n int, seed uint64, verbose bool)   {}
func odd(n int, seed uint64, verbose bool)     {}
func overlay(n int, seed uint64, verbose bool) {}
func speed(n int, seed uint64, verbose bool)   {}
