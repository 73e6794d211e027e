package web

import (
	"fmt"
	"slices"

	"midcase/edtf"
	"midcase/internal/shop"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/wording"
	"midcase/money"
)

// wantForm is what a client looks for.
type wantForm struct {
	Maker       string      `form:"maker" label:"Maker" list:"makers"`
	Family      string      `form:"family" label:"Family" list:"families"`
	Reference   string      `form:"reference" label:"Reference" list:"references"`
	Metal       string      `form:"metal" label:"Metal" kind:"choice"`
	Dial        string      `form:"dial" label:"Dial" hint:"words in its name, such as gilt"`
	Must        string      `form:"must" label:"Must have" hint:"findings, such as unpolished, with commas between them"`
	MustNot     string      `form:"must_not" label:"Must not have" hint:"findings, such as relumed"`
	Set         string      `form:"set" label:"Comes as" choices:"=does not matter|papers=with papers at least|full=with box and papers"`
	Condition   float64     `form:"condition_floor" label:"Condition, 1 to 10, or better" min:"1" max:"10" want:"a grade from 1 to 10"`
	Originality float64     `form:"originality_floor" label:"Original parts" unit:"% or more" min:"0" max:"100"`
	From        int         `form:"year_from" label:"Made in or after" min:"1800" max:"2200" want:"a year, for example 1965"`
	To          int         `form:"year_to" label:"Made in or before" min:"1800" max:"2200" want:"a year, for example 1969"`
	Budget      money.Money `form:"budget" label:"Budget" hint:"such as 6500 EUR"`
	Until       edtf.Date   `form:"until" label:"Wanted until" hint:"the last day; leave empty for no end" want:"the last day, for example 2027-03-01"`
	CallFirst   bool        `form:"call_first" label:"Call me first when one comes in"`
	AsTyped     bool        `form:"as_typed" label:"Names that the book does not have are meant as typed"`
	Note        string      `form:"note" label:"Note" kind:"area" hint:"For you to read; it is not matched."`
}

var wanting = form.Define[wantForm]("want")

func wantOf(w shop.Want) wantForm {
	return wantForm{w.Maker, w.Family, w.Reference, w.Metal, w.Dial, w.Must, w.MustNot, w.Set, w.ConditionFloor, w.OriginalityFloor,
		w.YearFrom, w.YearTo, w.Budget, w.Until, w.CallFirst, w.AsTyped, w.Note}
}

// want is what was typed.
func (f *wantForm) want(v *form.View) shop.Want {
	w := shop.Want{Maker: f.Maker, Family: f.Family, Reference: f.Reference, Metal: f.Metal, Dial: f.Dial, Set: f.Set,
		ConditionFloor: f.Condition, OriginalityFloor: f.Originality,
		YearFrom: f.From, YearTo: f.To, Budget: f.Budget, Until: f.Until, CallFirst: f.CallFirst, Note: f.Note,
		Must: f.Must, MustNot: f.MustNot, AsTyped: f.AsTyped}
	if f.From != 0 && f.To != 0 && f.From > f.To {
		v.Wrong(&f.To, fmt.Sprintf("Enter %d or later.", f.From))
	}
	if !w.Names() && w.Note == "" && v.OK() {
		v.Wrong(&f.Maker, "Enter at least one of maker, family, reference, metal, dial, years or budget.")
	}
	return w
}

// offerMetals offers the book's metals, and the one that is wanted already.
func offerMetals(f *form.Form[wantForm], metals []form.Option) {
	all := append([]form.Option{{Value: "", Text: "any"}}, metals...)
	if have := f.V.Metal; have != "" && !slices.ContainsFunc(all, func(o form.Option) bool { return o.Value == have }) {
		all = append(all, form.Option{Value: have, Text: wording.Underscored(have)})
	}
	f.Offer(&f.V.Metal, all...)
}
