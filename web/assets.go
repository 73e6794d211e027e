// Package web holds what the pages send to the browser beside their HTML: the style
// sheet (static, written here) and the fonts and islands (dist, made from npm
// packages by web/build.mjs and not committed).
//
// A program built without that step still works: it uses the browser's own fonts and
// does without the islands, which no page needs.
package web

import "embed"

// Static is the folder static: the style sheet and drawings.
//
//go:embed static
var Static embed.FS

// Dist is the folder dist: fonts, htmx and bundled islands; perhaps empty.
//
//go:embed all:dist
var Dist embed.FS
