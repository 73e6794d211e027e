package v1

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"midcase/docs/schema"
)

// operations registers all that can be asked for.
func (a *API) operations() {
	a.stockOperations()
	a.opinionOperations()
	a.evidenceOperations()
	a.saleOperations()
	a.clientOperations()
	a.bookOperations()
	a.paperOperations()
	a.calendarOperations()
	a.hookOperations()
	a.mux.HandleFunc("GET "+Prefix+"/openapi.json", func(w http.ResponseWriter, r *http.Request) {
		b, err := a.Document()
		if err != nil {
			a.opt.Failed(r, err)
			Refuse(w, http.StatusInternalServerError, "The document cannot be made.")
			return
		}
		w.Header().Set("Content-Type", "application/json")
		_, _ = w.Write(b)
	})
	a.mux.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) {
		Refuse(w, http.StatusNotFound, "There is nothing at this address; "+Prefix+"/openapi.json says what there is.")
	})
}

// example is the body of a request with an example of it.
func example(v any) *huma.RequestBody {
	b, err := json.Marshal(v)
	if err != nil {
		panic(err) // a value of this package
	}
	var as any
	if err := json.Unmarshal(b, &as); err != nil {
		panic(err)
	}
	return &huma.RequestBody{Content: map[string]*huma.MediaType{"application/json": {Example: as}}}
}

// Document is the OpenAPI document of the API: what the operations take and answer, with the schemas of evidence and
// opinions as they stand under docs/schema.
func (a *API) Document() ([]byte, error) {
	b, err := json.Marshal(a.huma.OpenAPI())
	if err != nil {
		return nil, fmt.Errorf("document of the API: %w", err)
	}
	var doc map[string]any
	if err := json.Unmarshal(b, &doc); err != nil {
		return nil, fmt.Errorf("document of the API: %w", err)
	}
	all := doc["components"].(map[string]any)["schemas"].(map[string]any)
	if err := addSchema(all, "opinion.schema.json", "Opinion"); err != nil {
		return nil, err
	}
	if err := addSchema(all, "watch.schema.json", "Evidence"); err != nil {
		return nil, err
	}
	asItem(all)
	var out bytes.Buffer
	enc := json.NewEncoder(&out)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(doc); err != nil {
		return nil, fmt.Errorf("document of the API: %w", err)
	}
	return out.Bytes(), nil
}

// addSchema adds a schema of docs/schema as a component, and its definitions under names that begin with it.
func addSchema(all map[string]any, file, name string) error {
	b, err := schema.File(file)
	if err != nil {
		return fmt.Errorf("document of the API: %w", err)
	}
	b = bytes.ReplaceAll(b, []byte(`"#/$defs/`), []byte(`"#/components/schemas/`+name))
	var doc map[string]any
	if err := json.Unmarshal(b, &doc); err != nil {
		return fmt.Errorf("document of the API: %s: %w", file, err)
	}
	defs, _ := doc["$defs"].(map[string]any)
	delete(doc, "$defs")
	delete(doc, "$schema")
	delete(doc, "$id")
	for def, s := range defs {
		all[name+def] = s
	}
	if name == "Opinion" {
		all[name] = doc
	}
	return nil
}

// asItem lets an item of evidence be what the watch file has it, and one to be recorded its kind and the fields of the
// kind.
func asItem(all map[string]any) {
	item := all["EvidenceItem"].(map[string]any)
	all["Item"] = map[string]any{"$ref": "#/components/schemas/EvidenceItem"}
	kinds := item["properties"].(map[string]any)["kind"]
	all["NewItem"] = map[string]any{"type": "object", "required": []string{"kind", "data"},
		"additionalProperties": false,
		"description":          "One piece of evidence to be recorded.",
		"properties":           map[string]any{"kind": kinds, "data": item["properties"].(map[string]any)["data"]},
		"allOf":                item["allOf"]}
}
