package main

func (c *comparison) writeFiles(files *outputs) error { return nil }
