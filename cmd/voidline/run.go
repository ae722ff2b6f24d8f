package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime/debug"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"
	"golang.org/x/term"

	"voidline/clash"
	"voidline/reports/text"
)

// Exit statuses.
const (
	statusClear    = 0 // nothing found
	statusFindings = 1
	statusInput    = 2 // the tables have problems
	statusUsage    = 3 // wrong usage, or anything else
)

// exit carries a status through the library, which would call os.Exit itself.
type exit struct {
	status int
	err    error // printed; nil where all has been said
}

func (e exit) Error() string {
	if e.err == nil {
		return fmt.Sprintf("status %d", e.status)
	}
	return e.err.Error()
}

// world is what a command may see of the outside.
type world struct {
	in         io.Reader
	out, errs  io.Writer
	width      int
	color      bool
	isTerminal bool
}

// run does the work of main and returns the exit status.
func run(args []string, in io.Reader, out, errs io.Writer) (status int) {
	defer func() {
		if r := recover(); r != nil {
			fmt.Fprintf(errs, "voidline: a fault of the program, not of your tables: %v\n%s", r, debug.Stack())
			status = statusUsage
		}
	}()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	w := look(in, out, errs)
	err := app(w).RunContext(ctx, arrange(args))
	var e exit
	switch {
	case err == nil:
		return statusClear
	case errors.As(err, &e):
		if e.err != nil {
			fmt.Fprintf(errs, "voidline: %v\n", e.err)
		}
		return e.status
	case errors.Is(err, context.Canceled):
		fmt.Fprintln(errs, "voidline: stopped")
		return statusUsage
	}
	fmt.Fprintf(errs, "voidline: %v\nTry voidline help.\n", err)
	return statusUsage
}

// look reads what the environment says of the terminal.
func look(in io.Reader, out, errs io.Writer) *world {
	w := &world{in: in, out: out, errs: errs, width: 80}
	if f, ok := out.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		w.isTerminal = true
		if cols, _, err := term.GetSize(int(f.Fd())); err == nil && cols > 0 {
			w.width = min(max(cols, 40), 120)
		}
		_, no := os.LookupEnv("NO_COLOR")
		w.color = !no && os.Getenv("TERM") != "dumb"
	}
	return w
}

func (w *world) options() text.Options { return text.Options{Width: w.width, Color: w.color} }

func app(w *world) *cli.App {
	cli.VersionPrinter = func(c *cli.Context) { fmt.Fprintf(c.App.Writer, "voidline %s\n", clash.Version) }
	return &cli.App{
		Name:  "voidline",
		Usage: "add up whether the services above a ceiling fit, before anything is fixed",
		Description: "voidline reads a folder of CSV tables (bays, build-ups and the zones of each trade), stacks them in\n" +
			"each bay's section and reports overlaps, too-tight gaps and access problems.\n\n" +
			"Start with:  voidline new my-project   then:  voidline check my-project",
		Version:              clash.Version,
		HideVersion:          false,
		EnableBashCompletion: true,
		Writer:               w.out,
		ErrWriter:            w.errs,
		ExitErrHandler:       func(*cli.Context, error) {},
		OnUsageError:         usageError,
		CommandNotFound: func(*cli.Context, string) {
		},
		Action: func(c *cli.Context) error {
			if c.Args().Present() {
				name := c.Args().First()
				hint := ""
				for _, cmd := range c.App.Commands {
					if strings.HasPrefix(cmd.Name, name) || strings.HasPrefix(name, cmd.Name) {
						hint = fmt.Sprintf(" (did you mean %q?)", cmd.Name)
					}
				}
				if info, err := os.Stat(name); err == nil && info.IsDir() {
					hint = fmt.Sprintf(" (to check that folder: voidline check %s)", name)
				}
				return exit{statusUsage, fmt.Errorf("no command %q%s; voidline help lists them", name, hint)}
			}
			return cli.ShowAppHelp(c)
		},
		Commands: []*cli.Command{checkCommand(w), stackCommand(w), rulesCommand(w), newCommand(w), completionCommand(w)},
	}
}

func usageError(_ *cli.Context, err error, _ bool) error {
	return exit{statusUsage, fmt.Errorf("%w; add --help to the command to see its options", err)}
}

// arrange puts the flags of a command before its folder, for the library stops reading flags at the
// first word that is none. -- ends them.
func arrange(args []string) []string {
	if len(args) < 3 {
		return args
	}
	var flags, rest []string
	takes := map[string]bool{}
	for _, c := range []*cli.Command{checkCommand(&world{}), stackCommand(&world{}), rulesCommand(&world{}), newCommand(&world{})} {
		if c.Name != args[1] {
			continue
		}
		for _, f := range c.Flags {
			if _, is := f.(*cli.BoolFlag); !is {
				for _, n := range f.Names() {
					takes[n] = true
				}
			}
		}
	}
	i := 2
	for ; i < len(args); i++ {
		a := args[i]
		if a == "--" {
			rest = append(rest, args[i+1:]...)
			break
		}
		if !strings.HasPrefix(a, "-") || a == "-" {
			rest = append(rest, a)
			continue
		}
		flags = append(flags, a)
		name, _, has := strings.Cut(strings.TrimLeft(a, "-"), "=")
		if takes[name] && !has && i+1 < len(args) {
			i++
			flags = append(flags, args[i])
		}
	}
	out := append(slices.Clone(args[:2]), flags...)
	if len(rest) > 0 {
		out = append(out, "--")
	}
	return append(out, rest...)
}
