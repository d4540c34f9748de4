// Package viewer shows the OpenAPI document of the service as a page that can
// try its calls. The page and its script come from this process alone.
package viewer

import (
	"embed"
	"io/fs"
	"net/http"
)

//go:embed files
var files embed.FS

// policy lets the page run its own script and call its own origin.
const policy = "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data:; connect-src 'self'; font-src 'self'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'"

// Handler serves the page at its root. It expects the document at
// /openapi.json.
func Handler() http.Handler {
	sub, err := fs.Sub(files, "files")
	if err != nil {
		panic(err) // the folder is embedded above
	}
	server := http.FileServerFS(sub)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Security-Policy", policy)
		w.Header().Set("Cache-Control", "max-age=300")
		server.ServeHTTP(w, r)
	})
}
