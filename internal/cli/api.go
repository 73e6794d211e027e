package cli

import "midcase/internal/web"

type apiCmd struct {
	Document apiDocumentCmd `cmd:"" help:"Print the OpenAPI document of the API."`
}

type apiDocumentCmd struct{}

// Run prints what other programs may ask a served shop for.
func (apiDocumentCmd) Run(a *app) error {
	b, err := web.APIDocument()
	if err != nil {
		return err
	}
	_, err = a.out.Write(b)
	return err
}
