// Package web serves the workbench to the browser: pages rendered by the server,
// which work without JavaScript, and a JSON API under /api.
//
// What goes in: HTTP requests. What comes out: pages, pictures, reports. Handlers
// parse, call the shop and render; an error returned by a handler becomes a page
// with the status that its kind maps to, in one place (failure.go).
//
// It serves the loopback interface by default. Cross-site posts are refused, no page
// loads anything from another host, and the content security policy allows no
// inline script.
//
// Read New first, then the areas of the site in routes.go; each page stands in pages/<page> with its template.
package web
