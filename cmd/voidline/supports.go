package main

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"voidline/clash"
)

func supportsFlag() cli.Flag {
	return &cli.StringFlag{
		Name: "supports", Value: "usual",
		Usage: "check rods and channels of hung rows at the spacing `HOW`: usual (by kind), none (leave them out), or so many mm",
	}
}

// supported reads the flag.
func supported(c *cli.Context, opt *clash.Options) error {
	switch how := strings.ToLower(c.String("supports")); how {
	case "usual":
	case "none":
		opt.Supports.Off = true
	default:
		mm, err := strconv.ParseFloat(how, 64)
		if err != nil || !(mm >= 300 && mm <= 20000) {
			return exit{statusUsage, fmt.Errorf("--supports %q: usual, none, or from 300 to 20000 mm", c.String("supports"))}
		}
		opt.Supports.Spacing = mm
	}
	return nil
}
