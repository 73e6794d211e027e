package v1

import (
	"context"
	"fmt"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"midcase/client"
	"midcase/internal/shop"
	"midcase/refbook"
)

func (a *API) bookOperations() {
	register(a, huma.Operation{OperationID: "makers", Method: http.MethodGet, Path: "/book", Tags: []string{"Book"},
		Summary: "The makers of the reference book, each with its references"},
		func(ctx context.Context, _ *struct{}) (*answer[client.Makers], error) {
			out := client.Makers{Items: []client.Maker{}}
			for _, m := range a.shop.Book(ctx).Makers {
				one := client.Maker{ID: m.ID, Name: m.Name, Aliases: m.Aliases, Country: m.Country,
					References: []client.ReferenceShort{}}
				for _, r := range m.References {
					one.References = append(one.References, client.ReferenceShort{ID: r.ID, Name: r.Name,
						Family: r.Family})
				}
				out.Items = append(out.Items, one)
			}
			return &answer[client.Makers]{Body: out}, nil
		})
	type in struct {
		Maker     string `path:"maker" maxLength:"100" example:"corvane" doc:"The maker's id or name."`
		Reference string `path:"reference" maxLength:"100" example:"KR-1" doc:"The reference as people write it."`
	}
	register(a, huma.Operation{OperationID: "reference", Method: http.MethodGet, Path: "/book/{maker}/{reference}",
		Tags: []string{"Book"}, Summary: "What the book knows of a reference", Errors: []int{http.StatusNotFound}},
		func(ctx context.Context, in *in) (*answer[client.Reference], error) {
			m, ok := a.shop.Book(ctx).Maker(in.Maker)
			if !ok {
				return nil, fmt.Errorf("maker %q: %w", in.Maker, shop.ErrNotFound)
			}
			r, ok := m.Reference(in.Reference)
			if !ok {
				return nil, fmt.Errorf("reference %q of %s: %w", in.Reference, m.Name, shop.ErrNotFound)
			}
			return &answer[client.Reference]{Body: referenceOf(m.ID, r)}, nil
		})
}

func referenceOf(maker string, r *refbook.Reference) client.Reference {
	out := client.Reference{Maker: maker, ID: r.ID, Name: r.Name, Family: r.Family, Made: dateText(r.Made),
		Metal: r.Metal, Calibres: r.Calibres, Bracelets: r.Bracelets, Features: r.Features, Note: r.Note,
		Source: r.Source}
	for _, d := range r.Dimensions {
		out.Sizes = append(out.Sizes, client.Size{What: d.What, MM: d.MM, ToleranceMM: d.ToleranceMM})
	}
	for _, s := range r.Slots {
		slot := client.PartSlot{Slot: string(s.Slot), Replaced: s.Replaced, Versions: []client.PartVersion{}}
		for _, v := range s.Variants {
			one := client.PartVersion{ID: v.ID, Name: v.Name, Look: v.Look, Service: v.Service}
			for _, w := range v.Windows {
				one.Fitted = append(one.Fitted, dateText(w.Made))
			}
			slot.Versions = append(slot.Versions, one)
		}
		out.Slots = append(out.Slots, slot)
	}
	return out
}
