package main

import (
	"bytes"
	"errors"
	"io"

	"voidline/clash/finding"
	"voidline/clash/register"
	"voidline/io/table"
	"voidline/reports/comparison"
	"voidline/reports/markdown"
	"voidline/reports/paper"
	"voidline/reports/sheet"
	"voidline/reports/text"
	"voidline/reports/words"
	"voidline/void"
)

// aboutObjections is what the help of check says of --objections.
const aboutObjections = "--objections gives, instead of the findings, a table of every bay before its ceiling is closed: what is open, agreed and by\n" +
	"whom (by register.csv where there is one), which holes have no opening yet, whether it was surveyed, and blank columns to sign for\n" +
	"what no table says. As text, markdown, csv or pdf (sheets to be signed, storey by storey).\n\n"

// objectionForms are the forms of that table.
var objectionForms = forms[func(to io.Writer, k *answering, cs []register.Closing, date register.Date) error]{
	{"text", func(to io.Writer, k *answering, cs []register.Closing, date register.Date) error {
		o := k.w.options()
		o.Color = o.Color && !k.c.IsSet("o")
		return text.Answer(to, words.Objections(k.res.Project, date, cs, k.res.Cautions, words.Missing(k.res), true), o)
	}},
	{"markdown", func(to io.Writer, k *answering, cs []register.Closing, date register.Date) error {
		return markdown.Answer(to, words.Objections(k.res.Project, date, cs, k.res.Cautions, words.Missing(k.res), false))
	}},
	{"csv", func(to io.Writer, k *answering, cs []register.Closing, _ register.Date) error {
		return sheet.Closings(to, cs, sheet.Options{Separator: table.Separator(k.dir)})
	}},
	{"pdf", func(to io.Writer, k *answering, cs []register.Closing, date register.Date) error {
		return paper.Objections(to, k.res.Project, date, cs, k.res.Cautions, words.Missing(k.res))
	}},
}

// mayObject refuses what would make a bay look clear that is not.
func mayObject(k *answering, form string) error {
	if _, ok := objectionForms.named(form); !ok {
		return exit{statusUsage, errors.New("--objections is " + objectionForms.names(" or "))}
	}
	for _, f := range []string{"trade", "only", "firm", "register", "tolerance"} {
		if k.c.IsSet(f) {
			return exit{statusUsage, errors.New("--objections does not go with --" + f + ": it says what is open of the whole check")}
		}
	}
	return nil
}

// objections writes what a check can say of every bay before its ceiling is closed; with --bay of those bays alone.
func objections(k *answering, form, out string, date register.Date) error {
	o, err := registerOf(k.w, k.dir, k.p, k.res, register.Options{Date: date, Touch: k.opt.Touch})
	if err != nil {
		return err
	}
	cs := register.Closings(k.p, k.res, o)
	if len(k.opt.Bays) > 0 {
		wanted := map[string]bool{}
		for _, b := range k.opt.Bays {
			for _, i := range k.p.BaysNamed(b) {
				wanted[k.p.Bays[i].Label+"\x00"+k.p.Storeys[k.p.Bays[i].Storey].Name] = true
			}
		}
		var some []register.Closing
		for i := range cs {
			if wanted[cs[i].Label+"\x00"+cs[i].Storey] {
				some = append(some, cs[i])
			}
		}
		cs = some
	}
	write, _ := objectionForms.named(form)
	var b bytes.Buffer
	if err := write(&b, k, cs, date); err != nil {
		return err
	}
	return put(k.w, out, b.Bytes())
}

// registerOf reads the register of a project and brings it up to date in memory alone; nil where there is none, or where supports are
// left out of the check. What is to be told of it is printed.
func registerOf(w *world, dir string, p *void.Project, res *finding.Result, opt register.Options) (*register.Outcome, error) {
	reg, err := openRegister(w, dir)
	switch {
	case err != nil:
		return nil, err
	case !reg.There():
		return nil, nil
	case heldUp(res) != nil:
		w.tell("voidline: supports are left out of this check, so it is not held against register.csv: agreed problems count as open")
		return nil, nil
	}
	opt.Zone = standing(p)
	o, err := register.Update(reg.Rows(), res, opt)
	if err != nil {
		return nil, exit{statusUsage, err}
	}
	for _, l := range comparison.Told(o.Told, mostToldOfRegister) {
		w.tell("register: " + l)
	}
	return o, nil
}
