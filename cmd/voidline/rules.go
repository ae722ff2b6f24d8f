package main

import (
	"github.com/urfave/cli/v2"

	"voidline/clash"
	"voidline/clash/rules"
	"voidline/reports/text"
)

func rulesCommand(w *world) *cli.Command {
	return &cli.Command{
		Name:      "rules",
		Usage:     "print the rules in force, each with its reason and its source",
		ArgsUsage: "[DIR]",
		Description: "Without a folder the built-in rules; with one, the rows of its gaps.csv go before them. For each pair and\n" +
			"side one rule wins: the project's before the built-in, then the more specific, of equals the larger gap.",
		OnUsageError: usageError,
		Flags:        []cli.Flag{&cli.BoolFlag{Name: "firm", Usage: "leave out rules that rest on common practice only"}},
		Action: func(c *cli.Context) error {
			if !c.Args().Present() {
				return text.Rules(w.out, rules.Firm(rules.BuiltIn(), c.Bool("firm")), w.options())
			}
			dir, err := folder(c)
			if err != nil {
				return err
			}
			_, ch, err := open(w, c, dir, clash.Options{Firm: c.Bool("firm")}, false)
			if err != nil {
				return err
			}
			return text.Rules(w.out, ch.Rules(), w.options())
		},
	}
}
