package main

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"voidline/clash"
	"voidline/clash/tolerance"
)

// aboutTolerance is what help says about tolerances.
const aboutTolerance = "--tolerance worst (or rss) also lists what is clear as drawn but may not fit once built: levels are off by the\n" +
	"tolerances of both (worst: all the wrong way at once; rss: the root of the sum of their squares), and what hangs\n" +
	"from a beam comes down with it. A row's own tolerance counts before the default of its kind. Only levels count: the\n" +
	"upright distance where two plans overlap. Most of the figures are from memory or common practice, so what they tell is\n" +
	"no finding and never changes the exit status.\n\n"

func toleranceFlag() cli.Flag {
	return &cli.StringFlag{Name: "tolerance", Value: "none", Usage: "list what may not fit once built, by `WAY`: none, rss, worst"}
}

func deflectionFlag() cli.Flag {
	return &cli.StringFlag{
		Name: "deflection", Value: strconv.Itoa(tolerance.UsualDeflection),
		Usage: "with --tolerance: beams come down by their span over `N` (0: they do not)",
	}
}

// tolerated reads the two flags.
func tolerated(c *cli.Context, opt *clash.Options) error {
	switch way := strings.ToLower(c.String("tolerance")); way {
	case "none":
	case string(tolerance.RootOfSquares), string(tolerance.WorstCase):
		opt.Tolerance = tolerance.Way(way)
	default:
		return exit{statusUsage, fmt.Errorf("--tolerance %q: none, rss or worst", c.String("tolerance"))}
	}
	n, err := strconv.ParseFloat(c.String("deflection"), 64)
	switch {
	case err != nil || !(n == 0 || n >= 50 && n <= 10000):
		return exit{statusUsage, fmt.Errorf("--deflection %q: 0 for none, or from 50 to 10000 (360 is span/360)", c.String("deflection"))}
	case c.IsSet("deflection") && opt.Tolerance == tolerance.AsDrawn:
		return exit{statusUsage, fmt.Errorf("--deflection %s goes with --tolerance rss or worst: findings are as drawn", c.String("deflection"))}
	}
	opt.Deflection = n
	return nil
}
